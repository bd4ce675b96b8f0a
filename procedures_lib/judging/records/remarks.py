"""The remarks of a record: their kinds, and whether kind and photograph are right."""

from __future__ import annotations

from collections.abc import Iterator

from procedures_lib.findings import Level
from procedures_lib.judging.records.photograph import (
    Photograph,
    PhotographError,
    read_photograph,
)
from procedures_lib.judging.records.record import Record, RecordFinding, Remark
from procedures_lib.spelling import suggestion

KINDS = {
    "wrong": "wrong",
    "missing": "missing",
    "unclear": "unclear",
    "slow": "took longer",
}
"""What a remark may say of a step, each as it is shown."""


def photograph_of(remark: Remark) -> Photograph | None:
    """Return the photograph of a remark, None where it has none that can be shown."""
    try:
        return read_photograph(remark.picture) if remark.picture is not None else None
    except PhotographError:
        return None


def check_remarks(record: Record) -> Iterator[RecordFinding]:
    """Yield what is wrong with the remarks of a record, whatever page it is of."""
    for remark in record.remarks:
        if remark.kind not in KINDS:
            message = f"there is no remark of the kind `{remark.kind[:60]}`"
            hint = suggestion(remark.kind, KINDS) or f"write one of {', '.join(KINDS)}"
            yield RecordFinding(f"{remark.path}.kind", "unknown-kind", message, hint)
        if remark.picture is not None:
            yield from _photograph(remark)


def _photograph(remark: Remark) -> Iterator[RecordFinding]:
    path = f"{remark.path}.picture"
    try:
        found = read_photograph(remark.picture or {})
    except PhotographError as error:
        yield RecordFinding(path, error.check, error.message, error.hint)
        return
    if found.has_camera_data:
        message = "the photograph carries data of the camera, perhaps where it was taken"
        hint = "the page leaves them out: was the file edited?"
        yield RecordFinding(path, "camera-data", message, hint, Level.WARNING)
