"""A state of the manual that is named on a command line: a folder, or a revision of git."""

from __future__ import annotations

import hashlib
import posixpath
from dataclasses import dataclass
from functools import cache
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING

from procedures_lib.cli.exits import Refused
from procedures_lib.cli.folders import absolute, relative
from procedures_lib.cli.git import files_at
from procedures_lib.entities.builder import build
from procedures_lib.manual import Manual
from procedures_lib.manual.data_files import DataFiles
from procedures_lib.manual.folder import ENDING, page_names
from procedures_lib.reading.reader import read_page

if TYPE_CHECKING:
    from collections.abc import Callable

    from procedures_lib.cli.folders import Folders

DATA_ENDING = ".csv"


@dataclass(frozen=True, slots=True)
class State:
    """A manual as it is or was, what to call it, and the folder where its pages are or were.

    ``digest`` returns a short hash of a data file beside a page, "" for one that is not there.
    """

    manual: Manual
    name: str
    pages: Path
    digest: Callable[[str, str], str]


def state_named(word: str, folders: Folders) -> State:
    """Return the state that a word names: that of an existing folder, or else of a revision.

    :class:`Refused` when it is neither, or holds no page.
    """
    if not word.strip():  # Path("") would be the current folder
        raise Refused("an empty word names neither a folder of pages nor a revision of git.")
    if Path(word).is_dir():
        return folder_state(_pages_in(Path(word)), word)
    return revision_state(word, folders)


def folder_state(pages: Path, name: str) -> State:
    """Return the state of a folder of pages; :class:`Refused` when it holds none."""
    if not page_names(pages):
        raise Refused(f"{relative(pages)} holds no pages (files that end in .md).")
    return State(Manual.read(pages), name, pages, DataFiles(pages).digest)


def revision_state(revision: str, folders: Folders) -> State:
    """Return the state of the manual's pages at a revision; nothing is checked out.

    :class:`Refused` when git has no answer, or there was no page then.
    """
    try:
        files = files_at(revision, folders.pages, ENDING)
    except Refused as error:
        hint = "" if revision.startswith("-") else f"\n`{revision}` is no folder either."
        raise Refused(f"{error.message}{hint}") from None
    names = sorted(name for name in files if is_page(name))
    if not names:
        raise Refused(
            f"at the revision {revision} there were no pages in {relative(folders.pages)}.\n"
            "Give a later revision, or the folder that holds the old pages."
        )
    manual = Manual(build(read_page(files[name], name)) for name in names)
    return State(manual, revision, folders.pages, _digests(revision, folders.pages))


def _digests(revision: str, pages: Path) -> Callable[[str, str], str]:
    """Return what hashes the data files of a revision, which are read when the first is wanted."""

    @cache
    def files() -> dict[str, bytes]:
        return files_at(revision, pages, DATA_ENDING)

    def digest(page: str, name: str) -> str:
        path = posixpath.normpath(posixpath.join(posixpath.dirname(page), name))
        held = files().get(path)
        return "" if held is None else hashlib.blake2b(held, digest_size=12).hexdigest()

    return digest


def is_page(name: str) -> bool:
    """Tell whether a path is that of a page: hidden and ``_`` folders hold none."""
    path = PurePosixPath(name)
    return (
        path.suffix == ENDING
        and path.name[0] != "."
        and all(part[0] not in "._" for part in path.parts[:-1])
    )


def _pages_in(folder: Path) -> Path:
    """The folder of pages: ``docs`` in a project's folder, else the folder itself."""
    inner = folder / "docs"
    return absolute(inner if inner.is_dir() and (folder / "conf").is_dir() else folder)
