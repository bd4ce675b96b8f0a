"""Drift: what stands in a block and, typed again, as its source prints it; what stands once."""

from __future__ import annotations

import re
from collections.abc import Iterator

from procedures_lib.engineering.quantities import Quantity, agrees, reaches_outside
from procedures_lib.engineering.tightening import Stage, StageKind
from procedures_lib.findings import Finding, Place
from procedures_lib.judging.checks.conditions import vehicle_of
from procedures_lib.judging.checks.printed_values import disagreement
from procedures_lib.judging.witness import (
    Number,
    amounts_of,
    numbers_of,
    roles_in,
    roles_of_text,
    stated,
    step_ids,
    thing_of,
)
from procedures_lib.language.entities.car import Connection, Fastener, Part
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.how_tight import HowTight, Stages
from procedures_lib.language.entities.printed import SAYS, STEP, THINGS, paths_of
from procedures_lib.language.entities.work import Expect, ExpectRow, Printed, Step
from procedures_lib.language.variants import ALWAYS, Condition
from procedures_lib.language.variants.car_sets import Space
from procedures_lib.manual import Manual
from procedures_lib.manual.shop import ANGLES, EVERYTHING
from procedures_lib.spelling import suggestion
from procedures_lib.view.joint import order_of, order_text
from procedures_lib.walk import vital

_UNSAID = frozenset({StageKind.HAND, StageKind.SNUG})
"""Stages that a source may leave unsaid."""


def expect_rows(manual: Manual, page: str) -> Iterator[Finding]:
    """Find rows of double entry that disagree with their block."""
    for expect in manual.contents[page].expects:
        for row in expect.rows:
            yield from judge_row(manual, page, expect, row)


def judge_row(manual: Manual, page: str, expect: Expect, row: ExpectRow) -> Iterator[Finding]:
    """Find what is wrong with one row."""
    thing = thing_of(manual, page, row)
    if STEP in row.kinds and (thing is None or _kind(thing) not in row.kinds):
        yield from _no_step(manual, page, row, thing)
    elif thing is None or _is_doubtful(manual, page, thing):
        return
    elif _kind(thing) not in row.kinds:
        yield from _lacks(row, thing)
    else:
        for place, problem in _problems(manual, page, row, thing):
            yield Finding(
                place,
                "expect-disagrees",
                f"`{row.id}`: {problem}",
                f"look at {expect.source or 'the source'} and put right whichever is wrong",
                related=(thing.place,),
            )


def _kind(thing: Entity | Step) -> str:
    return STEP if isinstance(thing, Step) else thing.KIND


def _is_doubtful(manual: Manual, page: str, thing: Entity | Step) -> bool:
    """Tell whether a thing could not be read whole, or another has its id: a finding already."""
    if isinstance(thing, Step):
        return False
    return manual.is_damaged(thing) or thing.id in manual.scope(page).shared


def _lacks(row: ExpectRow, thing: Entity | Step) -> Iterator[Finding]:
    """Find a row with what no thing of its kind has; a row about a head is one of another kind."""
    kind = _kind(thing)
    if kind not in THINGS or not set(THINGS).issuperset(row.kinds):
        return
    has = paths_of(kind)
    lacking = [f"`{each.name}`" for each in row.printed if each.name not in has]
    lacking += ["stages"] if row.how_tight else ["`order`"] if row.order else []
    said = f"{{expect}} has {' and '.join(lacking)} of `{row.id}`, and a {kind} has none"
    hint = f"take it out of the row, or name the {' or '.join(row.kinds)} that is meant"
    yield Finding(row.place, "wrong-kind", said, hint, related=(thing.place,))


def _no_step(
    manual: Manual, page: str, row: ExpectRow, thing: Entity | Step | None
) -> Iterator[Finding]:
    """Find a row about a step that there is not; a page that can't be read whole may have it."""
    lost = any(manual.contents[near].lost for near in manual.scope(page).pages)
    if lost or not manual.sees_all(page):
        return
    if thing is not None:
        fields = ", ".join(f"`{each.name}`" for each in row.printed)
        said = f"{{expect}} has {fields} of `{row.id}`, which is a {_kind(thing)}"
        yield Finding(row.place, "wrong-kind", said, "name the step by its id")
    else:
        hint = suggestion(str(row.id), step_ids(manual, page)) or "give the step this `id`"
        said = f"{{expect}} names `{row.id}`, and no step or thing in reach has that id"
        yield Finding(row.place, "unknown-id", said, hint)


