"""What each verb does to each kind of thing, also to one that none of the step's cars have."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from procedures_lib.language.entities.builtin_hazards import BUILTIN_HAZARDS
from procedures_lib.language.entities.car import Connection, Fastener, Fluid, Hazard, Opening, Part
from procedures_lib.language.entities.verbs import KEYWORDS, VERBS
from procedures_lib.language.entities.work import Action
from procedures_lib.language.variants import ALWAYS
from procedures_lib.language.variants.car_sets import Region
from procedures_lib.walk import connections, fasteners, hazards, openings, parts, vehicle
from procedures_lib.walk import hazards as fluids
from procedures_lib.walk import vehicle as testing
from procedures_lib.walk.car import Thing
from procedures_lib.walk.new_parts import dispose
from procedures_lib.walk.openings import stays_open
from procedures_lib.walk.progress import Run
from procedures_lib.walk.state import CALIBRATION, IS_TIGHT, VEHICLE


def on_nothing(run: Run, name: str, cars: Region) -> None:
    """Find an action that is done on no car: the step is for some, the thing is on others."""
    thing = run.car.things[name]
    own = run.step is not None and run.step.through is None
    if not own or run.action is None or thing.when == ALWAYS:
        return
    elsewhere = run.car.space.region(thing.when)
    if elsewhere and not elsewhere & cars:
        run.find(
            "never-true", cars,
            f"`{run.action.verb} {name}`: {run.does(name, 'is')} on cars with `{thing.when}`, and"
            " the step is for others", "correct one of the two conditions, or take this out",
            thing.place, unless=lambda left: left if _told_otherwise(run, name) else run.none,
        )  # fmt: skip


def _told_otherwise(run: Run, name: str) -> bool:
    """Tell whether another finding is about the thing: the same slip, seen from its other side."""
    thing = run.car.things[name]
    line = run.car.line(name)
    if (
        isinstance(thing, Part | Connection)
        and run.touched(line)
        and stays_open(run, line, run.all)
    ):
        return True
    cars = run.car.exists(name) & run.all
    if isinstance(thing, Fastener) and cars - run.where(name, IS_TIGHT, cars):
        return True
    called = run.called(name)
    return any(f.check != "never-true" and called in f.message for f in run.findings)


_DOING: dict[tuple[str, type[Any]], Callable[[Run, Any, Region], None]] = {
    ("remove", Part): parts.remove,
    ("lift", Part): parts.lift,
    ("position", Part): parts.position,
    ("seat", Part): parts.seat,
    ("fit", Part): parts.fit,
    ("disconnect", Connection): connections.disconnect,
    ("connect", Connection): connections.connect,
    ("tag", Connection): connections.tag,
    ("loosen", Fastener): fasteners.loosen,
    ("remove", Fastener): fasteners.remove,
    ("start", Fastener): fasteners.start,
    ("fit", Fastener): fasteners.fit,
    ("tighten", Fastener): fasteners.tighten,
    ("cover", Opening): openings.cover,
    ("uncover", Opening): openings.uncover,
    ("drain", Fluid): fluids.drain,
    ("fill", Fluid): fluids.fill,
    ("bleed", Fluid): fluids.bleed,
}
_GONE_FOR_GOOD = frozenset({"discard", "return"})
_MAKING_SAFE = frozenset({"isolate", "relieve", "cool"})


def act(run: Run, action: Action, cars: Region) -> None:
    """Do one action on every car of ``cars`` that has its objects."""
    run.action = action
    verb = str(action.verb)
    if action.on is not None and str(action.on) not in run.car.things:
        run.unsure = True
    if verb == "test":
        testing.test(run, action, cars)
    for each in action.objects:
        name = str(each)
        thing = run.car.things.get(name)
        if thing is not None:
            where = cars & run.car.exists(name)
            if where:
                _on_thing(run, verb, thing, where)
            else:
                on_nothing(run, name, cars)
        elif verb == "tag" and name in run.car.alike:
            for other in run.car.alike[name]:
                _on_thing(run, verb, run.car.things[other], cars & run.car.exists(other))
        else:
            _on_word(run, verb, name, cars)


def _on_thing(run: Run, verb: str, thing: Thing, cars: Region) -> None:
    naming = run.car.calls.naming
    if verb in naming or thing.id in naming:
        _meet(run, verb, thing.id, cars)
    doing = _DOING.get((verb, type(thing)))
    if doing is not None:
        doing(run, thing, cars)
    elif verb in _GONE_FOR_GOOD and isinstance(thing, Part | Fastener | Connection):
        dispose(run, thing, cars)
    elif verb == "modify":
        _modify(run, thing, cars)
    elif VERBS[verb].kinds:
        run.unsure = True


def _modify(run: Run, thing: Thing, cars: Region) -> None:
    if isinstance(thing, Connection):
        hazards.disconnecting(run, thing, cars)
    if isinstance(thing, Part | Connection):
        vehicle.modify(run, thing.id, cars)


def _on_word(run: Run, verb: str, name: str, cars: Region) -> None:
    if verb == "raise" and name == VEHICLE:
        vehicle.raise_(run, cars)
    elif verb == "lower" and name == VEHICLE:
        vehicle.lower(run, cars)
    elif verb == "program" and name == CALIBRATION:
        vehicle.program(run, cars)
    elif _is_hazard(run, name):
        name = hazards.target_of(name)
        if verb in _MAKING_SAFE:
            run.unsure = run.unsure or hazards.SAFE_BY.get(name, verb) != verb
            hazards.make_safe(run, name, cars)
        elif verb == "restore":
            hazards.restore(run, name, cars)
    elif VERBS[verb].kinds:
        run.unsure = True
    if verb in run.car.calls.naming or name in run.car.calls.naming:
        _meet(run, verb, name, cars)


def _is_hazard(run: Run, name: str) -> bool:
    return (
        KEYWORDS.get(name) == "hazard"
        or name in BUILTIN_HAZARDS
        or isinstance(run.car.entity(name), Hazard)
    )


def _meet(run: Run, verb: str, name: str, cars: Region) -> None:
    naming = run.car.calls.naming
    calls = (*naming.get(verb, ()), *naming.get(name, ()))
    for call in dict.fromkeys(calls):
        if (verb, name) != (call.verb, call.target):
            hazards.need(run, call, name, cars)
