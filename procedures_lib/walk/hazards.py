"""Hazards: isolate, relieve, cool, restore; fluids: drain, fill, bleed."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from procedures_lib.language.entities.builtin_hazards import BUILTIN_HAZARDS
from procedures_lib.language.entities.car import Connection, Fastener, Fluid, Part
from procedures_lib.language.entities.work import Signal
from procedures_lib.language.variants.car_sets import Region
from procedures_lib.manual.scope import Call
from procedures_lib.walk.openings import stays_open
from procedures_lib.walk.progress import Run
from procedures_lib.walk.state import (
    AIR,
    BATTERY,
    BRAKE_TEST,
    EMPTY,
    ENGINE,
    FUEL_PRESSURE,
    FUEL_TEST,
    FULL,
    IN_PLACE,
    IS_EMPTY,
    IS_LIVE,
    IS_MADE,
    IS_SAFE,
    IS_TIGHT,
    LIVE,
    NO,
    SAFE,
    YES,
)

SAFE_BY = {BATTERY: "isolate", ENGINE: "cool", FUEL_PRESSURE: "relieve"}
"""The one verb that makes each of these safe."""

_HANDED_OVER = re.compile(
    r"\b(?:certified|licen[cs]ed)\b|\bmaker's (?:own )?(?:procedure|instructions)\b", re.IGNORECASE
)
"""What a step or signal word says when it leaves work to those who may do it."""

_ELECTRICAL = frozenset({"power", "signal", "airbag"})
_ELECTRICAL_KINDS = frozenset({"plug", "cable", "wire"})
_WET = frozenset({"coolant", "oil", "brake-fluid", "charge-air", "vacuum", "exhaust"})
_TOO_EARLY = "battery restored too early"
_LIVE_TO_CONNECT = frozenset({"fuel", "airbag"})


def target_of(name: str) -> str:
    """Return what is made safe for a hazard named by its own id: the engine for `coolant-heat`."""
    hazard = BUILTIN_HAZARDS.get(name)
    target = hazard.made_safe_by.partition(" ")[2] if hazard else ""
    return target if target in SAFE_BY else name


def make_safe(run: Run, name: str, cars: Region) -> None:
    """Isolate, relieve or cool."""
    if name != ENGINE:
        again = run.unforgiven(name, run.where(name, IS_SAFE, cars))
        if again:
            verb = run.action.verb if run.action else "isolate"
            run.find(
                "nothing-to-undo", again, f"`{verb} {name}`: that has been done already",
                "leave this out, or restore it in between", run.track(name).mark(again),
            )  # fmt: skip
    run.forgiven.pop(name, None)
    run.put(name, cars, SAFE)


def restore(run: Run, name: str, cars: Region) -> None:
    """Make live again what was made safe."""
    live = run.where(name, IS_LIVE, cars)
    if live:
        run.find(
            "nothing-to-undo", live, f"`restore {name}`: it is live already",
            "make it safe first, or leave this out", run.track(name).mark(live),
        )  # fmt: skip
    run.put(name, cars, LIVE)


def disconnecting(run: Run, connection: Connection, cars: Region) -> None:
    """Find a connection that is opened while a hazard that it calls for is live."""
    for call in _called_by(run, connection):
        need(run, call, connection.id, cars)


def _called_by(run: Run, connection: Connection) -> list[Call]:
    carries = connection.carries or ""
    calls = list(run.car.calls.opening.get(carries, ()))
    if carries not in _WET:
        for end in connection.between:
            part = run.car.things.get(str(end))
            if isinstance(part, Part) and part.kind != "part":
                calls += run.car.calls.opening.get(part.kind, ())
    return list(dict.fromkeys(calls))


def connecting(run: Run, connection: Connection, cars: Region) -> None:
    """Find what is connected under power, or after the battery is back."""
    carries = connection.carries or ""
    electrical = connection.kind in _ELECTRICAL_KINDS and carries not in _WET
    if not electrical and carries not in _ELECTRICAL | _LIVE_TO_CONNECT:
        return
    live = run.where(BATTERY, IS_LIVE, cars)
    if not live or BATTERY not in run.tracks:
        return
    for where, state, mark in run.track(BATTERY).within(live):
        if state == LIVE and mark is not None:
            run.find(
                "battery-order", run.unforgiven(_TOO_EARLY, where),
                f"{run.does(connection.id, 'is')} connected after the battery is back on",
                "restore the battery after everything electrical, and all fuel, is connected",
                mark, connection.place,
            )  # fmt: skip
            run.forgive(_TOO_EARLY, where)
        elif carries in _LIVE_TO_CONNECT:
            for call in run.car.calls.opening.get(carries, ()):
                if call.target == BATTERY:
                    need(run, call, connection.id, where)


def draining(run: Run, kind: str, cars: Region) -> None:
    """Find hot coolant that is let out."""
    if kind == "coolant":
        for call in run.car.calls.opening.get(kind, ()):
            need(run, call, kind, cars)


def need(run: Run, call: Call, name: str, cars: Region) -> None:
    """Find work on a thing while the hazard that it calls for is live, or left to others."""
    if call.licensed:
        _licensed(run, call, cars)
    if not call.target:
        return
    live = run.where(call.target, IS_LIVE, cars)
    if live:
        verb = run.action.verb if run.action else ""
        run.find(
            "hazard-live", live,
            f"`{verb} {name}` with the hazard “{call.name}” not made safe",
            f"`{call.verb} {call.target}` before this step", run.track(call.target).mark(live),
        )  # fmt: skip
        run.assume(call.target, live, SAFE)


def _texts(signals: Iterable[Signal]) -> Iterator[str]:
    for signal in signals:
        yield signal.title
        yield signal.text


def _licensed(run: Run, call: Call, cars: Region) -> None:
    """Find licensed work that the step does not hand to those who may do it."""
    step = run.step.step if run.step else None
    if step is None or call.hazard in map(str, step.hazards):
        return
    signals = (*step.signals, *run.car.plan.content.signals)
    if any(signal.hazard == call.hazard for signal in signals):
        return
    if any(_HANDED_OVER.search(text) for text in (step.block.body, *_texts(signals))):
        return
    key = f"licensed {call.hazard} {run.step.number if run.step else 0}"
    fresh = run.unforgiven(key, cars)
    run.forgive(key, cars)
    if fresh:
        run.find(
            "licensed-work", fresh,
            f"“{call.name}” is work for licensed or certified people, and the step does not say so",
            f"refer to them in a signal word with `hazard: {call.hazard}`",
        )  # fmt: skip


_SHUT_WHEN_FILLED = frozenset({"coolant", "brake-fluid", "fuel"})


def drain(run: Run, fluid: Fluid, cars: Region) -> None:
    """Empty a system."""
    empty = run.where(fluid.id, IS_EMPTY, cars)
    if empty:
        _nothing(run, fluid, empty, "is drained already", "leave this out")
    draining(run, str(fluid.kind), cars - empty)
    run.put(fluid.id, cars, EMPTY)


def fill(run: Run, fluid: Fluid, cars: Region) -> None:
    """Fill a system; air comes in with what has to be bled."""
    name = fluid.id
    full = cars - run.where(name, IS_EMPTY, cars)
    full = full - run.where(AIR + name, frozenset({YES}), full)
    full = full - _may_be_new(run, fluid, full)
    if full:
        _nothing(run, fluid, full, "is full", f"`drain {name}` first, or leave this out")
    _nothing_open(run, fluid, cars)
    if fluid.needs_bleeding:
        run.put(AIR + name, cars, YES)
    run.put(name, cars, FULL)


def _may_be_new(run: Run, fluid: Fluid, cars: Region) -> Region:
    """Where a system that the kit's page describes has not been touched: it may be the kit's."""
    if fluid.place.page not in run.car.kit_pages:
        return run.none
    found = run.none
    for where, _, mark in run.track(fluid.id).within(cars):
        if mark is None:
            found = found | where
    return found


def bleed(run: Run, fluid: Fluid, cars: Region) -> None:
    """Let the air out of a system."""
    name = fluid.id
    empty = run.where(name, IS_EMPTY, cars)
    if empty:
        _nothing(run, fluid, empty, "is still drained", f"`fill {name}` first")
        run.put(name, empty, FULL)
    _nothing_open(run, fluid, cars - empty)
    run.put(AIR + name, cars, NO)


def opened(run: Run, connection: Connection, cars: Region) -> None:
    """Note what an opened line lets out, and lets in."""
    carries = connection.carries
    if not cars or carries is None:
        return
    if carries == "fuel":
        run.put(FUEL_TEST, cars, YES)
    elif carries == "brake-fluid":
        run.put(BRAKE_TEST, cars, YES)
        for name in run.car.fluids.get("brake-fluid", ()):
            run.put(AIR + name, cars & run.car.exists(name), YES)
    elif carries == "coolant":
        _runs_out(run, connection, cars)


def _runs_out(run: Run, connection: Connection, cars: Region) -> None:
    names = run.car.fluids.get("coolant", ())
    for name in names:
        where = cars & run.car.exists(name)
        full = where - run.where(name, IS_EMPTY, where)
        if full and len(names) == 1:
            run.find(
                "not-drained", full,
                f"{run.does(connection.id, 'is')} opened with {run.called(name)} still in",
                f"`drain {name}` first", connection.place, run.car.things[name].place,
            )  # fmt: skip
            run.put(name, full, EMPTY)


def _nothing(run: Run, fluid: Fluid, cars: Region, how: str, hint: str) -> None:
    verb = run.action.verb if run.action else ""
    run.find(
        "nothing-to-undo", cars, f"`{verb} {fluid.id}`: {run.does(fluid.id, how)}", hint,
        run.track(fluid.id).mark(cars), fluid.place,
    )  # fmt: skip


def _nothing_open(run: Run, fluid: Fluid, cars: Region) -> None:
    """Find lines that are open, and drain plugs that are out, when a system is filled or bled."""
    kind = str(fluid.kind)
    plug = run.car.things.get(str(fluid.drain))
    if isinstance(plug, Fastener):
        where = cars & run.car.expected(plug.id)
        _still_open(run, fluid, plug.id, where - run.where(plug.id, IS_TIGHT, where))
    if kind not in _SHUT_WHEN_FILLED or len(run.car.fluids[kind]) > 1:
        return
    for line in run.car.carrying.get(kind, ()):
        has = run.none
        for name in run.car.of_line(line):
            has = has | (cars & _wanted(run, name))
        if run.touched(line):
            _still_open(run, fluid, line, has - run.any_of(line, IS_MADE, has))


def _wanted(run: Run, name: str) -> Region:
    """Return the cars on which a line has to be connected: its parts are there."""
    thing = run.car.things[name]
    where = run.car.expected(name)
    if isinstance(thing, Connection):
        for line in run.car.ends(thing):
            where = where & run.any_of(line, IN_PLACE, where)
    return where


def _still_open(run: Run, fluid: Fluid, name: str, cars: Region) -> None:
    if cars:
        verb = run.action.verb if run.action else "fill"
        run.find(
            "filled-while-open", cars,
            f"`{verb} {fluid.id}` while {run.does(name, 'is')} still open",
            f"close `{name}` first", run.track(name).mark(cars), run.car.things[name].place,
            unless=lambda cars: _never_closed(run, name, cars),
        )  # fmt: skip


def _never_closed(run: Run, name: str, cars: Region) -> Region:
    if isinstance(run.car.things[name], Fastener):
        return cars - run.any_of(run.car.line(name), IS_TIGHT, cars)
    return stays_open(run, run.car.line(name), cars)
