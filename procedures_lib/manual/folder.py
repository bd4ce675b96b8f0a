"""The files of a manual: its pages, the data beside them, the kinds that are published."""

from __future__ import annotations

import gc
import hashlib
import os
import re
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from errno import EINVAL
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from procedures_lib.findings import Finding, Place, SlipError
from procedures_lib.language.entities.builder import build
from procedures_lib.language.entities.work import Content
from procedures_lib.language.reading.page import Page
from procedures_lib.language.reading.page_text import LARGEST
from procedures_lib.language.reading.reader import read_page
from procedures_lib.spelling import nearest

if TYPE_CHECKING:
    from concurrent.futures import Executor


KINDS = frozenset(
    {".html", ".css", ".json", ".csv", ".svg", ".png", ".jpg", ".jpeg", ".webp", ".pdf", ".txt",
     ".woff2", ".woff", ".ttf", ".ico", ".webmanifest", ".gz", ".inv"}
)  # fmt: skip
"""What may stand anywhere on a site, by the end of its name."""

PICTURES = frozenset({".png", ".jpg", ".jpeg", ".webp"})
"""What a page may show."""

DOWNLOADS = PICTURES | {".csv", ".txt", ".pdf"}
"""What a page may offer."""

KINDS_BELOW = {
    "_images": PICTURES,
    "_downloads": DOWNLOADS,
    "_static": KINDS | {".js", ".mjs", ".map", ".eot", ".gif"},
}
"""What may stand below a folder at the top that Sphinx fills: the first two with what pages name,
the last with what the theme and the settings bring."""

SCRIPTS = frozenset({"worker.js", "worker-2.js", "searchindex.js"})
"""Scripts at the top of a site: its worker, twice, and the index of Sphinx's own search."""

SUPERSEDED = "superseded/"
"""Where a site keeps the pages of superseded revisions: no page of the manual may stand there."""

LISTS = frozenset({"site-files.json", "site-files-to-be.json"})
"""The names of a site's lists of its own files: no page may have them."""


def why_not_published(path: str) -> str:
    """Return why a file of a site, by its path with forward slashes, stays unpublished; "" if not.

    The words follow the path: ``is of a kind that no page may bring``.
    """
    parts = path.split("/")
    if not path.isprintable() or "\\" in path or {"", "..", "."} & set(parts):
        return "is no path of a file on a site"
    if any(part.startswith(".") for part in parts):
        return "is hidden: its name, or that of a folder above it, begins with a dot"
    if path in LISTS:
        return "has the name of the site's list of its own files"
    kinds = KINDS_BELOW.get(parts[0], KINDS) if len(parts) > 1 else KINDS
    if path in SCRIPTS or path[path.rfind(".") :].lower() in kinds:
        return ""
    return "is of a kind that no page may bring"


def superseded_page(procedure: str, revision: str) -> str:
    """Return where a site keeps the page of a revision, once another is in force."""
    name = re.sub(r"[^A-Za-z0-9._-]+", "-", revision).strip(".-")
    if name != revision:
        name += f"-{hashlib.sha256(revision.encode('utf-8', 'replace')).hexdigest()[:8]}"
    return f"{SUPERSEDED}{procedure}/{name}.html"


LARGEST_DATA = 400_000_000
"""No data file is larger, in bytes."""

_BLOCK = 1 << 20
_OTHER_CODES = (b"\xff\xfe", b"\xfe\xff")


class DataFileError(SlipError):
    """A data file that can't be read, with what to do."""

    def __init__(self, message: str, hint: str) -> None:
        super().__init__("unreadable-pull", message, hint)


@dataclass(frozen=True, slots=True)
class DataFiles:
    """The files below ``root``, named from the page that mentions them."""

    root: Path

    def path(self, page: str, name: str) -> Path:
        """Return the file that a page names; :class:`DataFileError` when it may not be read."""
        beside = "name a file beside the page, such as `data/before-1.csv`"
        if not name.strip() or "\0" in name or "\\" in name:
            raise DataFileError(f"`{name}` is no path", f"{beside}, with forward slashes")
        root = self.root.resolve()
        path = (root / page).parent / name
        target = _resolved(path)
        if target is None:
            raise DataFileError(f"`{path.name}` is a link to itself", "name the file")
        if name.startswith("/") or not target.is_relative_to(root):
            raise DataFileError(f"`{name}` leads out of the manual's folder", beside)
        if not path.is_file():
            if path.exists():
                raise DataFileError(f"`{name}` is no file", beside)
            raise DataFileError(f"`{name}` does not exist", self._near(path) or beside)
        if path.stat().st_size > LARGEST_DATA:
            raise DataFileError(f"`{name}` is larger than {LARGEST_DATA // 10**6} MB",
                                "export one pull alone")  # fmt: skip
        return path

    def _near(self, path: Path) -> str:
        folder = path.parent
        names = [each.name for each in folder.iterdir()] if folder.is_dir() else []
        near = nearest(path.name, names)
        return f"did you mean `{near}`?" if near else ""

    def page_of(self, page: str, name: str) -> str:
        """Return a file's path below the manual's folder, with forward slashes."""
        return self.path(page, name).resolve().relative_to(self.root.resolve()).as_posix()

    @contextmanager
    def lines(self, page: str, name: str) -> Iterator[Iterator[str]]:
        """Open a file and give its lines, one after another; UnicodeDecodeError at a bad one.

        :class:`DataFileError` for a file that may not be read, or is in another code.
        """
        try:
            with self.path(page, name).open("rb") as file:
                if file.peek(2)[:2] in _OTHER_CODES:
                    raise DataFileError(f"`{name}` is UTF-16", "save the file as CSV in UTF-8")
                yield (line.decode("utf-8") for line in file)
        except OSError as error:
            raise DataFileError(f"`{name}` can't be opened: {error.strerror}",
                                "look at its name and its rights") from None  # fmt: skip

    def digest(self, page: str, name: str) -> str:
        """Return a short hash of what a file holds; "" for one that can't be read."""
        found = hashlib.blake2b(digest_size=12)
        try:
            with self.path(page, name).open("rb") as file:
                while block := file.read(_BLOCK):
                    found.update(block)
        except (DataFileError, OSError):
            return ""
        return found.hexdigest()


