"""Hazards: isolate, relieve, cool, restore; what must not be done while one is live."""

from __future__ import annotations

import re

from procedures_lib.findings import Level
from procedures_lib.language.entities.car import Connection, Part
from procedures_lib.language.entities.hazard import BUILTIN_HAZARDS, Hazard
from procedures_lib.language.entities.verbs import KEYWORD_VERBS, KEYWORDS, Verb
from procedures_lib.language.variants.car_sets import Region
from procedures_lib.manual.scope import Call
from procedures_lib.walk import states
from procedures_lib.walk.arriving_car import Car
from procedures_lib.walk.progress import Run
from procedures_lib.walk.states import BATTERY, ENGINE, Key, Standing

_HANDED_OVER = re.compile(
    r"\b(?:certified|licen[cs]ed)\b|\bmaker's (?:own )?(?:procedure|instructions)\b", re.IGNORECASE
)
"""What a step or signal word says when it leaves work to those who may do it."""

_BY_LAW = "refrigerant"

_ELECTRICAL = frozenset({"power", "signal", "airbag"})
_ELECTRICAL_KINDS = frozenset({"plug", "cable", "wire"})
_WET = frozenset({"coolant", "oil", "brake-fluid", "charge-air", "vacuum", "exhaust"})
_LIVE_TO_CONNECT = frozenset({"fuel", "airbag"})


def hazard_of(car: Car, name: str) -> Key | None:
    """Return the hazard that a word names; None when it names none.

    A hazard named by its own id is what makes it safe: `coolant-heat` is the engine.
    """
    builtin = BUILTIN_HAZARDS.get(name)
    target = builtin.made_safe_by.partition(" ")[2] if builtin else ""
    if target in KEYWORD_VERBS:
        return Key(states.HAZARD, target)
    named = KEYWORDS.get(name) == "hazard" or isinstance(car.plan.scope.get(name), Hazard)
    return Key(states.HAZARD, name) if builtin or named else None


def without_battery(run: Run, cars: Region, used: str) -> None:
    """Find what needs current and is done with the battery off; that it stays off is said once."""
    off = run.where(BATTERY, cars, states.SAFE) if BATTERY in run.tracks else run.none
    off = off & run.untold("battery-order", used, off)
    run.find(
        "battery-order", off, f"{used} with the battery isolated", "`restore battery` first",
        run.track(BATTERY).mark(off), unless=lambda left: run.where(BATTERY, left, states.SAFE),
        level=Level.WARNING,
    )  # fmt: skip


def make_safe(run: Run, hazard: Key, cars: Region) -> None:
    """Isolate, relieve or cool."""
    if hazard.id == "fuel-pressure":
        _relieved_by_the_pump(run, cars)
    run.unsure = run.unsure or run.verb not in KEYWORD_VERBS.get(hazard.id, (run.verb,))
    if hazard != ENGINE:
        again = run.where(hazard, cars, states.SAFE)
        hint = "leave this out, or restore it in between"
        run.nothing_to_do(hazard, again, "has been done already", hint, it="that")
    run.forgiven.pop(hazard, None)
    run.put(hazard, cars, states.SAFE)


_PUMP_RUNS = re.compile(
    r"\b(?:idles?|cranks?|engine (?:runs?|stops|dies|stalls)|start the engine|ignition on)\b",
    re.IGNORECASE,
)
"""How a step says that the pump, or the engine, takes the pressure off."""


def _relieved_by_the_pump(run: Run, cars: Region) -> None:
    """Find the pressure run off by an engine or a pump that has no current."""
    prose = run.step.step.block.prose if run.step else ()
    if any(_PUMP_RUNS.search(" ".join(each.text.split())) for each in prose):
        without_battery(run, cars, "the fuel pressure is run off")


def restore(run: Run, hazard: Key, cars: Region) -> None:
    """Make live again what was made safe."""
    live = run.where(hazard, cars, states.LIVE)
    hint = "make it safe first, or leave this out"
    run.nothing_to_do(hazard, live, "is live already", hint, it="it", again=True)
    run.put(hazard, cars, states.LIVE)


def disconnecting(run: Run, connection: Connection, cars: Region) -> None:
    """Find a connection that is opened while a hazard that it calls for is live."""
    for call in _called_by(run, connection):
        need(run, call, connection.id, cars)


def _called_by(run: Run, connection: Connection) -> list[Call]:
    carries = connection.carries or ""
    opening = run.car.calls.opening
    calls = list(opening.get(carries, ()))
    if carries not in _WET:
        for end in run.car.known(connection.between):
            part = run.car.things[end]
            if isinstance(part, Part) and part.kind != "part":
                calls += opening.get(part.kind, ())
    return list(dict.fromkeys(calls))


_LETS_OUT = re.compile(r"\b(?:banjo|union|flare nut|fitting|coupling|gland)s?\b")
"""Fasteners that let out what runs in a line when they are turned, before the line is open."""


