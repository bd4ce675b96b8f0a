"""One line of a ``do`` list to an :class:`Action`: ``verb object[, object …]``."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from procedures_lib.entities.verbs import VERBS
from procedures_lib.entities.work import Action
from procedures_lib.findings import Place, suggestion
from procedures_lib.reading.scalar import Scalar

if TYPE_CHECKING:
    from procedures_lib.entities.fields import FieldReader

_ALONE = "an action is `verb object`; a comma inside `[ ]` begins a new one: write one a line"
_STAGE = re.compile(r"(.+?)\s+stage\s+(\S+)$")
_ON = re.compile(r"(.+?)\s+on\s+(\S+)$")


def read_action(text: Scalar, reader: FieldReader) -> Action | None:
    """Read one action; None, with a finding, when there is no verb or no object."""
    line = text.line
    word, _, rest = text.strip().partition(" ")
    if word not in VERBS:
        reader.find(line, "unknown-verb", f"`{word}` is no verb, in `{text}`",
                    suggestion(word, VERBS) if rest else _ALONE)  # fmt: skip
        return None
    rest = rest.strip()
    on, stage = None, 0
    if word == "fit" and (match := _ON.match(rest)):
        rest, on = match[1], Scalar(match[2], line)
    if word == "tighten" and (match := _STAGE.match(rest)):
        rest, stage = match[1], _stage_number(match[2], line, reader)
    objects = tuple([Scalar(part, line) for each in rest.split(",") if (part := each.strip())])
    if not objects:
        reader.find(line, "missing-field", f"`{word}` does not say what",
                    f"write `{word}` and an id, as in `{word} front-cover`")  # fmt: skip
        return None
    return Action(
        verb=Scalar(word, line), objects=objects, place=Place(reader.page, line), on=on, stage=stage
    )


def _stage_number(text: str, line: int, reader: FieldReader) -> int:
    if text.isascii() and text.isdigit() and 0 < int(text[:4]) < 100:
        return int(text[:4])
    reader.find(line, "out-of-range", f"`stage {text}` names no stage",
                "stages count from 1: `tighten cooler-bolts stage 1`")  # fmt: skip
    return 0