ENDING = ".md"

UNREAD = frozenset({"unreadable-page", "outside-manual"})
"""What is found on a page that was not read, or not all of it."""


class OutsideError(ValueError):
    """A path that does not lie in the manual's folder."""


def page_names(root: Path) -> list[str]:
    """Return the names of all pages below ``root``, sorted; hidden and ``_`` folders are left out.

    Links to folders are not followed.
    """
    names = []
    for folder, inner, files in os.walk(root):
        inner[:] = sorted(name for name in inner if name[0] not in "._")
        base = Path(folder).relative_to(root)
        names += [
            (base / name).as_posix()
            for name in files
            if name.endswith(ENDING) and not name.startswith(".")
        ]
    return sorted(names)


def folder_links(root: Path) -> list[str]:
    """Return the paths of all links to folders below ``root``: none of them is followed."""
    found = []
    for folder, inner, _ in os.walk(root):
        links = [name for name in inner if os.path.islink(os.path.join(folder, name))]
        found += [Path(folder, name).relative_to(root).as_posix() for name in links]
    return found


def page_name(path: Path, root: Path) -> str:
    """Return a path as a page name; raises :class:`OutsideError` outside the manual."""
    try:
        return path.resolve().relative_to(root.resolve()).as_posix()
    except ValueError:
        raise OutsideError(f"{path} is not in the manual at {root}") from None


def raw_of(name: str, root: Path) -> bytes | Content:
    """Return the bytes of a page; of a file that can't be opened, content with that finding."""
    path = root.joinpath(name)
    if path.is_symlink() and path.exists() and not is_inside(root, path):
        found = Finding(Place(name, 1), "outside-manual", "the page is a link that leads out of the"
                        " manual's folder", "write the page here")  # fmt: skip
        return Content(Page(name, findings=(found,)))
    try:
        return _bytes_of(path)
    except OSError as error:
        reason = error.strerror or "it can't be read"
        found = Finding(Place(name, 1), "unreadable-page", f"the file can't be opened: {reason}",
                        "look at its name and its rights")  # fmt: skip
        return Content(Page(name, findings=(found,)))


def is_inside(root: Path, path: Path) -> bool:
    """Whether a path lies below a folder after its links are followed."""
    target = _resolved(path)
    return target is not None and target.is_relative_to(root.resolve())


def _resolved(path: Path) -> Path | None:
    """A path with its links followed; None where they lead to one another, or no disk has it."""
    try:
        target = path.resolve()
        return None if target.is_symlink() else target  # Python 3.13 stops there without an error
    except (OSError, RuntimeError):
        return None


def read_content(name: str, root: Path) -> Content:
    """Read and type one page; a file that can't be read is a finding."""
    raw = raw_of(name, root)
    return raw if isinstance(raw, Content) else build(read_page(raw, name))


def _bytes_of(path: Path) -> bytes:
    """Read a file, but no more of it than tells that it is too large; a pipe is not waited for."""
    if not path.is_file():
        path.stat()  # says why, when it can
        raise OSError(EINVAL, "it is no file")
    with path.open("rb") as file:
        return file.read(LARGEST + 1)


def read_contents(
    root: Path,
    names: Iterable[str],
    executor: Executor | None = None,
    progress: Callable[[], None] = lambda: None,
) -> Iterator[Content]:
    """Read many pages, in the order of their names, in this process or through an executor."""
    reader = partial(read_content, root=root)
    read = map(reader, names) if executor is None else executor.map(reader, names, chunksize=32)
    for content in read:
        progress()
        yield content


Marks = dict[str, tuple[int, int, int]]
"""For each file below a folder what tells that it is another: time, size and number on its disk."""


def marks_below(root: Path) -> Marks:
    """Return the marks of all files below a folder, by their paths with forward slashes."""
    marks = {}
    for folder, _, files in os.walk(root):
        for name in files:
            path = os.path.join(folder, name)
            try:
                state = os.stat(path)
            except OSError:
                continue
            below = os.path.relpath(path, root).replace(os.sep, "/")
            marks[below] = (state.st_mtime_ns, state.st_size, state.st_ino)
    return marks


@contextmanager
def uncollected() -> Iterator[None]:
    """Have Python's collector of cycles wait: reading and checking a page makes next to none.

    What was made meanwhile counts as old afterwards, so that it is not looked through at once.
    """
    running = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if running:
            if not gc.get_freeze_count():
                gc.freeze()
                gc.unfreeze()  # puts all among the oldest
            gc.enable()