def _problems(
    manual: Manual, page: str, row: ExpectRow, thing: Entity | Step
) -> Iterator[tuple[Place, str]]:
    """Yield what disagrees, with its line."""
    vehicle = vehicle_of(manual, page)
    space = Space(vehicle.options if vehicle else ())
    for printed in row.printed:
        if printed.name == SAYS:
            problem = _says(manual, printed, thing)
        elif isinstance(thing, Step) and thing.unread:
            continue
        else:
            problem = disagreement(printed, thing, _kind(thing), space)
        if problem:
            yield printed.place, problem
    if isinstance(thing, Fastener) and (problem := _joint(thing, row, space)):
        yield row.place, problem


# -- prose -----------------------------------------------------------------------------------------


def _says(manual: Manual, printed: Printed, thing: Entity | Step) -> str:
    """Return what disagrees between the amounts of a row and those that a text states."""
    if isinstance(thing, Step):
        stated = amounts_of(roles_in(thing.block))
    else:
        stated = amounts_of(roles_of_text(manual.contents[thing.place.page], thing))
    if stated is None:
        return ""
    left = [amount for amount, _ in stated]
    missing: list[Quantity] = []
    for amount in printed.value:
        found = next((n for n, each in enumerate(left) if _same_amount(amount, each)), None)
        if found is None:
            missing.append(amount)
        else:
            left.pop(found)
    what = "the text of the step" if isinstance(thing, Step) else "the text"
    parts = []
    if missing:
        parts.append(
            f"the source prints {_listed(missing)}, which {what} does not state with `{{q}}`"
        )
    if left:
        parts.append(f"{what} states {_listed(left)}, which the row does not have")
    return "; ".join(parts)


def _listed(amounts: list[Quantity]) -> str:
    return ", ".join(amount.tidy for amount in amounts)


def _same_amount(printed: Quantity, stated: Quantity) -> bool:
    octane = printed.kind == "octane" and printed.unit != stated.unit
    return printed.kind == stated.kind and not octane and agrees(printed, stated)


# -- joints ----------------------------------------------------------------------------------------


def _joint(fastener: Fastener, row: ExpectRow, space: Space) -> str:
    """Return what disagrees of the stages and their order; "" when all that is printed agrees."""
    stages = bool(row.how_tight) or not (row.printed or row.order)
    if stages and not _agree(row.how_tight, fastener, space):
        said = fastener.how_tight.written() or "nothing"
        wide = _reaching_out(row.how_tight, fastener.how_tight)
        outside = ", and the printed range reaches outside it" if wide else ""
        return f"the source prints {row.how_tight.written()}, the block says {said}{outside}"
    if row.order and row.order not in (order_of(fastener), tuple(map(str, fastener.order))):
        order = order_text(fastener) or "nothing"
        return f"the source prints the order {', '.join(row.order)}, the block says {order}"
    return ""


def _reaching_out(printed: HowTight, block: HowTight) -> bool:
    """Tell whether a printed range agrees but for ends that were rounded outwards."""
    if len(printed.every) != len(block.every):
        return False
    pairs = [(p.amount, b.amount) for p, b in zip(printed.every, block.every, strict=True)]
    return any(p and b and p.kind == b.kind and reaches_outside(p, b) for p, b in pairs)


def _agree(printed: HowTight, fastener: Fastener, space: Space) -> bool:
    """Tell whether what a source prints agrees with the block on all cars that it is for."""
    nothing: tuple[tuple[Condition, Stages], ...] = ((ALWAYS, ()),)
    for when, stages in printed.by_condition or nothing:
        cars = space.region(fastener.when) & space.region(when)
        block = [
            own
            for condition, own in fastener.how_tight.by_condition or nothing
            if cars & space.region(condition)
        ]
        if not block or not all(_stages_agree(stages, own) for own in block):
            return False
    return True


def _stages_agree(printed: tuple[Stage, ...], block: tuple[Stage, ...]) -> bool:
    if not any(stage.kind in _UNSAID for stage in printed):
        block = tuple(stage for stage in block if stage.kind not in _UNSAID)
    pairs = zip(printed, block, strict=False)
    return len(printed) == len(block) and all(_stage_agrees(p, b) for p, b in pairs)


