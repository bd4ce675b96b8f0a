"""How a procedure finds the car and leaves it: begins-with and ends-with."""

from __future__ import annotations

from collections.abc import Iterator

from procedures_lib.findings import Place
from procedures_lib.language.entities.car import Connection, Fastener, Fluid
from procedures_lib.language.entities.work import Common, Procedure
from procedures_lib.language.reading.page import Scalar
from procedures_lib.manual import Manual, Plan
from procedures_lib.walk import states, vital
from procedures_lib.walk.circuits import air, circuits_of, drained, leak_test, opened
from procedures_lib.walk.fasteners import used
from procedures_lib.walk.progress import Run
from procedures_lib.walk.states import BATTERY, VEHICLE, YES, Key, State

AS_IT_ARRIVES = "as it arrives"
_OFF = "-off"
_RAISED = frozenset({"raised", "vehicle-raised", VEHICLE.id})
_ISOLATED = frozenset({BATTERY.id, "battery-isolated", "battery-off"})
STATE_WORDS = (AS_IT_ARRIVES, "raised", "vehicle-raised", "battery-isolated", "battery-off")
"""The words of both lists that are no ids."""


def begun_before(plan: Plan, manual: Manual | None) -> Iterator[Plan | str]:
    """Yield what comes before a procedure: plans that are followed, and words for states."""
    head = plan.head
    if isinstance(head, Procedure):
        yield from _before(manual, head, frozenset({head.id}))


def _before(manual: Manual | None, head: Procedure, seen: frozenset[str]) -> Iterator[Plan | str]:
    for word in map(str.strip, head.begins_with):
        other = plan_named(manual, word)
        if other is None:
            yield word
        elif other.head.id not in seen:
            if isinstance(other.head, Procedure):
                yield from _before(manual, other.head, seen | {other.head.id})
            yield other


def plan_named(manual: Manual | None, word: str) -> Plan | None:
    """Return the procedure or common steps of this id, planned."""
    if manual is None:
        return None
    found = manual.head(Common, word) or manual.head(Procedure, word)
    return manual.plan(found) if found is not None else None


# -- states by words -------------------------------------------------------------------------------


def stands_so(run: Run, word: str) -> None:
    """Bring the car into the state of a word: `wheels-off`, or the id of what is off or open."""
    for key, state in _meant(run, word).items():
        cars = run.all if key not in run.car.things else run.car.exists(key)
        thing = run.car.things.get(key)
        if isinstance(thing, Connection):
            opened(run, thing, cars, before=True)
        elif isinstance(thing, Fluid):
            drained(run, thing, cars)
        elif isinstance(thing, Fastener) and not thing.reusable:
            run.track(used(key)).put(cars, YES, None)
        run.track(key).put(cars, state, None)


def _meant(run: Run, word: str) -> dict[Key, State]:
    """Return what stands open by a word, with all that comes off or opens along with it."""
    if word in _RAISED:
        return {VEHICLE: states.RAISED}
    if word in _ISOLATED:
        return {BATTERY: states.SAFE}
    car = run.car
    key = car.keys.get(word) or car.keys.get(word.removesuffix(_OFF))
    if key is None or key.kind not in states.UNDONE:
        return {}
    found = {key: states.UNDONE[key.kind]}
    connections = car.connections.get(car.line(key), ()) if key.kind is states.PART else ()
    for each in (key, *connections):
        if each in car.new and each != key:
            continue
        found[each] = states.UNDONE[each.kind]
        for holder in car.holders.get(each, ()):
            found |= dict.fromkeys(_stack(run, holder), states.OUT)
            clamp = car.things[holder]
            if isinstance(clamp, Fastener) and clamp.kind == "clamp" and each != key:
                found[holder] = states.LOOSE
    return found


def _stack(run: Run, holder: Key) -> Iterator[Key]:
    """Yield a fastener and all fasteners of its stack that are not new."""
    line = run.car.line(holder)
    whole = next((stack for stack in run.car.whole_stacks if line in stack), {line})
    for each in (holder, *whole):
        if each.kind is states.FASTENER and each not in run.car.new:
            yield each


# -- what it leaves open ---------------------------------------------------------------------------


def hand_on(run: Run, manual: Manual | None) -> None:
    """Note what may end open: what ``ends-with`` names, or all, to a procedure that begins so."""
    plan = run.car.plan
    for word in map(str.strip, plan.ends_with):
        other = plan_named(manual, word)
        if other is not None:
            run.hands_all_on = run.hands_all_on or _begins_with(other, plan.head.id)
            continue
        for key in _meant(run, word):
            if not _never_excused(run, key):
                cars = run.all if key not in run.car.things else run.car.exists(key)
                for each in (key, *_shown_later(run, key)):
                    run.handed_on[each] = run.handed_on.get(each, run.none) | cars


def _shown_later(run: Run, key: Key) -> Iterator[Key]:
    """Yield the leak test, and the air, of a circuit that is handed on open."""
    thing = run.car.things.get(key)
    if isinstance(thing, Connection):
        yield leak_test(thing.carries or "")
        for fluid in run.car.fluids.get(thing.carries or "", ()):
            yield air(fluid)
            yield fluid
    elif isinstance(thing, Fluid):
        yield air(key)
        yield from map(leak_test, circuits_of(thing.kind))


def _never_excused(run: Run, key: Key) -> bool:
    """Tell whether a thing may not be handed on by its word: brakes, fuel, steering, new things."""
    if key in run.car.new or run.car.steers(key):
        return True
    users = run.car.users.get(run.car.line(key), ()) if key.kind is states.FASTENER else ()
    carried = {getattr(run.car.things.get(each), "carries", None) for each in (key, *users)}
    kind = getattr(run.car.things.get(key), "kind", "")
    return bool(carried & vital.CARRIED) or (key.kind is states.FLUID and kind in vital.CARRIED)


def ends_otherwise(run: Run) -> None:
    """Find what a procedure says it leaves open, and does not."""
    for word in run.car.plan.ends_with:
        meant = _meant(run, word.strip())
        key = next(iter(meant), None)
        if key is None:
            continue
        cars = run.all if key not in run.car.things else run.car.expected(key) & run.all
        arrives = states.ARRIVES[key.kind]
        shut = run.where(key, cars, arrives) if cars else run.none
        if shut and not cars - shut:
            place = run.car.plan.head.place
            line = word.line if isinstance(word, Scalar) else place.line
            run.find(
                "ends-otherwise", shut, f"`ends-with` names `{word.strip()}`, and"
                f" {run.does(key, 'is')} {arrives} at the end",
                "take it out of `ends-with`, or leave it open", at=Place(place.page, line),
            )  # fmt: skip


def not_met(plan: Plan, manual: Manual) -> Iterator[str]:
    """Yield the procedures of ``ends-with`` that do not begin with this one."""
    for word in plan.ends_with:
        other = plan_named(manual, word.strip())
        if other is not None and not _begins_with(other, plan.head.id):
            yield word


def _begins_with(plan: Plan, name: str) -> bool:
    return name in map(str.strip, plan.begins_with)