def let_out(run: Run, key: Key, named: str, cars: Region) -> None:
    """Find a banjo bolt or a union that is turned while its line is under pressure."""
    if not cars or not _LETS_OUT.search(named.casefold()):
        return
    for user in run.car.users.get(run.car.line(key), ()):
        line = run.car.things[user]
        if isinstance(line, Connection):
            made = run.where(user, cars, states.MADE)
            for call in _called_by(run, line) if made else ():
                need(run, call, key.id, made)


def connecting(run: Run, connection: Connection, cars: Region) -> None:
    """Find what is connected under power, or after the battery is back."""
    carries = connection.carries or ""
    electrical = connection.kind in _ELECTRICAL_KINDS and carries not in _WET
    if not electrical and carries not in _ELECTRICAL | _LIVE_TO_CONNECT:
        return
    live = run.where(BATTERY, cars, states.LIVE)
    for where, _, mark in run.track(BATTERY).within(live):
        if mark is not None:
            run.find(
                "battery-order", run.untold("battery-order", "", where),
                f"{run.does(run.car.keys[connection.id], 'is')} connected after the battery is"
                " back on",
                "restore the battery after everything electrical, and all fuel, is connected",
                mark, connection.place,
            )  # fmt: skip
        elif carries in _LIVE_TO_CONNECT:
            for call in run.car.calls.opening.get(carries, ()):
                if call.target == BATTERY.id:
                    need(run, call, connection.id, where)


_NO_WORK = frozenset({"inspect", "measure", "tag", "test", "discard", "return"})
"""Verbs that leave a thing as it is: its hazard is shown there, and need not be safe."""

_SAFE_WHEN: dict[str, tuple[Standing, ...]] = {
    "disconnect": (states.OPEN, states.GONE),
    "remove": (states.OFF, states.OUT, states.GONE),
    "lift": (states.LIFTED, states.OFF, states.GONE),
    "loosen": (states.LOOSE, states.OUT, states.GONE),
    "drain": (states.EMPTY,),
    "cover": (states.COVERED,),
    "fit": (states.FITTED, states.LIFTED, states.TIGHT),
    "seat": (states.FITTED,),
    "connect": (states.MADE,),
    "tighten": (states.TIGHT,),
}
"""How a thing stands after the action that makes a hazard safe."""


def meet(run: Run, verb: Verb, name: str, cars: Region) -> None:
    """Judge the hazards that the verb, or what it works on, calls for by its name."""
    naming = run.car.calls.naming
    calls = list(naming.get(verb.name, ()))
    if verb.name not in _NO_WORK:
        calls += naming.get(name, ())
    for call in dict.fromkeys(calls):
        if (verb.name, name) != (call.verb, call.target):
            need(run, call, name, cars)


def need(run: Run, call: Call, name: str, cars: Region) -> None:
    """Find work on a thing while the hazard that it calls for is live, or left to others."""
    cars = cars & run.car.space.region(call.when)
    if not cars:
        return
    if call.licensed:
        _licensed(run, call, cars)
    live = _live(run, call, cars)
    if live:
        target = _target(run, call)
        run.find(
            "hazard-live", live,
            f"`{run.verb} {name}` with the hazard “{call.name}” not made safe",
            f"`{call.verb} {target}` before this step", run.track(target).mark(live),
        )  # fmt: skip
        if not call.thing:
            run.assume(target, live, states.SAFE)


def _target(run: Run, call: Call) -> Key:
    return run.car.keys[call.target] if call.thing else Key(states.HAZARD, call.target)


def _live(run: Run, call: Call, cars: Region) -> Region:
    """Return where a hazard has not been made safe; of one with its own thing, once a car."""
    if not call.target:
        return run.none
    target = _target(run, call)
    if not call.thing:
        return run.where(target, cars, states.LIVE)
    there = cars & run.car.exists(target)
    if call.verb == "support":
        done = run.where(Key(states.SUPPORT, target.id), there, states.YES)
    elif call.verb in _SAFE_WHEN:
        done = run.where(target, there, *_SAFE_WHEN[call.verb])
    else:
        return run.none
    return run.untold("hazard-live", call.hazard, there - done)


def _licensed(run: Run, call: Call, cars: Region) -> None:
    """Find licensed work that the step does not hand to those who may do it.

    A sign about the hazard is enough, but for refrigerant: such signs also stand where the circuit
    stays shut, and who may open it the law says (40 CFR 82.34, EU 2015/2067; from memory).
    """
    step = run.step.step if run.step else None
    by_sign = call.hazard != _BY_LAW
    if step is None or (by_sign and call.hazard in step.hazards):
        return
    if any(_HANDED_OVER.search(prose.text) for prose in step.block.prose):
        return
    for signal in (*step.signals, *run.car.plan.content.signals):
        handed = any(_HANDED_OVER.search(text) for text in (signal.title, signal.text))
        if handed or (by_sign and signal.hazard == call.hazard):
            cars = cars - run.car.space.region(signal.when)
    number = run.step.number if run.step else 0
    fresh = run.untold("licensed-work", f"{call.hazard} {number}", cars)
    run.find(
        "licensed-work", fresh,
        f"“{call.name}” is work for licensed or certified people, and the step does not say so",
        f"refer to them in a signal word with `hazard: {call.hazard}`",
    )  # fmt: skip
