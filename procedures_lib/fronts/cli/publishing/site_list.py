"""The list that a site carries of its own files, their contents, and what others keep there."""

from __future__ import annotations

import hashlib
import json
import os
import stat
from collections.abc import Iterable, Iterator, Mapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from pathlib import Path
from typing import Any, NamedTuple

from procedures_lib.fronts.cli.arguments import relative
from procedures_lib.fronts.cli.publishing import disk
from procedures_lib.fronts.cli.terminal import Refused
from procedures_lib.manual.folder import why_not_published

LIST = "site-files.json"
"""The list of a site that is whole."""

PLAN = "site-files-to-be.json"
"""The list of a folder that is being made: what may be there of it already."""

_FORMAT = 1
_MAKER = "procedures build"
_HASH_DIGITS = 20
"""How many hexadecimal digits of a SHA-256 tell a content: 80 bits."""


class Content(NamedTuple):
    """What tells one content of a file from another: its size, and digits of its SHA-256."""

    size: int
    hash: str


@dataclass(frozen=True)
class SiteList:
    """The files of a site by their paths below it, with forward slashes."""

    files: Mapping[str, Content] = field(default_factory=dict)

    @cached_property
    def folders(self) -> frozenset[str]:
        """The folders that hold these files."""
        return folders_of(self.files)

    def as_json(self) -> bytes:
        """The list as a file: a line for each file of the site, the same for the same site."""
        rows = json.dumps(dict(sorted(self.files.items()))).replace('], "', '],\n"')
        return f'{{"format": {_FORMAT}, "made-by": "{_MAKER}", "files":\n{rows}}}\n'.encode()


def folders_of(paths: Iterable[str]) -> frozenset[str]:
    """Return every folder above these paths."""
    found: set[str] = set()
    for path in paths:
        while "/" in path:
            path = path.rpartition("/")[0]  # noqa: PLW2901 - upwards
            if path in found:
                break
            found.add(path)
    return frozenset(found)


def list_in(folder: Path, name: str = LIST) -> SiteList | None:
    """Return the list in a folder, None when there is none.

    :class:`Refused` when it can't be read, or names what no site can hold.
    """
    path = folder / name
    try:
        if path.is_symlink():
            raise ValueError
        return _from_json(path.read_bytes())
    except (FileNotFoundError, NotADirectoryError):
        return None
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
        raise Refused(
            f"{relative(path)} is not the list of a site's files that a build writes: what in the "
            "folder belongs to the site can't be told.\n"
            "Name another folder with --output, or empty this one."
        ) from None


@lru_cache(maxsize=4)  # asked for several times in one publication
def _from_json(text: bytes) -> SiteList:
    value: Any = json.loads(text)
    if value["format"] != _FORMAT or value["made-by"] != _MAKER:
        raise ValueError
    files = {path: Content(int(size), str(hash_)) for path, (size, hash_) in value["files"].items()}
    if any(why_not_published(path) for path in files) or files.keys() & folders_of(files):
        raise ValueError
    return SiteList(files)


class Known(NamedTuple):
    """A content, and the times of the file as built and as served that have it, in ns."""

    content: Content
    built: int
    served: int


def built_files(folder: Path) -> dict[str, os.stat_result]:
    """Return the state of each file that Sphinx has left, by its path, but for hidden ones.

    :class:`Refused` for a link, or whatever else is no plain file.
    """
    found = {}
    for path, entry in _entries(f"{folder}/", ""):
        found[path] = entry.stat(follow_symlinks=False)
        if not stat.S_ISREG(found[path].st_mode):
            raise Refused(f"not published: {relative(folder / path)} is no plain file.")
    return found


def _entries(folder: str, below: str) -> Iterator[tuple[str, os.DirEntry[str]]]:
    with os.scandir(f"{folder}{below}") as entries:
        for entry in entries:
            path = f"{below}{entry.name}"
            if entry.name.startswith("."):
                continue
            if entry.is_dir(follow_symlinks=False):
                yield from _entries(folder, f"{path}/")
            else:
                yield path, entry


