"""Steps compared: added, dropped, moved, and the actions of those that stay."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from procedures_lib.findings import Place
from procedures_lib.judging.compare.change import Act, Change, Group, Thing, group_of, text_change
from procedures_lib.judging.compare.prose_changes import step_words
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
from procedures_lib.judging.compare.renamed_things import Matches, Words
from procedures_lib.judging.compare.rows import Pairs, paired, paired_in_turn, unpaired
from procedures_lib.judging.compare.side import REFERENCES, Word, text_of
from procedures_lib.judging.compare.signal_changes import signal_changes
from procedures_lib.language.entities.work import Common, Procedure, Step

Loose = tuple[Unit, int]
"""An action without its like in the step where it belongs, and that step's place in the row."""


def action_changes(rows: tuple[Row, Row], found: StepMatch) -> Iterator[Change]:
    """Yield how the actions of two rows of steps differ."""
    gone: list[Loose] = []
    come: list[Loose] = []
    for a, b in found.pairs:
        old, new = rows[0].units[a], rows[1].units[b]
        if old == new:
            continue
        thing = step_thing(rows[1].steps[b])
        pairs = paired(old, new)
        yield from _reordered(old, new, pairs, thing, rows[0].steps[a].place)
        left, right = unpaired(pairs, len(old), len(new))
        mine, theirs = [old[n] for n in left], [new[n] for n in right]
        reworded = _reworded(mine, theirs)
        for n, m in reworded:
            yield _changed(mine[n], theirs[m], thing)
        left, right = unpaired(reworded, len(mine), len(theirs))
        gone += [(mine[n], a) for n in left]
        come += [(theirs[n], b) for n in right]
    gone += [(unit, n) for n in found.dropped for unit in rows[0].units[n]]
    come += [(unit, n) for n in found.added for unit in rows[1].units[n]]
    yield from _across(gone, come, rows, found)


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


def _reworded(old: Sequence[Unit], new: Sequence[Unit]) -> Pairs:
    """Pair actions that are one, said otherwise: on the same object, or in free words."""
    before, after = _likenesses(old), _likenesses(new)
    return paired_in_turn(*zip(before, after, strict=True))


def _likenesses(units: Sequence[Unit]) -> list[list[tuple[str, ...]]]:
    """What an action said otherwise is known by: verb and object, the object alone, the verb."""
    return [
        [(unit.verb, unit.object) if unit.verb else () for unit in units],
        [(unit.object,) if unit.object and unit.verb not in FREE_VERBS else () for unit in units],
        [(unit.verb,) if unit.verb in FREE_VERBS else () for unit in units],
    ]


def _changed(old: Unit, new: Unit, thing: Thing) -> Change:
    free = old.verb in FREE_VERBS and old.verb == new.verb
    said = new if new.group <= old.group else old
    return Change(said.group, new.place, said.topic, thing, Act.REWORDED if free else Act.CHANGED,
                  old.text, new.text, was=old.place)  # fmt: skip


def _across(
    gone: Sequence[Loose], come: Sequence[Loose], rows: tuple[Row, Row], found: StepMatch
) -> Iterator[Change]:
    """Pair what one step lost and another got; yield the moves and the rest.

    What a step as a whole brought or took with it is told with the step, but for what touches
    safety.
    """
    pairs = paired([unit for unit, _ in gone], [unit for unit, _ in come])
    for a, b in pairs:
        (old, at), (new, to) = gone[a], come[b]
        before, after = rows[0].steps[at], rows[1].steps[to]
        yield Change(gravest([new]), new.place, "action", step_thing(after), Act.MOVED,
                     f"{old.text}, in “{before.title}”", f"{new.text}, in “{after.title}”",
                     was=old.place)  # fmt: skip
    left, right = unpaired(pairs, len(gone), len(come))
    for unit, at in (gone[n] for n in left):
        if at not in found.dropped or unit.group.touches_safety:
            yield Change(unit.group, unit.place, unit.topic, step_thing(rows[0].steps[at]),
                         Act.DROPPED, unit.text, was=unit.place)  # fmt: skip
    for unit, to in (come[n] for n in right):
        if to not in found.added or unit.group.touches_safety:
            yield Change(unit.group, unit.place, unit.topic, step_thing(rows[1].steps[to]),
                         Act.ADDED, "", unit.text)  # fmt: skip


FIELDS = ("when", "hazards", "tools", "supplies", "people", "time")


def work_changes(
    old: Procedure | Common, new: Procedure | Common, matches: Matches
) -> Iterator[Change]:
    """Yield how the steps of one head differ between two states."""
    words = matches.words(old.place.page, new.place.page)
    before = matches.old.manual.contents[old.place.page].steps_of(old.id)
    after = matches.new.manual.contents[new.place.page].steps_of(new.id)
    rows = row_of(before, words.old), row_of(after, words.new)
    found = match_steps(*rows)
    was = [_at(matches.old.step_number(old, step.place.line)) for step in before]
    now = [_at(matches.new.step_number(new, step.place.line)) for step in after]
    for a, b in found.pairs:
        if (a, b) in found.moved:
            group = gravest([*rows[0].units[a], *rows[1].units[b]])
            yield Change(group, after[b].place, "step", step_thing(after[b]), Act.MOVED,
                         was[a], now[b], was=before[a].place)  # fmt: skip
        yield from _step(before[a], after[b], matches, words)
    for n in found.dropped:
        yield Change(Group.WORK, before[n].place, "step", step_thing(before[n]), Act.DROPPED,
                     _texts(rows[0].units[n]), note=f"was {was[n]}",
                     was=before[n].place)  # fmt: skip
    for n in found.added:
        yield Change(Group.WORK, after[n].place, "step", step_thing(after[n]), Act.ADDED,
                     "", _texts(rows[1].units[n]), note=f"is {now[n]}")  # fmt: skip
    yield from action_changes(rows, found)


def _at(number: int) -> str:
    return f"step {number}" if number else "a step"


def step_thing(step: Step) -> Thing:
    """Return a step's name for a report; a call of common steps has the id of these."""
    if step.common:
        return Thing("common steps", str(step.common))
    return Thing("step", step.id, step.title)


def _step(old: Step, new: Step, matches: Matches, words: Words) -> Iterator[Change]:
    """Yield how one step differs, but for its actions and prose."""
    thing = step_thing(new)
    titles, places = (old.title, new.title), (old.place, new.place)
    yield from text_change(Group.WORK, "title", thing, titles, places, Act.CHANGED)

    def spots(field: str) -> tuple[Place, Place]:
        return matches.old.place(old.place, field), matches.new.place(new.place, field)

    act = Act.RENAMED if old.id and new.id else None
    yield from text_change(Group.PAPERS, "step id", thing, (old.id, new.id), spots("id"), act)
    for field in FIELDS:
        texts = _text(old, field, words.old), _text(new, field, words.new)
        yield from text_change(group_of(field), field, thing, texts, spots(field))
    yield from signal_changes(old.signals, new.signals, (old.block, new.block), new.title, words)
    yield from step_words(old.block, new.block, thing, words)


def _text(step: Step, field: str, word: Word) -> str:
    return text_of(getattr(step, field), word if field in REFERENCES else str)
