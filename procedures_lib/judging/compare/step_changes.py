"""Steps compared: added, dropped, moved, and the actions of those that stay."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from procedures_lib.findings import Place
from procedures_lib.judging.compare.change import Act, Change, Group, Thing, group_of
from procedures_lib.judging.compare.context import Context
from procedures_lib.judging.compare.field_texts import text_of
from procedures_lib.judging.compare.prose_changes import signal_changes, step_words
from procedures_lib.judging.compare.renamed_steps import (
    FREE_VERBS,
    TIGHTENING,
    Row,
    StepMatch,
    Unit,
    gravest,
    match_steps,
    row_of,
)
from procedures_lib.judging.compare.renamed_things import Words
from procedures_lib.judging.compare.sequences import paired, unpaired
from procedures_lib.language.entities.base import Entity
from procedures_lib.language.entities.work import Step


@dataclass(frozen=True, slots=True)
class _Loose:
    """An action without its like in the step where it belongs: ``step`` is its place in the row."""

    unit: Unit
    step: int


def action_changes(rows: tuple[Row, Row], found: StepMatch) -> Iterator[Change]:
    """Yield how the actions of two rows of steps differ."""
    gone: list[_Loose] = []
    come: list[_Loose] = []
    for a, b in found.pairs:
        old, new = rows[0].units[a], rows[1].units[b]
        if old == new:
            continue
        pairs = paired(old, new)
        yield from _reordered(old, new, pairs, _thing(rows[1], b), rows[0].steps[a].place)
        left, right = unpaired(pairs, len(old), len(new))
        mine, theirs = [old[n] for n in left], [new[n] for n in right]
        reworded = list(_reworded(mine, theirs))
        for n, m in reworded:
            yield _changed(mine[n], theirs[m], _thing(rows[1], b))
        left, right = unpaired(reworded, len(mine), len(theirs))
        gone += [_Loose(mine[n], a) for n in left]
        come += [_Loose(theirs[n], b) for n in right]
    gone += [_Loose(unit, n) for n in found.dropped for unit in rows[0].units[n]]
    come += [_Loose(unit, n) for n in found.added for unit in rows[1].units[n]]
    yield from _across(gone, come, rows, found)


def _thing(row: Row, n: int) -> Thing:
    step = row.steps[n]
    return Thing("step", step.id, step.title)


def _reordered(
    old: Sequence[Unit],
    new: Sequence[Unit],
    pairs: Sequence[tuple[int, int]],
    thing: Thing,
    was: Place,
) -> Iterator[Change]:
    """Yield one change when the actions that a step keeps are in another order."""
    before = [old[a] for a, _ in sorted(pairs)]
    after = [new[b] for _, b in sorted(pairs, key=lambda pair: pair[1])]
    if before != after:
        group, topic = _order_of(before, after)
        yield Change(group, after[0].place, topic, thing, Act.MOVED, _texts(before),
                     _texts(after), was=was)  # fmt: skip


def _order_of(before: Sequence[Unit], after: Sequence[Unit]) -> tuple[Group, str]:
    """What a new order of the same actions is about: the joints, when these changed places."""
    tightened = [[unit for unit in row if unit.topic == TIGHTENING] for row in (before, after)]
    if tightened[0] != tightened[1]:
        return Group.JOINTS, "order of tightening"
    passed = [unit for unit, now in zip(before, after, strict=True) if unit != now]
    return gravest(passed), "order of actions"


def _texts(units: Sequence[Unit]) -> str:
    return "; ".join(unit.text for unit in units)


def _reworded(old: Sequence[Unit], new: Sequence[Unit]) -> Iterator[tuple[int, int]]:
    """Yield pairs of actions that are one, said otherwise: on the same object, or in free words."""
    left, right = list(range(len(old))), list(range(len(new)))
    same: tuple[Callable[[Unit], tuple[str, ...]], ...] = (
        lambda unit: (unit.verb, unit.object) if unit.verb else (),
        lambda unit: (unit.object,) if unit.object and unit.verb not in FREE_VERBS else (),
        lambda unit: (unit.verb,) if unit.verb in FREE_VERBS else (),
    )
    for key in same:
        ones, others = ([n for n in left if key(old[n])], [n for n in right if key(new[n])])
        pairs = paired([key(old[n]) for n in ones], [key(new[n]) for n in others])
        for a, b in pairs:
            left.remove(ones[a])
            right.remove(others[b])
            yield ones[a], others[b]


def _changed(old: Unit, new: Unit, thing: Thing) -> Change:
    free = old.verb in FREE_VERBS and old.verb == new.verb
    said = new if new.group <= old.group else old
    return Change(said.group, new.place, said.topic, thing, Act.REWORDED if free else Act.CHANGED,
                  old.text, new.text, was=old.place)  # fmt: skip


def _across(
    gone: Sequence[_Loose], come: Sequence[_Loose], rows: tuple[Row, Row], found: StepMatch
) -> Iterator[Change]:
    """Pair what one step lost and another got; yield the moves and the rest.

    What a step as a whole brought or took with it is told with the step, but for what touches
    safety.
    """
    pairs = paired([loose.unit for loose in gone], [loose.unit for loose in come])
    for a, b in pairs:
        old, new = gone[a], come[b]
        titles = rows[0].steps[old.step].title, rows[1].steps[new.step].title
        group, thing = gravest([new.unit]), _thing(rows[1], new.step)
        yield Change(group, new.unit.place, "action", thing, Act.MOVED,
                     f"{old.unit.text}, in “{titles[0]}”", f"{new.unit.text}, in “{titles[1]}”",
                     was=old.unit.place)  # fmt: skip
    left, right = unpaired(pairs, len(gone), len(come))
    for n in left:
        unit, step = gone[n].unit, gone[n].step
        if step not in found.dropped or unit.group.touches_safety:
            yield Change(unit.group, unit.place, unit.topic, _thing(rows[0], step), Act.DROPPED,
                         unit.text, was=unit.place)  # fmt: skip
    for n in right:
        unit, step = come[n].unit, come[n].step
        if step not in found.added or unit.group.touches_safety:
            yield Change(unit.group, unit.place, unit.topic, _thing(rows[1], step), Act.ADDED,
                         "", unit.text)  # fmt: skip


_FIELDS = ("when", "hazards", "tools", "supplies", "people", "time")


def work_changes(old: Entity, new: Entity, context: Context) -> Iterator[Change]:
    """Yield how the steps of one head differ between two states."""
    words = context.words(old, new)
    before = context.old.manual.contents[old.place.page].steps_of(old.id)
    after = context.new.manual.contents[new.place.page].steps_of(new.id)
    rows = row_of(before, words.old), row_of(after, words.new)
    found = match_steps(*rows)
    numbers = (
        [context.old.step_number(old, step.place.line) for step in before],
        [context.new.step_number(new, step.place.line) for step in after],
    )
    for a, b in found.pairs:
        if (a, b) in found.moved:
            group = gravest([*rows[0].units[a], *rows[1].units[b]])
            yield Change(group, after[b].place, "step", step_thing(after[b]), Act.MOVED,
                         _at(numbers[0][a]), _at(numbers[1][b]), was=before[a].place)  # fmt: skip
        yield from _step(before[a], after[b], context, words)
    for n in found.dropped:
        text = "; ".join(unit.text for unit in rows[0].units[n])
        yield Change(Group.WORK, before[n].place, "step", step_thing(before[n]), Act.DROPPED,
                     text, note=f"was {_at(numbers[0][n])}", was=before[n].place)  # fmt: skip
    for n in found.added:
        text = "; ".join(unit.text for unit in rows[1].units[n])
        yield Change(Group.WORK, after[n].place, "step", step_thing(after[n]), Act.ADDED,
                     "", text, note=f"is {_at(numbers[1][n])}")  # fmt: skip
    yield from action_changes(rows, found)


def _at(number: int) -> str:
    return f"step {number}" if number else "a step"


def step_thing(step: Step) -> Thing:
    """Return a step's name for a report; a call of common steps has the id of these."""
    if step.common:
        return Thing("common steps", str(step.common))
    return Thing("step", step.id, step.title)