def content_of(path: str, state: os.stat_result, known: Known | None) -> Content:
    """Return the content of a built file; it is not read when it is known by size and time."""
    if known and (known.content.size, known.built) == (state.st_size, state.st_mtime_ns):
        return known.content
    with open(path, "rb") as file:
        digest = hashlib.file_digest(file, "sha256").hexdigest()
    return Content(state.st_size, digest[:_HASH_DIGITS])


def is_intact(path: str, known: Known) -> bool:
    """Tell whether a served file is as it was published."""
    try:
        state = os.lstat(path)
    except OSError:
        return False
    same = (state.st_size, state.st_mtime_ns) == (known.content.size, known.served)
    return same and stat.S_ISREG(state.st_mode)


def load_known(path: Path) -> dict[str, Known]:
    """Return what was remembered; nothing when that can't be read."""
    try:
        rows: Any = json.loads(path.read_bytes())
        return {
            name: Known(Content(size, hash_), built, served)
            for name, (size, hash_, built, served) in rows.items()
        }
    except (OSError, ValueError, TypeError, AttributeError):
        return {}


def known_as_json(known: Mapping[str, Known]) -> bytes:
    """What is remembered, as a file."""
    return json.dumps({name: [*k.content, k.built, k.served] for name, k in known.items()}).encode()


def foreign_in(folder: Path, own: SiteList, shared: AbstractSet[str] = frozenset()) -> list[str]:
    """Return the paths below a folder that its list does not name, only the topmost of each.

    ``shared`` are folders that another site has as well: what is in them is told one by one. A
    link is one thing, whatever it leads to.
    """
    return sorted(_foreign(f"{folder}/", "", own, own.folders | shared))


def _foreign(folder: str, below: str, own: SiteList, open_: AbstractSet[str]) -> Iterator[str]:
    with os.scandir(f"{folder}{below}") as entries:
        for entry in entries:
            path = f"{below}{entry.name}"
            if entry.is_dir(follow_symlinks=False):
                if path in open_:
                    yield from _foreign(folder, f"{path}/", own, open_)
                else:
                    yield path
            elif path not in own.files and path not in (LIST, PLAN):
                yield path


def refuse_clashes(served: Path, foreign: list[str], new: SiteList) -> None:
    """:class:`Refused` when something of others can't stay: the new site has a file at its place,
    or it is a folder that this user may not move.
    """
    for path in foreign:
        place = served / path
        if place.is_dir() and not place.is_symlink() and not os.access(place, os.W_OK):
            raise Refused(
                f"{relative(place)} is not of the site that was published there, and can't be kept "
                "there: this user may not move it.\n"
                "Let this user write in it, or name another folder with --output."
            )
        if path in new.files or path in new.folders or not folders_of([path]).isdisjoint(new.files):
            raise Refused(
                f"{relative(served / path)} is not of the site that was published there, and the "
                "new site has a file at its place.\n"
                "Move it out of the way, or name another folder with --output."
            )


def carry(old: Path, own: SiteList, new: Path, site: SiteList) -> None:
    """Move what others kept in the old folder of a site to the new one, each at one stroke.

    :class:`Refused` where the new one has something at its place: both stay.
    """
    for path in foreign_in(old, own, site.folders):
        if os.path.lexists(new / path) or not _make_room(new, path):
            raise Refused(
                f"{relative(old / path)} is not of the site, and can't be moved to "
                f"{relative(new / path)}: something else is there.\n"
                "Keep what you need of the two, and build again."
            )
        disk.rename(old / path, new / path)


def _make_room(root: Path, path: str) -> bool:
    """Make the folders above a path; False when something that is no folder is in the way."""
    for folder in sorted(folders_of([path])):
        place = root / folder
        if not os.path.lexists(place):
            disk.make_folder(place)
        if place.is_symlink() or not place.is_dir():
            return False
    return True
