"""Records of the work: what a procedure asks to be written down, and whether a record has it."""

from procedures_lib.exports.records.asked import Asked, asked, asked_at
from procedures_lib.exports.records.checking import check_record
from procedures_lib.exports.records.followed import procedure_digest, step_digest, step_keys
from procedures_lib.exports.records.loading import RecordError, load_record
from procedures_lib.exports.records.record import Reading, Record, StepDone, read_record
from procedures_lib.exports.records.saying import RecordFinding

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
