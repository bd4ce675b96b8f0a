"""Common practice: figures far from what the trade knows, worth a second look."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from typing import Any, NamedTuple

from procedures_lib.data_tables import toml_table
from procedures_lib.engineering.quantities import Quantity, quantity_of, read_quantity
from procedures_lib.findings import Finding, Level, Place
from procedures_lib.judging.checks.joints import faults_of
from procedures_lib.judging.checks.mentions import things, whole_things
from procedures_lib.language.entities.car import Fastener, Fluid, Part
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.work import Common, Procedure, Step
from procedures_lib.manual import Manual

_CHECK = "unlike-practice"
_HINT = "look at the figure and its unit; if it is so, say in a `note` why"
_IN_PROSE = "look at the figure and its unit"


def figures_of_work(manual: Manual, page: str) -> Iterator[Finding]:
    """Find times of steps, and quantities in their prose, far from what such work takes."""
    for head in (*things(manual, page, Procedure), *things(manual, page, Common)):
        own = [s for s in manual.contents[page].steps_of(head.id) if s.common is None]
        for step in own:
            yield from _time(step)
            yield from _in_prose(step, page)
        yield from _no_time([step for step in own if step.actions])


# -- how long --------------------------------------------------------------------------------------


def _time(step: Step) -> Iterator[Finding]:
    if step.time is None or not step.actions:
        return
    least, most = _limits(step)
    took = _si(step.time.tidy)
    for beyond, word in ((took < least, "less"), (took > most, "more")):
        if beyond:
            many = sum(len(action.objects) for action in step.actions)
            things_named = f"{many} thing{'s' if many > 1 else ''}"
            said = f"{step.time.tidy} for work on {things_named} is {word} than such a step takes"
            yield Finding(step.place, _CHECK, said, "look at the unit of `time`, or split the step")


def _limits(step: Step) -> tuple[float, float]:
    """The least and the most seconds that a step takes."""
    limits = _step_time()
    least, many, waits = 0.0, 0, False
    for action in step.actions:
        many += len(action.objects)
        least = max(least, limits.fastest.get(action.verb, 0.0))
        waits = waits or action.verb in limits.waits
    least = max(least, many * limits.least_each)
    return least, limits.most_waiting if waits else limits.most + many * limits.most_each


class _StepTime(NamedTuple):
    """The limits of the time of a step, in seconds, by verb where that matters."""

    least_each: float
    most: float
    most_each: float
    most_waiting: float
    waits: frozenset[str]
    fastest: dict[str, float]


@cache
def _step_time() -> _StepTime:
    row = _table()["step-time"]
    fastest = {verb: _si(r["least"]) for r in _table()["least-time"] for verb in r["verbs"]}
    least, most, each, waiting = (
        _si(row[name]) for name in ("least-each", "most", "most-each", "most-waiting")
    )
    return _StepTime(least, most, each, waiting, frozenset(row["waits"]), fastest)


_FEWEST = 4
"""Of fewer steps with a time, that one has none says nothing."""


def _no_time(working: list[Step]) -> Iterator[Finding]:
    without = [step for step in working if step.time is None]
    if len(without) == 1 and len(working) > _FEWEST and not without[0].unread:
        said = f"all {len(working) - 1} other steps say how long they take, and this one doesn't"
        yield Finding(without[0].place, "missing-field", said, "add `time: 10 min` or the like",
                      Level.WARNING)  # fmt: skip


# -- quantities in prose ---------------------------------------------------------------------------


def _in_prose(step: Step, page: str) -> Iterator[Finding]:
    roles = [role for role in step.block.roles if role.name == "q"]
    if not roles:
        return
    about = " ; ".join((step.title, *map(str, step.actions), *step.tools)).casefold()
    verbs = {str(action.verb) for action in step.actions}
    for role in roles:
        quantity = quantity_of(role.target)
        for row in _rows(quantity.kind) if quantity else ():
            if quantity and _is_about(row, about, verbs) and not _within(quantity, row["ranges"]):
                said = f"{quantity.tidy} is far from {row['called']}, {_usual(row['ranges'])}"
                yield Finding(Place(page, role.target.line), _CHECK, said, _IN_PROSE)
                break


def _is_about(row: Mapping[str, Any], about: str, verbs: set[str]) -> bool:
    if "verbs" in row and not verbs & set(row["verbs"]):
        return False
    return "words" not in row or _pattern(row["words"]).search(about) is not None


def _within(quantity: Quantity, ranges: Iterable[tuple[str, str]]) -> bool:
    return any(
        _si(least) <= quantity.si_low and quantity.si_high <= _si(most) for least, most in ranges
    )


def _usual(ranges: Iterable[tuple[str, str]]) -> str:
    return " or ".join(f"{least} to {most}" for least, most in ranges)


# -- figures of things -----------------------------------------------------------------------------


def figures_of_things(manual: Manual, page: str) -> Iterator[Finding]:
    """Find volumes, masses, octane numbers, re-checks and joints far from what is usual."""
    for fluid in whole_things(manual, page, Fluid):
        rows = (row for row in _table()["volume"] if fluid.kind in row["kinds"])
        yield from _outside(fluid.quantity, rows, fluid.id, fluid.place, fluid.note)
    for part in whole_things(manual, page, Part):
        if part.mass is not None:
            named = f"{part.name} {part.id.replace('-', ' ')}".casefold()
            rows = (row for row in _table()["mass"] if _pattern(row["names"]).search(named))
            yield from _outside(part.mass, rows, part.id, part.place, part.note)
    for kit in things(manual, page, Kit):
        yield from _octane(kit)
    groups = list(whole_things(manual, page, Fastener))
    again = any(group.recheck for group in groups)
    wheels = frozenset(_wheel_nuts(manual, page)) if again else frozenset()
    for group in groups:
        found = [] if group.note else list(_joint(group, wheels))
        if found and not any(True for _ in faults_of(group)):
            yield from found


def _outside(
    amount: Quantity | None, rows: Iterable[Mapping[str, Any]], name: str, place: Place, note: str
) -> Iterator[Finding]:
    for row in rows if amount is not None and not note else ():
        if amount is not None and not _within(amount, [row["range"]]):
            said = f"`{name}`: {amount.tidy} is far from {row['called']}, {_usual([row['range']])}"
            yield Finding(place, _CHECK, said, _HINT)
            return


def _octane(kit: Kit) -> Iterator[Finding]:
    fuel = kit.needs.fuel
    for row in _table()["octane"] if fuel else ():
        least, most = row["range"]
        if fuel and fuel.unit == row["unit"] and not least <= fuel.nominal <= most:
            said = f"no pump has {fuel.tidy}: {least} to {most} {fuel.unit} are sold"
            yield Finding(kit.place, _CHECK, said, _HINT)


def _wheel_nuts(manual: Manual, page: str) -> Iterator[str]:
    """Yield the ids of what holds wheels, going by their names."""
    for part in things(manual, page, Part):
        if re.search(r"\bwheels?\b", f"{part.name} {part.id.replace('-', ' ')}", re.IGNORECASE):
            yield from map(str, part.held_by)


def _joint(group: Fastener, wheels: frozenset[str]) -> Iterator[Finding]:
    row = _table()["recheck"]
    usual = row["wheels" if group.id in wheels else "others"]
    if group.recheck is not None and not _within(group.recheck, [usual]):
        after = f"`{group.id}` is looked at again after {group.recheck.tidy}"
        said = f"{after}; usual is {_usual([usual])}"
        yield Finding(group.place, _CHECK, said, _HINT)
    least, most = _table()["joint"]["engaged"]
    length = group.into.engagement if group.into else None
    if length is not None and group.thread is not None:
        diameters = length.si * 1000 / group.thread.thread.diameter
        if not least <= diameters <= most and diameters <= _IMPOSSIBLE:
            said = f"`{group.id}`: {length.tidy} of {group.thread.written} engaged is unusual"
            yield Finding(group.place, _CHECK, said, f"1 to 2.5 diameters are; {_HINT}")
    most_angle = _table()["joint"]["most-angle"]
    for stage in group.how_tight.every:
        if stage.degrees is not None and stage.degrees > most_angle:
            said = f"`{group.id}`: {stage.written()} in one stage is most of a turn"
            yield Finding(group.place, _CHECK, said, _HINT)
    yield from _again(group)


_IMPOSSIBLE = 5.0
"""From here on it can't be, which is an error of its own."""
_SELF_LOCKING = re.compile(r"(?i:self-?locking|nyloc|prevailing[- ]torque)")
_ANGLE_THAT_STRETCHES = 45


def _again(group: Fastener) -> Iterator[Finding]:
    """Find what is not used again as a rule: a self-locking nut, a bolt turned on by an angle."""
    if group.reusable and _SELF_LOCKING.search(group.name):
        said = f"`{group.id}` is self-locking, and is used again"
        yield Finding(group.place, _CHECK, said, "write `reuse: false`, or say in a `note` why")
    turned = [s for s in group.how_tight.every if (s.degrees or 0) >= _ANGLE_THAT_STRETCHES]
    if group.reuse and turned:
        said = f"`{group.id}` is turned on by {turned[-1].written()}, and is used again"
        yield Finding(group.place, _CHECK, said, "write `reuse: false`, or say in a `note` why")


# -- the table -------------------------------------------------------------------------------------


@cache
def _table() -> Mapping[str, Any]:
    return toml_table(__package__, "practice.toml")


@cache
def _rows(kind: str) -> tuple[Mapping[str, Any], ...]:
    return tuple(row for row in _table()["quantity"] if row["kind"] == kind)


@cache
def _si(text: str) -> float:
    return read_quantity(text).si


@cache
def _pattern(words: str) -> re.Pattern[str]:
    return re.compile(words)
