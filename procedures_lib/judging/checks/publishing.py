"""Publishing: contents, files in the folder, and paths named on a page."""

from __future__ import annotations

import os
import posixpath
import re
import stat
import unicodedata
from collections.abc import Iterator
from fnmatch import fnmatchcase
from pathlib import Path
from typing import NamedTuple

from procedures_lib.findings import Finding, Place
from procedures_lib.language.reading.page import Pointer
from procedures_lib.manual import Manual
from procedures_lib.manual.folder import DOWNLOADS, ENDING, PICTURES, is_inside
from procedures_lib.spelling import nearest, suggestion

_BEGINNINGS = {
    ".png": b"\x89PNG\r\n\x1a\n",
    ".jpg": b"\xff\xd8\xff",
    ".jpeg": b"\xff\xd8\xff",
    ".webp": b"RIFF",
    ".pdf": b"%PDF-",
}
"""How a file of each kind begins: PNG 3rd ed., 5.2; T.81, B.1.1.3; RFC 9649, 2.4; ISO 32000."""


class PathFault(NamedTuple):
    """Why a file can't be shown or offered, as a finding's words."""

    check: str
    message: str
    hint: str


def path_from(page: str, target: str) -> str:
    """Return a path named on a page, from the manual's folder on; "" when it leads out of it.

    A path that begins with ``/`` begins at the manual's folder.
    """
    base = "" if target.startswith("/") else posixpath.dirname(page)
    path = posixpath.normpath(posixpath.join(base, target.lstrip("/")))
    return "" if path.startswith(("..", "/")) else path


def file_fault(root: Path, page: str, target: str, picture: bool = False) -> PathFault | None:
    """Say why a file named on a page is not shown (``picture``) or offered; None when it may be."""
    path = path_from(page, target)
    if any(len(os.fsencode(part)) > 255 for part in path.split("/")):
        said = f"`{target[:40]}…` does not exist: no file has so long a name"
        return PathFault("broken-link", said, "name a file below the manual's folder")
    if not path or not is_inside(root, root / path):
        return outside(target)
    file = root / path
    if file.exists() and not file.is_file():
        said = f"`{target}` is a folder" if file.is_dir() else f"`{target}` is no plain file"
        return PathFault("broken-link", said, "name a file below the manual's folder")
    if not file.is_file():
        folder = sorted(each.name for each in file.parent.iterdir()) if file.parent.is_dir() else []
        near = nearest(file.name, folder)
        hint = f"did you mean `{near}`?" if near else "name a file below the manual's folder"
        return PathFault("broken-link", f"`{target}` does not exist", hint)
    kinds = PICTURES if picture else DOWNLOADS
    if file.suffix not in kinds:
        said = f"`{target}` is no {'picture' if picture else 'file'} that a page may bring"
        small = f"{file.stem}{file.suffix.lower()}"
        known = file.suffix.lower() in kinds
        hint = f"rename it `{small}`" if known else f"the kinds are {', '.join(sorted(kinds))}"
        return PathFault("foreign-file", said, hint)
    return _content_fault(file, target)


def _content_fault(file: Path, target: str) -> PathFault | None:
    try:
        with file.open("rb") as opened:
            start = opened.read(16)
    except OSError as error:
        said = f"`{target}` can't be opened: {error.strerror}"
        return PathFault("broken-link", said, "look at its name and its rights")
    if start.startswith(_BEGINNINGS.get(file.suffix, b"")):
        return None
    if not start:
        return PathFault("foreign-file", f"`{target}` is empty", "copy it again from where it came")
    said = f"`{target}` does not begin as a file of its kind does"
    return PathFault("foreign-file", said, "save it anew from the program that made it")


def outside(target: str) -> PathFault:
    """The fault of a path that leads out of the manual's folder."""
    said = f"`{target}` leads out of the manual's folder"
    return PathFault("outside-manual", said, "copy the file below that folder, name it there")


FIRST = f"index{ENDING}"
"""The page that a reader of the site comes to first."""


