"""Seeds the faults one by one and notes which the checks find."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from hashlib import sha256
from typing import TYPE_CHECKING

from tests.faults import (  # noqa: F401  (each puts its kinds on the list)
    actions,
    conditions,
    derived,
    fields,
    kits,
    merges,
    needs,
    numbers,
    prose,
    signals,
    steps,
)
from tests.faults.judged import Judged, gaps, harmless, words_of
from tests.faults.kinds import Kind, Severity, numbered
from tests.faults.severity import severity

if TYPE_CHECKING:
    from tests.faults.demo import Demo
    from tests.faults.kinds import Fault

LOT = "2026-11"
"""Drawn with the words of a fault, so that the same are seeded on every machine."""


@dataclass(slots=True)
class Lists:
    """What was judged by hand."""

    harmless: Judged = field(default_factory=harmless)
    gaps: Judged = field(default_factory=gaps)


@dataclass(slots=True)
class Outcome:
    """What became of the faults of one kind.

    ``sites`` is how many the demo has room for; ``missed`` are survivors that nobody has judged.
    """

    kind: Kind
    sites: int
    found: list[tuple[Fault, frozenset[str]]] = field(default_factory=list)
    harmless: list[tuple[Fault, str]] = field(default_factory=list)
    gaps: list[tuple[Fault, str]] = field(default_factory=list)
    missed: list[Fault] = field(default_factory=list)
    severities: dict[str, Severity] = field(default_factory=dict)

    @property
    def seeded(self) -> int:
        """How many faults were seeded."""
        return len(self.found) + len(self.harmless) + len(self.gaps) + len(self.missed)

    @property
    def survivors(self) -> list[Fault]:
        """What is not found and not harmless, judged or not."""
        return [*(fault for fault, _ in self.gaps), *self.missed]

    def count(self, faults: list[Fault]) -> Counter[Severity]:
        """Count faults by how bad they are."""
        return Counter(self.severities[words_of(self.kind.name, fault)] for fault in faults)


def drawn(kind: str, faults: list[Fault], most: int) -> list[Fault]:
    """Return a sample drawn by lot, the same each time; a smaller one is part of a larger one.

    The lot hangs on a fault's words alone: where a page grows, most of what was drawn stays.
    """

    def lot(fault: Fault) -> bytes:
        return sha256(f"{LOT}{words_of(kind, fault)}".encode()).digest()

    return sorted(faults, key=lot)[:most]


def run_kind(demo: Demo, kind: Kind, lists: Lists, most: int) -> Outcome:
    """Seed so many faults of a kind."""
    faults = numbered(kind.seed(demo))
    outcome = Outcome(kind, len(faults))
    for fault in drawn(kind.name, faults, most):
        outcome.severities[words_of(kind.name, fault)] = severity(demo, kind, fault)
        if found := demo.findings(fault):
            outcome.found.append((fault, frozenset(one.check for one in found)))
        elif reason := lists.harmless.reason(kind.name, fault):
            outcome.harmless.append((fault, reason))
        elif needs := lists.gaps.reason(kind.name, fault):
            outcome.gaps.append((fault, needs))
        else:
            outcome.missed.append(fault)
    return outcome
