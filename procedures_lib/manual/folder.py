"""The files of a manual: which pages there are, and their text typed."""

from __future__ import annotations

import os
from errno import EINVAL
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from procedures_lib.entities.builder import build
from procedures_lib.entities.content import Content
from procedures_lib.findings import Finding, Place
from procedures_lib.reading.page import Page
from procedures_lib.reading.reader import read_page
from procedures_lib.reading.text import LARGEST

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator
    from concurrent.futures import Executor

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


def name_of(path: Path, root: Path) -> str:
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
    try:
        return path.resolve().is_relative_to(root.resolve())
    except (OSError, RuntimeError):  # links that lead to one another
        return False


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