class Entry(NamedTuple):
    """A line of a list of contents, and the page that it leads to."""

    line: int
    page: str


Tree = dict[str, list[Entry]]
"""The entries of each page that has contents."""


def contents(manual: Manual) -> Iterator[Finding]:
    """Find lists of contents that name no page, lead back, or leave a page out."""
    if manual.files is None or not manual.whole or not manual.contents:
        return
    tree: Tree = {}
    for name, content in manual.contents.items():
        lines = [p for p in content.page.pointers if p.kind in {"entry", "glob"}]
        if lines:
            yield from _entries(manual, name, lines, tree.setdefault(name, []))
    yield from _circles(tree)
    yield from _left_out(manual, tree)


def _entries(
    manual: Manual, page: str, lines: list[Pointer], entries: list[Entry]
) -> Iterator[Finding]:
    """Take up what the lines of a page's contents name; yield what is wrong with them.

    `*`, for the pages beside this one, may find none yet.
    """
    taken: set[str] = set()
    for line in lines:
        place = Place(page, line.line)
        named = list(_named(manual, page, line))
        new = [name for name in named if name not in taken]
        taken.update(new)
        entries += (Entry(line.line, name) for name in new)
        if not named and line.target != "*":
            said = f"`{line.target}` in the contents leads to no page"
            yield Finding(place, "broken-link", said, _near(manual, page, line.target))
        elif not new and not _is_pattern(line):
            said = f"`{line.target}` stands twice in these contents"
            yield Finding(place, "stands-twice", said, "remove one of the two")
        for name in new:
            if not manual.contents[name].page.title:
                said = f"`{name}` has no title by which these contents could name it"
                yield Finding(place, "broken-link", said, f"begin `{name}` with `# Title`")


def _is_pattern(line: Pointer) -> bool:
    return line.kind == "glob" and any(sign in line.target for sign in "*?[")


def _named(manual: Manual, page: str, line: Pointer) -> Iterator[str]:
    path = path_from(page, line.target)
    if not path:
        return
    if _is_pattern(line):
        parts = path.split("/")
        for name in manual.contents:
            other = name.removesuffix(ENDING).split("/")
            same = len(other) == len(parts) and all(map(fnmatchcase, other, parts))
            if same and name != page:
                yield name
    else:
        name = path if path.endswith(ENDING) else f"{path}{ENDING}"
        if name in manual.contents and name != page:
            yield name


def _near(manual: Manual, page: str, target: str) -> str:
    base = posixpath.dirname(page)
    known = [posixpath.relpath(name, base or ".").removesuffix(ENDING) for name in manual.contents]
    return suggestion(target, known)


def _circles(tree: Tree) -> Iterator[Finding]:
    """Yield each entry that leads back to a page above it."""
    done: set[str] = set()
    for root in sorted(tree, key=lambda name: (name != FIRST, name)):
        path: list[tuple[str, Iterator[Entry]]] = []
        if root not in done:
            path.append((root, iter(tree[root])))
        while path:
            page, rest = path[-1]
            entry = next(rest, None)
            if entry is None:
                done.add(page)
                path.pop()
            elif entry.page in (above := [name for name, _ in path]):
                circle = [*above[above.index(entry.page) :], entry.page]
                said = f"these contents lead back: {' → '.join(circle)}"
                place = Place(page, entry.line)
                yield Finding(place, "endless-contents", said, "name each page once, from above")
            elif entry.page not in done and entry.page in tree:
                path.append((entry.page, iter(tree[entry.page])))


def _left_out(manual: Manual, tree: Tree) -> Iterator[Finding]:
    """Yield each page that no contents lead to; none where the first page has no contents."""
    listed = {entry.page for entries in tree.values() for entry in entries}
    for name, content in manual.contents.items() if FIRST in tree else ():
        if name not in listed and name != FIRST and "orphan" not in content.page.settings:
            said = "no contents lead to this page"
            hint = "name it in a `{toctree}`, or write `orphan: true` between `---` above it"
            yield Finding(Place(name, 1), "not-in-contents", said, hint)


