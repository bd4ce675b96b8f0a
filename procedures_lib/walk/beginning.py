"""The state that a procedure begins with: what another has left behind."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.entities.car import Connection, Fastener, Fluid, Part
from procedures_lib.entities.work import Common, Procedure
from procedures_lib.walk.states import (
    BATTERY,
    EMPTY,
    OFF,
    OPEN,
    OUT,
    RAISED,
    SAFE,
    VEHICLE,
)

if TYPE_CHECKING:
    from procedures_lib.manual import Manual, Plan
    from procedures_lib.walk.run import Run

_OFF = "-off"


def begin(run: Run, manual: Manual | None) -> list[Plan]:
    """Bring the car into the states that the procedure says it begins with.

    Returns the plans whose steps come before: those of the procedures and common steps named.
    """
    head = run.car.plan.head
    before: list[Plan] = []
    for each in head.begins_with if isinstance(head, Procedure) else ():
        word = str(each).strip()
        other = _plan(manual, word, head)
        if other is not None:
            before.append(other)
        else:
            _state(run, word)
    return before


def _plan(manual: Manual | None, word: str, head: Procedure | Common) -> Plan | None:
    if manual is None or word == head.id:
        return None
    found = manual.head(Common, word) or manual.head(Procedure, word)
    return manual.plan(found) if found is not None else None


def _state(run: Run, word: str) -> None:
    """Read the id of what is off, open, out, drained or isolated; `wheels-off` as `wheels` off."""
    if word in {"raised", "vehicle-raised", VEHICLE}:
        run.track(VEHICLE).put(run.all, RAISED, None)
        return
    if word in {BATTERY, "battery-isolated", "battery-off"}:
        run.track(BATTERY).put(run.all, SAFE, None)
        return
    name = word if word in run.car.things else word.removesuffix(_OFF)
    thing = run.car.things.get(name)
    if thing is None:
        return
    cars = run.car.exists(name)
    for kind, state in ((Part, OFF), (Connection, OPEN), (Fastener, OUT), (Fluid, EMPTY)):
        if isinstance(thing, kind):
            run.track(name).put(cars, state, None)
    if isinstance(thing, Part | Connection):
        for holder in run.car.holders(name):
            run.track(holder).put(cars & run.car.exists(holder), OUT, None)
    if isinstance(thing, Part):
        for each in run.car.connections.get(run.car.line(name), ()):
            run.track(each).put(cars & run.car.exists(each), OPEN, None)