def _step(old: Step, new: Step, context: Context, words: Words) -> Iterator[Change]:
    """Yield how one step differs, but for its actions and prose."""
    thing = step_thing(new)
    if old.title != new.title:
        yield Change(Group.WORK, new.place, "title", thing, Act.CHANGED, old.title, new.title,
                     was=old.place)  # fmt: skip
    if old.id != new.id:
        act = Act.RENAMED if old.id and new.id else Act.ADDED if new.id else Act.DROPPED
        yield Change(Group.PAPERS, context.new.place(new.place, "id"), "step id", thing, act,
                     old.id, new.id, was=context.old.place(old.place, "id"))  # fmt: skip
    for field in _FIELDS:
        before, after = _step_texts(old, field, words.old), _step_texts(new, field, words.new)
        if before != after:
            act = Act.CHANGED if before and after else Act.ADDED if after else Act.DROPPED
            yield Change(group_of(field), context.new.place(new.place, field), field, thing, act,
                         before, after, was=context.old.place(old.place, field))  # fmt: skip
    yield from signal_changes(old.signals, new.signals, new.title, words)
    yield from step_words(old.block, new.block, thing, words)


def _step_texts(step: Step, field: str, word: Callable[[str], str]) -> str:
    if field == "hazards":
        return ", ".join(word(str(name)) for name in step.hazards)
    return text_of(getattr(step, field))
