"""Survivors that were judged by hand, one by one: harmless, or a gap with what would find it."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tests.faults.kinds import Fault

HARMLESS = Path(__file__).with_name("harmless.toml")
GAPS = Path(__file__).with_name("gaps.toml")
FALSE_ALARMS = Path(__file__).with_name("false_alarms.toml")
BETWEEN = " | "


def words_of(kind: str, fault: Fault) -> str:
    """A fault as it stands on a list: ``kind | page | what``."""
    return BETWEEN.join((kind, fault.page, fault.what))


@dataclass(slots=True)
class Judged:
    """A list of judged faults, each with its reason; ``used`` are those that were met."""

    reasons: dict[str, str] = field(default_factory=dict)
    used: set[str] = field(default_factory=set)

    def reason(self, kind: str, fault: Fault) -> str:
        """Return the reason given for a fault, "" when it is not on the list."""
        words = words_of(kind, fault)
        if words in self.reasons:
            self.used.add(words)
        return self.reasons.get(words, "")

    def unused(self) -> Iterator[str]:
        """Yield what no survivor was met for: it can go."""
        return (words for words in self.reasons if words not in self.used)


def read_judged(text: str, reason: str) -> Judged:
    """Read a list whose entries have a ``fault`` and, under the name given, a reason.

    Raises ValueError for an entry without reason, for a fault that is not said in three parts,
    stands twice or has a ``*`` for others.
    """
    found = Judged()
    for entry in tomllib.loads(text).get("judged", ()):
        fault = str(entry["fault"])
        said = " ".join(str(entry.get(reason, "")).split())
        if not said:
            raise ValueError(f"no {reason} is given for {fault}")
        if fault in found.reasons:
            raise ValueError(f"it stands twice: {fault}")
        if len(fault.split(BETWEEN)) != 3 or "*" in fault:
            raise ValueError(f"write one fault, `kind | page | what`: {fault}")
        found.reasons[fault] = said
    return found


def harmless() -> Judged:
    """The faults that change nothing a technician would do wrongly."""
    return read_judged(HARMLESS.read_text(encoding="utf-8"), "reason")


def gaps() -> Judged:
    """The faults that no check finds yet, each with what would."""
    return read_judged(GAPS.read_text(encoding="utf-8"), "needs")


def false_alarms() -> Judged:
    """The right edits that some check reports, each with what is wrong with it."""
    return read_judged(FALSE_ALARMS.read_text(encoding="utf-8"), "wrong")
