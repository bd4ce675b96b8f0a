"""What the check of a record has to say, and at which place of the record."""

from __future__ import annotations

from dataclasses import dataclass

from procedures_lib.findings import Level


@dataclass(frozen=True, slots=True)
class RecordFinding:
    """One thing that is wrong with a record.

    ``path`` is a JSONPath (RFC 9535) to the value, ``$.readings[3].value``; ``check`` a stable
    kebab-case name; ``hint`` says what to do about it.
    """

    path: str
    check: str
    message: str
    hint: str
    level: Level = Level.ERROR


def warning(path: str, check: str, message: str, hint: str) -> RecordFinding:
    """Return a finding that does not make a record bad."""
    return RecordFinding(path, check, message, hint, Level.WARNING)
