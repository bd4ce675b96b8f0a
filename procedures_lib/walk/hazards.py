"""Hazards: isolate, relieve, cool, restore, and work that needs one of these first."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from procedures_lib.entities.car import Part
from procedures_lib.hazards import BUILTIN_HAZARDS
from procedures_lib.walk.states import BATTERY, ENGINE, FUEL_PRESSURE, IS_LIVE, IS_SAFE, LIVE, SAFE

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from procedures_lib.entities.car import Connection
    from procedures_lib.entities.work import Signal
    from procedures_lib.manual.calling import Call
    from procedures_lib.variants.region import Region
    from procedures_lib.walk.run import Run

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
