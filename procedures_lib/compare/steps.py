"""Which step of the old state is which of the new one: by id, title, actions, or likeness."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from difflib import SequenceMatcher
from typing import TYPE_CHECKING

from procedures_lib.compare.sequences import Pairs, moved, mutual_best, paired, unpaired
from procedures_lib.compare.units import Unit, units_of

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable, Sequence

    from procedures_lib.entities.work import Step

_ALIKE = 0.5
"""How alike two steps must be, of 1, to be taken for the same."""
_MOST_PAIRS = 10_000


@dataclass(frozen=True, slots=True)
class Row:
    """The steps of one procedure or common head in one state, with their actions."""

    steps: tuple[Step, ...]
    units: tuple[tuple[Unit, ...], ...]
    calls: tuple[str, ...]


def row_of(steps: tuple[Step, ...], word: Callable[[str], str]) -> Row:
    """Return steps as a row; ``word`` turns ids that were renamed."""
    calls = tuple(word(str(step.common)) if step.common else "" for step in steps)
    return Row(steps, tuple(units_of(step, word) for step in steps), calls)


@dataclass(frozen=True, slots=True)
class StepMatch:
    """Steps that belong together, as places in the two rows; which of them left their order."""

    pairs: tuple[tuple[int, int], ...]
    moved: frozenset[tuple[int, int]]
    dropped: tuple[int, ...]
    added: tuple[int, ...]


def match_steps(old: Row, new: Row) -> StepMatch:
    """Match two rows of steps."""
    pairs: Pairs = []
    for key in (_by_id, _by_title, _by_actions):
        left, right = unpaired(pairs, len(old.steps), len(new.steps))
        pairs += _pair_by(key, (old, left), (new, right))
    pairs += _alike(old, new, pairs)
    pairs.sort(key=lambda pair: pair[1])
    left, right = unpaired(pairs, len(old.steps), len(new.steps))

    def names(pair: tuple[int, int]) -> str:
        return " ".join(sorted((_name(old, pair[0]), _name(new, pair[1]))))

    return StepMatch(tuple(pairs), frozenset(moved(pairs, names)), tuple(left), tuple(right))


def _by_id(row: Row, n: int) -> Hashable:
    return row.steps[n].id


def _by_title(row: Row, n: int) -> Hashable:
    return (row.calls[n], row.steps[n].title) if row.calls[n] or row.steps[n].title else ""


def _by_actions(row: Row, n: int) -> Hashable:
    return row.units[n]


def _pair_by(
    key: Callable[[Row, int], Hashable],
    old: tuple[Row, Sequence[int]],
    new: tuple[Row, Sequence[int]],
) -> Pairs:
    """Pair steps whose keys are equal, where both sides have as many of them."""
    left, right = ([(key(row, n), n) for n in places] for row, places in (old, new))
    counts = [Counter(name for name, _ in side) for side in (left, right)]

    def own(name: Hashable) -> bool:
        return bool(name) and counts[0][name] == counts[1][name]

    ones = [(name, n) for name, n in left if own(name)]
    others = [(name, n) for name, n in right if own(name)]
    found = paired([name for name, _ in ones], [name for name, _ in others])
    return [(ones[a][1], others[b][1]) for a, b in found]


def _alike(old: Row, new: Row, pairs: Pairs) -> Pairs:
    left, right = unpaired(pairs, len(old.steps), len(new.steps))
    left = [n for n in left if not old.calls[n]]
    right = [n for n in right if not new.calls[n]]
    if len(left) * len(right) > _MOST_PAIRS:
        return []

    def score(a: int, b: int) -> float:
        return _likeness((old, a), (new, b))

    return [(left[a], right[b]) for a, b in mutual_best(left, right, score, _ALIKE)]


def _likeness(old: tuple[Row, int], new: tuple[Row, int]) -> float:
    """Return how alike two steps are, of 1: the larger of their actions' and their titles'."""
    mine, theirs = (Counter(row.units[n]) for row, n in (old, new))
    total = sum(mine.values()) + sum(theirs.values())
    actions = 2 * sum((mine & theirs).values()) / total if total else 0.0
    first, second = sorted(row.steps[n].title for row, n in (old, new))
    title: float = SequenceMatcher(None, first, second).ratio() - 0.25
    return max(actions, title) + min(actions, title) / 100


def _name(row: Row, n: int) -> str:
    return f"{row.calls[n]} {row.steps[n].title} {len(row.units[n])}"
