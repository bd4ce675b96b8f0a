"""Seeds the faults one by one and notes which the checks find."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from tests.faults import (  # noqa: F401  (each puts its kinds on the list)
    actions,
    conditions,
    hardware,
    names,
    numbers,
    orders,
    signals,
    steps,
)
from tests.faults.judged import Judged, gaps, harmless
from tests.faults.kinds import Kind, numbered

if TYPE_CHECKING:
    from tests.faults.demo import Demo
    from tests.faults.kinds import Fault


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

    @property
    def seeded(self) -> int:
        """How many faults were seeded."""
        return len(self.found) + len(self.harmless) + len(self.gaps) + len(self.missed)


def spread(faults: list[Fault], most: int) -> list[Fault]:
    """Return every k-th fault, so that at most ``most`` are left; the first is among them."""
    return faults[:: -(-len(faults) // most)] if len(faults) > most else faults


def run_kind(demo: Demo, kind: Kind, lists: Lists, most: int) -> Outcome:
    """Seed the faults of a kind, every k-th when there are more than ``most``."""
    faults = numbered(kind.seed(demo))
    outcome = Outcome(kind, len(faults))
    for fault in spread(faults, most):
        if found := demo.findings(fault):
            outcome.found.append((fault, frozenset(one.check for one in found)))
        elif reason := fault.harmless or lists.harmless.reason(kind.name, fault):
            outcome.harmless.append((fault, reason))
        elif needs := lists.gaps.reason(kind.name, fault):
            outcome.gaps.append((fault, needs))
        else:
            outcome.missed.append(fault)
    return outcome
