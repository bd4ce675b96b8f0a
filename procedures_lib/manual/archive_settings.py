"""What the shop says of its archive: where it is, what of a person is kept, when the shop rests."""

from __future__ import annotations

import datetime
import os
import re
from pathlib import Path
from typing import Annotated, Any

from procedures_lib.language.entities.entity import Model
from procedures_lib.language.entities.field_types import (
    STRINGS,
    OneOf,
    Text,
    YesNo,
    many,
    one,
    plain,
    refuse,
)
from procedures_lib.language.reading.page import Scalar

_SPAN = re.compile(r"([01]\d|2[0-3]):([0-5]\d) ?[-–] ?([01]\d|2[0-3]):([0-5]\d)")


def _breaks(value: Any) -> tuple[Scalar, ...]:
    words = tuple(one(word) for word in many(value))
    for word in words:
        found = _SPAN.fullmatch(word)
        if not found or found.groups()[:2] >= found.groups()[2:]:
            cure = "write from when to when, hours with two digits: `09:00-09:15`"
            message = f"`{word}` is no break of a day"
            refuse("unknown-word", message, cure, getattr(word, "line", 0))
    return words


Breaks = Annotated[tuple[Scalar, ...], *plain(_breaks, STRINGS, list)]


_DRIVE = re.compile(r"[A-Za-z]:")
_WRITE = 'write a folder of its own beside the pages, `folder = "archive"`, or a whole path'


def place_fault(folder: str, pages: Path) -> tuple[str, str] | None:
    """Return why an archive can't be in a folder, and what to write; None where it can.

    ``folder`` is absolute or relative to the folder that holds ``pages``. What stands there may be
    published, or is in the way of the manual's own files. A link is followed to where it leads.
    """
    if folder.startswith("~"):
        return f"`{folder}`: `~` stands for nothing here", "write the whole path, from `/` on"
    if "\\" in folder:
        return f"`{folder}`: folders are not parted by `\\` here", "write `/`, as in `../archive`"
    if _DRIVE.match(folder) and os.name != "nt":
        return f"`{folder}` names a drive, and there are none here", _WRITE
    root = os.path.abspath(pages.parent / folder)
    for place in (Path(root), Path(os.path.realpath(root))):
        if fault := _among_own(folder, place, pages):
            return fault, _WRITE
    return None


def _among_own(folder: str, root: Path, pages: Path) -> str:
    project = Path(os.path.abspath(pages.parent))
    if root.is_relative_to(os.path.abspath(pages)):
        return f"`{folder}` is among the pages, and may be published with them"
    if root == project:
        return f"`{folder}` is the manual's own folder"
    inside = root.relative_to(project).parts if root.is_relative_to(project) else ()
    if inside[:1] == ("conf",):
        return f"`{folder}` is among the manual's settings"
    if any(part.startswith(".") for part in inside):
        return f"`{folder}` is in a hidden folder of the manual, as git and the build have them"
    return ""


class ArchiveSettings(Model):
    """Where records of jobs are kept, and what of a person is kept with them.

    ``folder`` is relative to the folder that holds pages and settings. ``registration`` is
    ``keep``, ``hash`` (it can be looked for, and not read) or ``leave-out``; without ``initials``
    people are told apart within a job, and no more. ``breaks`` are the times of day at which the
    shop rests: they are not time that a step took.
    """

    folder: Text = "archive"
    registration: Annotated[str, OneOf("hash", "keep", "leave-out")] = "hash"
    initials: YesNo = False
    breaks: Breaks = ()

    def place_fault(self, pages: Path) -> tuple[str, str] | None:
        """Return why the archive can't be in its folder, and what to write; None where it can.

        ``pages`` is the folder of the manual's pages.
        """
        return place_fault(self.folder, pages)

    @property
    def rests(self) -> tuple[tuple[datetime.time, datetime.time], ...]:
        """The breaks as times of day, from and to."""
        found = (_SPAN.fullmatch(text) for text in self.breaks)
        times = ([int(part) for part in each.groups()] for each in found if each)
        return tuple((datetime.time(a, b), datetime.time(c, d)) for a, b, c, d in times)
