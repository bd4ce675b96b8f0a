"""What others keep in the folder of a site: found, and carried to the next one, never deleted."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from procedures_lib.cli.exits import Refused
from procedures_lib.cli.folders import relative
from procedures_lib.cli.publishing import disk
from procedures_lib.cli.publishing.site_list import LIST, PLAN, folders_of

if TYPE_CHECKING:
    from collections.abc import Iterator
    from collections.abc import Set as AbstractSet
    from pathlib import Path

    from procedures_lib.cli.publishing.site_list import SiteList


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
