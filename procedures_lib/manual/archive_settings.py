"""What the shop says of its archive: where it is, what of a person is kept, when the shop rests."""

from __future__ import annotations

import datetime
import re
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
            refuse("unknown-word", f"`{word}` is no break of a day",
                   "write from when to when: `12:00-12:45`", getattr(word, "line", 0))  # fmt: skip
    return words


Breaks = Annotated[tuple[Scalar, ...], *plain(_breaks, STRINGS, list)]


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

    @property
    def rests(self) -> tuple[tuple[datetime.time, datetime.time], ...]:
        """The breaks as times of day, from and to."""
        found = (_SPAN.fullmatch(text) for text in self.breaks)
        times = ([int(part) for part in each.groups()] for each in found if each)
        return tuple((datetime.time(a, b), datetime.time(c, d)) for a, b, c, d in times)
