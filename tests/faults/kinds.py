"""What a seeded fault is, how bad it is, and the list of kinds: each family adds its own."""

from __future__ import annotations

import enum
from collections import Counter
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from tests.faults.demo import Demo
    from tests.faults.source import Edit

    Seeder = Callable[[Demo], Iterator["Fault"]]


class Severity(enum.StrEnum):
    """What a technician who follows the changed page may do."""

    INJURES = "injures"  # or loses the car
    DAMAGES = "damages"
    WASTES = "wastes"  # time


@dataclass(frozen=True, slots=True)
class Fault:
    """One mistake: ``what`` says it in words that stay when the page moves.

    ``touches`` are the ids, verbs and words that it has to do with, from which follows how bad it
    is; ``severity`` says so where its kind alone does not. ``elsewhere`` are edits on other pages.
    """

    page: str
    what: str
    edits: tuple[Edit, ...]
    touches: tuple[str, ...] = ()
    severity: Severity | None = None
    elsewhere: tuple[tuple[str, Edit], ...] = ()

    def by_page(self) -> dict[str, list[Edit]]:
        """The edits of each page."""
        pages: dict[str, list[Edit]] = {self.page: list(self.edits)}
        for page, edit in self.elsewhere:
            pages.setdefault(page, []).append(edit)
        return pages


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of fault, and what yields all that the demo has room for.

    ``severity`` is that of most; with ``rises`` a fault at brakes, steering, fuel, … injures.
    """

    name: str
    seed: Seeder
    severity: Severity
    rises: bool


KINDS: dict[str, Kind] = {}


def kind(
    name: str, severity: Severity = Severity.DAMAGES, *, rises: bool = True
) -> Callable[[Seeder], Seeder]:
    """Put a function that yields the faults of a kind on the list."""

    def listed(seed: Seeder) -> Seeder:
        assert name not in KINDS, f"the kind {name} stands twice"
        KINDS[name] = Kind(name, seed, severity, rises)
        return seed

    return listed


def numbered(faults: Iterable[Fault]) -> list[Fault]:
    """Return faults with words of their own: of several alike on a page, the second gets (2)."""
    seen: Counter[tuple[str, str]] = Counter()
    found = []
    for fault in faults:
        seen[fault.page, fault.what] += 1
        n = seen[fault.page, fault.what]
        found.append(replace(fault, what=f"{fault.what} ({n})") if n > 1 else fault)
    return found