def _plain(words: str) -> str:
    return " ".join(words.casefold().split())


def _stage_agrees(printed: Stage, block: Stage) -> bool:
    if printed.amount is None or block.amount is None:
        same = printed.kind is block.kind and printed.amount is block.amount
        return same and _plain(printed.words) == _plain(block.words)
    return printed.kind is block.kind and agrees(printed.amount, block.amount)


# -- typed once ------------------------------------------------------------------------------------

_OF = {ANGLES: "joints with an angle stage", "": "everything"}


def no_witness(manual: Manual, page: str) -> Iterator[Finding]:
    """Find what the shop wants typed a second time, and is not: what holds, and what fills."""
    for expect in manual.contents[page].expects if manual.shop.witnessed else ():
        yield from _source(expect)
    for entity, system, numbers in _needed(manual, page):
        said = ", ".join(dict.fromkeys(stated(each) for each in numbers))
        row = _row_of(numbers) if any(each.cars for each in numbers) else said
        of = _OF.get(system, system)
        verb = "stands" if len(numbers) == 1 else "stand"
        yield Finding(
            entity.place,
            "no-witness",
            f"`{entity.id}`: {said} {verb} only here, and the shop wants a witness for {of}",
            f"type it from the paper into an `{{expect}}` block: `{entity.id}: {row}`",
        )


_FIGURES = frozenset({"tighten", "turns", "recheck", "setting", "quantity", "spec", "fuel"})
"""What of a thing must have a witness, where its system is asked for: what holds, what fills."""


def _needed(manual: Manual, page: str) -> Iterator[tuple[Entity, str, list[Number]]]:
    """Yield what a shop wants a witness for: the thing, what it is of, its numbers without one."""
    asked = frozenset(map(str, manual.shop.witnessed))
    content = manual.contents[page]
    for entity in content.entities if asked else ():
        if manual.is_damaged(entity):
            continue
        bare = [each for each in numbers_of(manual, entity, _FIGURES) if not each.witness]
        if bare:
            system = next((each for each in _systems(manual, entity) if each in asked), "")
            if system or EVERYTHING in asked:
                yield entity, system, bare


def _systems(manual: Manual, entity: Entity) -> Iterator[str]:
    """Yield the systems that a thing is of: by its stages, by itself, by what it holds."""
    stages = entity.how_tight.every if isinstance(entity, Fastener) else ()
    if any(stage.kind is StageKind.ANGLE for stage in stages):
        yield ANGLES
    if entity.KIND == "kit":
        yield "fuel"
    for each in (entity, *_held_by(manual, entity)):
        carries = getattr(each, "carries", None) or getattr(each, "kind", "")
        if found := vital.system_of(each.id, str(carries)):
            yield found


def _held_by(manual: Manual, entity: Entity) -> tuple[Entity, ...]:
    """The parts and connections that a fastener holds, and what those are on."""
    page = entity.place.page

    def asked() -> dict[str, list[Entity]]:
        found: dict[str, list[Entity]] = {}
        scope = manual.scope(page)
        for part in scope.all(Part):
            on = scope.get(str(part.on)) if part.on else None
            for holder in part.held_by:
                found.setdefault(str(holder), []).extend(filter(None, (part, on)))
        for line in scope.all(Connection):
            for name in line.holders:
                found.setdefault(name, []).append(line)
        return found

    if not isinstance(entity, Fastener):
        return ()
    return tuple(manual.once(("held by", page), asked).get(entity.id, ()))


def _row_of(numbers: list[Number]) -> str:
    """What to type of numbers that differ from car to car."""
    pairs = (
        f'"{each.cars}": "{each.value}"' if each.cars else f"{each.name}: {each.value}"
        for each in numbers
    )
    return f"{{{', '.join(pairs)}}}"


_NUMBERED = re.compile(r"[0-9]|\b(?:one|two|three|first|second|third)\b", re.IGNORECASE)


def _source(expect: Expect) -> Iterator[Finding]:
    """Find a source that names no page, sheet, table or year, and so can't be found again."""
    if expect.source and not _NUMBERED.search(expect.source):
        said = f"`{expect.source}` names no sheet and no page"
        hint = f"say where it is found again: `{expect.source}, page 7`"
        yield Finding(expect.place, "no-source", said, hint)
