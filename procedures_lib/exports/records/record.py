"""A record as a plain value, read from JSON with a finding for each field that is not right."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from procedures_lib.exports.records.fields import Fields

if TYPE_CHECKING:
    from collections.abc import Mapping

    from procedures_lib.exports.records.saying import RecordFinding

FORMAT = 1
MOST_ITEMS = 5000
"""More steps or readings than any procedure has."""


@dataclass(frozen=True, slots=True)
class StepDone:
    """A step that was ticked; ``done`` is when, None where that can't be told."""

    path: str
    number: int
    done: datetime.datetime | None = None


@dataclass(frozen=True, slots=True)
class Reading:
    """What was read at one stage of one joint, as it was typed.

    ``value`` and ``unit`` are text: whether they can be read is for the check to say.
    """

    path: str
    step: int
    joint: str
    stage: int
    value: str
    unit: str
    wrench: str
    initials: str
    at: datetime.datetime | None


@dataclass(frozen=True, slots=True)
class Record:
    """A job on one car: which procedure, which revision, which car, what was done and read."""

    procedure: str
    revision: str
    digest: str
    car: Mapping[str, str]
    steps: tuple[StepDone, ...] = ()
    readings: tuple[Reading, ...] = ()


def read_record(value: Mapping[str, Any]) -> tuple[Record | None, list[RecordFinding]]:
    """Return the record in a JSON object; None when it does not say what it is a record of.

    An item that can't be read is a finding, and the others are used.
    """
    fields = Fields(value)
    if value.get("format") != FORMAT or isinstance(value.get("format"), bool):
        fields.find(
            "format",
            "unknown-format",
            "this is no record in format 1",
            "save it from the page, or with the version of this tool that made it",
        )
        return None, fields.findings
    procedure, revision, digest = (
        fields.text(key, needed=True) for key in ("procedure", "revision", "digest")
    )
    if fields.findings:
        return None, fields.findings
    stated = fields.inner("car")
    car = {str(option): stated.text(option) for option in stated.value}
    steps, readings = _steps(fields), _readings(fields)
    return Record(procedure, revision, digest, car, steps, readings), fields.findings


def _steps(fields: Fields) -> tuple[StepDone, ...]:
    found = []
    for item in fields.items("steps", MOST_ITEMS):
        number, done = item.whole("number"), item.moment("done")
        if number:
            found.append(StepDone(item.path, number, done))
    return tuple(found)


def _readings(fields: Fields) -> tuple[Reading, ...]:
    return tuple(_reading(item) for item in fields.items("readings", MOST_ITEMS))


def _reading(item: Fields) -> Reading:
    return Reading(
        path=item.path,
        step=item.whole("step"),
        joint=item.text("joint", needed=True),
        stage=item.whole("stage"),
        value=item.text("value").strip(),
        unit=item.text("unit").strip(),
        wrench=item.text("wrench").strip(),
        initials=item.text("initials").strip(),
        at=item.moment("at"),
    )
