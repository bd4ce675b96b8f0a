"""Survivors that were judged by hand: harmless, or a gap with what would find it."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, field
from fnmatch import fnmatchcase
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from tests.faults.kinds import Fault

HARMLESS = Path(__file__).with_name("harmless.toml")
GAPS = Path(__file__).with_name("gaps.toml")
BETWEEN = " | "


@dataclass(frozen=True, slots=True)
class Pattern:
    """Which faults are meant: kind, page and words, each with ``*`` for anything."""

    kind: str
    page: str
    what: str

    def __str__(self) -> str:
        """The pattern as it stands on the list."""
        return BETWEEN.join((self.kind, self.page, self.what))

    def fits(self, kind: str, fault: Fault) -> bool:
        """Tell whether a fault is among those meant."""
        pairs = ((kind, self.kind), (fault.page, self.page), (fault.what, self.what))
        return all(said == meant or fnmatchcase(said, meant) for said, meant in pairs)


@dataclass(slots=True)
class Judged:
    """A list of judged faults, each pattern with its reason; ``used`` are those that were met."""

    reasons: list[tuple[Pattern, str]] = field(default_factory=list)
    used: set[Pattern] = field(default_factory=set)

    def reason(self, kind: str, fault: Fault) -> str:
        """Return the reason given for a fault, "" when it is not on the list."""
        for pattern, reason in self.reasons:
            if pattern.fits(kind, fault):
                self.used.add(pattern)
                return reason
        return ""

    def unused(self) -> Iterator[Pattern]:
        """Yield the patterns that no survivor was met for: they can go."""
        return (pattern for pattern, _ in self.reasons if pattern not in self.used)


def read_judged(text: str, reason: str) -> Judged:
    """Read a list whose entries have ``faults`` and, under the name given, a reason.

    Raises ValueError for an entry without reason, and for a fault that is not said in three parts
    or stands twice.
    """
    found = Judged()
    seen: set[Pattern] = set()
    for entry in tomllib.loads(text)["judged"]:
        said = " ".join(str(entry.get(reason, "")).split())
        if not said:
            raise ValueError(f"no {reason} is given for {entry['faults'][:1]}")
        for pattern in _patterns(entry["faults"]):
            if pattern in seen:
                raise ValueError(f"it stands twice: {pattern}")
            seen.add(pattern)
            found.reasons.append((pattern, said))
    return found


def _patterns(faults: Iterable[str]) -> Iterator[Pattern]:
    for fault in faults:
        parts = fault.split(BETWEEN)
        if len(parts) != 3:
            raise ValueError(f"write `kind | page | what`: {fault}")
        yield Pattern(*parts)


def harmless() -> Judged:
    """The faults that change nothing a technician would do wrongly."""
    return read_judged(HARMLESS.read_text(encoding="utf-8"), "reason")


def gaps() -> Judged:
    """The faults that no check finds yet, each with what would."""
    return read_judged(GAPS.read_text(encoding="utf-8"), "needs")
