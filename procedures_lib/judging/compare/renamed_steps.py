"""Which step of the old state is which of the new one: by id, title, actions, or likeness."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from difflib import SequenceMatcher

from procedures_lib.findings import Place
from procedures_lib.judging.compare.change import Group, group_of
from procedures_lib.judging.compare.rows import Pairs, moved, mutual_best, paired, unpaired
from procedures_lib.language.entities.verbs import VERBS
from procedures_lib.language.entities.work import Step

FREE_VERBS = frozenset(name for name, verb in VERBS.items() if not verb.kinds)
"""Verbs that take any words: another wording of these is the same action, said otherwise."""

TIGHTENING = "tightening"


@dataclass(frozen=True, slots=True)
class Unit:
    """One verb on one object, or on all of them after a verb that takes any words.

    ``verb`` and ``object`` are "" for an action that can't be read.
    """

    text: str
    verb: str = ""
    object: str = ""
    place: Place = field(default=Place("", 0), compare=False)

    @property
    def topic(self) -> str:
        """What a change of this action is about."""
        if self.verb == "test":
            return "leak test" if "leak" in self.object else "test"
        if self.verb and VERBS[self.verb].about_the_car:
            return "making safe"
        return TIGHTENING if self.verb == "tighten" else "action"

    @property
    def group(self) -> Group:
        """The group of a change of this action."""
        if self.topic == TIGHTENING:
            return Group.JOINTS
        return group_of("do") if self.topic == "action" else Group.SAFETY


def gravest(units: Iterable[Unit]) -> Group:
    """Return the group of a change in the order of some actions: safety if one touches it."""
    touching = [unit.group for unit in units if unit.group.touches_safety]
    return Group.SAFETY if touching else Group.WORK


def units_of(step: Step, word: Callable[[str], str]) -> tuple[Unit, ...]:
    """Return the actions of a step in their order; ``word`` turns ids that were renamed."""
    return (*_read(step, word), *_unread(step))


def _read(step: Step, word: Callable[[str], str]) -> Iterator[Unit]:
    for action in step.actions:
        tail = f" on {word(str(action.on))}" if action.on else ""
        tail += f" stage {action.stage}" if action.stage else ""
        tail += f" to {action.to}" if action.to else ""
        names = [word(str(name)) for name in action.objects]
        for object_ in [", ".join(names)] if action.verb in FREE_VERBS else names:
            yield Unit(f"{action.verb} {object_}{tail}", str(action.verb), object_, action.place)


def _unread(step: Step) -> Iterator[Unit]:
    for text in step.unread:
        if text != step.title:
            place = Place(step.place.page, getattr(text, "line", 0) or step.place.line)
            yield Unit(f"{text} (can't be read)", place=place)


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

    def score(a: int, b: int) -> float:
        return _likeness((old, a), (new, b))

    return [(left[a], right[b]) for a, b in mutual_best(left, right, score, _ALIKE, _MOST_PAIRS)]


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