KINDS = frozenset({ENDING, *PICTURES, *DOWNLOADS})
"""Endings of the files that a manual is made of."""

_PLAIN = re.compile(r"[^\x00-\x1f\x7f\\:*?\"<>|#%\[\]{}\u200b-\u200f\u2028-\u202e\ufeff]+")
_LONGEST = 150
"""The most bytes of a name: the site makes longer ones of it, and a disk has 255."""

_OF_THE_SITE = frozenset({"search", "genindex", "py-modindex", "modindex", "worker"})
_PLACES_OF_THE_SITE = frozenset({"offline", "find", "schema"})


def files(manual: Manual) -> Iterator[Finding]:
    """Find what stands in the manual's folder and is neither page, picture nor data."""
    if manual.files is None or not manual.whole:
        return
    root = manual.files.root
    for folder, inner, names in os.walk(root):
        inner[:] = sorted(name for name in inner if not name.startswith("."))
        base = Path(folder).relative_to(root)
        yield from _twins(base, [*inner, *names])
        for name in (*inner, *sorted(names)):
            if name.startswith("."):
                continue
            yield from _file(root, (base / name).as_posix(), is_folder=name in inner)


def _twins(base: Path, names: list[str]) -> Iterator[Finding]:
    """Yield names that are one and the same on a disk that does not tell capitals apart."""
    first: dict[str, str] = {}
    for name in sorted(names):
        twin = first.setdefault(unicodedata.normalize("NFC", name).casefold(), name)
        if twin != name:
            said = f"the name differs from `{twin!a}` in capitals or accents alone"
            place = _place((base / name).as_posix())
            yield Finding(place, "foreign-file", said, "give one of them another name")


def _place(path: str) -> Place:
    return Place(path.encode("utf-8", "replace").decode(), 1)


def _file(root: Path, path: str, is_folder: bool) -> Iterator[Finding]:
    place, name = _place(path), path.rpartition("/")[2]
    if os.path.islink(root / path):
        yield from _link(root, path, place)
    elif not _is_plain(name):
        said = f"the name {name!a} can't stand in an address"
        yield Finding(place, "foreign-file", said, "use letters, digits, hyphens, and not too many")
    elif not is_folder and not stat.S_ISREG((root / path).lstat().st_mode):
        yield Finding(place, "foreign-file", "this is no plain file", "remove it")
    elif not is_folder and Path(path).suffix not in KINDS:
        said = f"a manual is made of {', '.join(sorted(KINDS))} files, and this is none"
        hint = "write a page in MyST; keep code and settings outside of the manual's folder"
        yield Finding(place, "foreign-file", said, hint)
    elif _is_of_the_site(path, is_folder):
        yield Finding(place, "foreign-file", "the site has a page or folder of this name itself",
                      "give it another name")  # fmt: skip


def _is_plain(name: str) -> bool:
    composed = unicodedata.is_normalized("NFC", name)
    fits = len(name.encode("utf-8", "replace")) <= _LONGEST
    return bool(_PLAIN.fullmatch(name)) and name.isprintable() and composed and fits


def _link(root: Path, path: str, place: Place) -> Iterator[Finding]:
    target = root / path
    if path.endswith(ENDING) and not target.is_dir():
        return  # the reader tells what is wrong with it
    if not target.exists():
        yield Finding(place, "broken-link", "this link leads to nothing", "remove it")
    elif not is_inside(root, target):
        fault = outside(path)
        yield Finding(place, fault.check, f"{fault.message}: it is a link", fault.hint)
    elif target.is_dir():
        yield Finding(place, "foreign-file", "links to folders are not followed",
                      "move the folder here")  # fmt: skip


def _is_of_the_site(path: str, is_folder: bool) -> bool:
    if is_folder:
        return path in _PLACES_OF_THE_SITE or path.endswith(".html")
    return path.removesuffix(ENDING) in _OF_THE_SITE
