"""Records of the work: what a procedure asks to be written down, and whether a record has it."""

from procedures_lib.judging.records.readings import (
    Asked,
    asked,
    asked_at,
    procedure_digest,
    step_digest,
    step_keys,
)
from procedures_lib.judging.records.record import (
    Reading,
    Record,
    RecordError,
    RecordFinding,
    StepDone,
    load_record,
    read_record,
)
from procedures_lib.judging.records.record_check import check_record

__all__ = [
    "Asked",
    "Reading",
    "Record",
    "RecordError",
    "RecordFinding",
    "StepDone",
    "asked",
    "asked_at",
    "check_record",
    "load_record",
    "procedure_digest",
    "read_record",
    "step_digest",
    "step_keys",
]
