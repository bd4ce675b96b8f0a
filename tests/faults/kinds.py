"""What a seeded fault is, and the list of its kinds, to which each family of faults adds its own."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from tests.faults.source import Edit

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from tests.faults.demo import Demo

    Seeder = Callable[[Demo], Iterator["Fault"]]


@dataclass(frozen=True, slots=True)
class Fault:
    """One mistake on one page: ``what`` says it in words that stay when the page moves."""

    page: str
    what: str
    edits: tuple[Edit, ...]


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of fault. ``waits_for`` names what is still to be built to find all of them."""

    name: str
    seed: Seeder
    waits_for: str = ""


KINDS: dict[str, Kind] = {}


def kind(name: str, waits_for: str = "") -> Callable[[Seeder], Seeder]:
    """Put a function that yields the faults of a kind on the list."""

    def listed(seed: Seeder) -> Seeder:
        assert name not in KINDS, f"the kind {name} stands twice"
        KINDS[name] = Kind(name, seed, waits_for)
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
