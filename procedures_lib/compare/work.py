"""Steps compared: those added, dropped and moved, and what the others ask for."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.compare.actions import action_changes
from procedures_lib.compare.change import Act, Change, Group, Thing
from procedures_lib.compare.said import text_of
from procedures_lib.compare.signals import signal_changes
from procedures_lib.compare.steps import match_steps, row_of
from procedures_lib.compare.topics import group_of
from procedures_lib.compare.units import gravest
from procedures_lib.compare.words import step_words

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from procedures_lib.compare.context import Context
    from procedures_lib.compare.matching import Words
    from procedures_lib.entities.base import Entity
    from procedures_lib.entities.work import Step

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
        before, after = _texts(old, field, words.old), _texts(new, field, words.new)
        if before != after:
            act = Act.CHANGED if before and after else Act.ADDED if after else Act.DROPPED
            yield Change(group_of(field), context.new.place(new.place, field), field, thing, act,
                         before, after, was=context.old.place(old.place, field))  # fmt: skip
    yield from signal_changes(old.signals, new.signals, new.title, words)
    yield from step_words(old.block, new.block, thing, words)


def _texts(step: Step, field: str, word: Callable[[str], str]) -> str:
    if field == "hazards":
        return ", ".join(word(str(name)) for name in step.hazards)
    return text_of(getattr(step, field))
