"""The walk itself: a plan step by step and verb by verb, from how it begins to what is left."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from procedures_lib.findings import Finding
from procedures_lib.language.entities.car import Connection, Fastener, Part
from procedures_lib.language.entities.hazard import BUILTIN_HAZARDS
from procedures_lib.language.entities.verbs import KEYWORDS, VERBS, Verb
from procedures_lib.language.entities.work import Action
from procedures_lib.language.variants import ALWAYS, Condition
from procedures_lib.language.variants.car_sets import Region
from procedures_lib.manual import Manual, NumberedStep, Plan
from procedures_lib.walk import (
    connections,
    fasteners,
    fluids,
    hazards,
    openings,
    parts,
    settings,
    stack,
    states,
    support,
    vehicle,
)
from procedures_lib.walk.arriving_car import Car
from procedures_lib.walk.box import dispose
from procedures_lib.walk.ending import end
from procedures_lib.walk.hand_over import begun_before, hand_on, stands_so
from procedures_lib.walk.open_items import OpenItem, Past, open_items
from procedures_lib.walk.progress import Run
from procedures_lib.walk.states import CALIBRATION, VEHICLE, Key, Kind, Mark, Standing


@dataclass(frozen=True, slots=True)
class Walk:
    """A procedure carried out on paper, on every car at once."""

    run: Run
    findings: tuple[Finding, ...]
    begun: Run

    @property
    def unsure(self) -> bool:
        """Whether some action was passed over: its id or verb is a finding of its own."""
        return self.run.unsure

    @property
    def plan(self) -> Plan:
        """The procedure."""
        return self.run.car.plan

    def after(self, step: int) -> Past:
        """Return the walk as it stood after the step of this number; 0 is before the first."""
        past = Past(self.begun, self.run.log)
        past.go_on(step)
        return past

    def state_after(self, step: int, car: Mapping[str, str]) -> dict[Key, Standing]:
        """Return the state of everything that was changed so far, on one car, after a step.

        ``car`` gives its options; one that it does not name has its first value.
        """
        return {
            key: state
            for key, track in self.after(step).tracks.items()
            for cars, state, _ in track.pieces
            if cars.contains(car)
        }

    def open_items(self, step: int, when: Condition = ALWAYS) -> list[OpenItem]:
        """Return what is open, off, loose, covered, drained or isolated after a step."""
        past = self.after(step)
        return open_items(past, past.all & past.car.space.region(when))


def walk(plan: Plan, manual: Manual | None = None) -> Walk:
    """Carry a procedure out on paper.

    ``manual`` is where the procedures named in ``begins-with`` are looked up.
    """
    run = Run(Car(plan))
    for before in begun_before(plan, manual):
        if isinstance(before, Plan):
            _follow(run, before)
        else:
            stands_so(run, before)
        run.settle()
    hand_on(run, manual)
    begun = Run(run.car)
    begun.go_on_from(run)
    _follow(run, plan)
    end(run)
    return Walk(run, tuple(run.findings), begun)


# -- step by step ----------------------------------------------------------------------------------


def _follow(run: Run, plan: Plan) -> None:
    """Do the steps of a plan in turn."""
    watch = openings.Watch(run)
    steps = list(plan.steps)
    for n, numbered in enumerate(steps):
        cars = run.all & run.car.space.region(numbered.when)
        if not numbered.step.actions or not cars:
            continue
        run.before = steps[:n]
        run.after = steps[n + 1 : n + 4]
        run.step = numbered
        for action in numbered.step.actions:
            run.mark = _mark_of(numbered, action)
            act(run, action, cars)
        watch.end_of_step(cars)


def _mark_of(numbered: NumberedStep, action: Action) -> Mark:
    """Return where an action stands, as the procedure's own page sees it."""
    if numbered.through is None:
        return Mark(numbered.number, action.place)
    return Mark(numbered.number, numbered.through.place, action.place)


# -- verb by verb ----------------------------------------------------------------------------------

_DOING: dict[tuple[str, Kind], Callable[[Run, Any, Region], None]] = {
    ("remove", states.PART): parts.remove,
    ("lift", states.PART): parts.lift,
    ("position", states.PART): parts.position,
    ("seat", states.PART): parts.seat,
    ("fit", states.PART): parts.fit,
    ("disconnect", states.CONNECTION): connections.disconnect,
    ("connect", states.CONNECTION): connections.connect,
    ("tag", states.CONNECTION): connections.tag,
    ("loosen", states.FASTENER): fasteners.loosen,
    ("remove", states.FASTENER): fasteners.remove,
    ("start", states.FASTENER): fasteners.start,
    ("fit", states.FASTENER): fasteners.fit,
    ("tighten", states.FASTENER): fasteners.tighten,
    ("cover", states.OPENING): openings.cover,
    ("uncover", states.OPENING): openings.uncover,
    ("drain", states.FLUID): fluids.drain,
    ("fill", states.FLUID): fluids.fill,
    ("bleed", states.FLUID): fluids.bleed,
    ("top-up", states.FLUID): fluids.top_up,
    ("support", states.PART): support.support,
    ("release", states.PART): support.release,
    ("adjust", states.PART): settings.adjust,
    ("adjust", states.CONNECTION): settings.adjust,
    ("adjust", states.FASTENER): settings.adjust,
}
_ON_THE_CAR: dict[tuple[str, str], Callable[[Run, Region], None]] = {
    ("raise", VEHICLE.id): vehicle.raise_,
    ("lower", VEHICLE.id): vehicle.lower,
    ("program", CALIBRATION.id): vehicle.program,
}


def act(run: Run, action: Action, cars: Region) -> None:
    """Do one action on every car of ``cars`` that has its objects."""
    run.action = action
    verb = VERBS[action.verb]
    if action.on is not None and action.on not in run.car.keys:
        run.unsure = True
    if verb.name == "test" or (verb.name == "inspect" and "leak" in str(action)):
        vehicle.test(run, " ".join(action.objects), cars)
    named = [str(each) for each in action.objects]
    for name in stack.in_order(run, verb, named) if run.car.stacks else named:
        key = _thing_meant(run, verb, name)
        if key is not None:
            where = cars & run.car.exists(key)
            if where:
                _on_thing(run, verb, key, where)
            else:
                _on_nothing(run, key, cars)
        elif verb.name == "tag" and name in run.car.alike:
            for other in run.car.alike[name]:
                _on_thing(run, verb, other, cars & run.car.exists(other))
        else:
            _on_word(run, verb, name, cars)


def _thing_meant(run: Run, verb: Verb, name: str) -> Key | None:
    """Return the thing that an object of a verb names; None when it is no thing.

    A word that the verb takes stands for itself: `isolate battery` is about the hazard, whatever
    part has that id.
    """
    if name in BUILTIN_HAZARDS and "hazard" in verb.kinds:
        return None
    return None if KEYWORDS.get(name) in verb.kinds else run.car.keys.get(name)


def _on_thing(run: Run, verb: Verb, key: Key, cars: Region) -> None:
    hazards.meet(run, verb, key.id, cars)
    thing = run.car.things[key]
    doing = _DOING.get((verb.name, key.kind))
    if doing is not None:
        doing(run, thing, cars)
    elif verb.disposes and isinstance(thing, Part | Fastener | Connection):
        dispose(run, thing, cars)
    elif verb.name == "modify":
        if isinstance(thing, Connection):
            hazards.disconnecting(run, thing, cars)
        if isinstance(thing, Part | Connection):
            vehicle.modify(run, key, cars)
    elif verb.kinds:
        run.unsure = True
    elif verb.name != "clean" and key.kind is states.FLUID:
        fluids.looked_at(run, key, cars)


def _on_nothing(run: Run, key: Key, cars: Region) -> None:
    """Find an action that is done on no car: the step is for some, the thing is on others."""
    thing = run.car.things[key]
    own = run.step is not None and run.step.through is None
    if not own or thing.when == ALWAYS:
        return
    elsewhere = run.car.space.region(thing.when)
    if elsewhere and not elsewhere & cars:
        run.find(
            "never-true", cars,
            f"`{run.verb} {key}`: {run.does(key, 'is')} on cars with `{thing.when}`, and"
            " the step is for others", "correct one of the two conditions, or take this out",
            thing.place, unless=lambda left: left if _told_otherwise(run, key) else run.none,
        )  # fmt: skip


def _told_otherwise(run: Run, key: Key) -> bool:
    """Tell whether another finding is about the thing: the same slip, seen from its other side."""
    can_open = key.kind in {states.PART, states.CONNECTION}
    if can_open and run.touched(key) and openings.stays_open(run, key, run.all):
        return True
    cars = run.car.exists(key) & run.all
    if key.kind is states.FASTENER and cars - run.where(key, cars, states.TIGHT):
        return True
    called = run.called(key)
    return any(f.check != "never-true" and called in f.message for f in run.findings)


def _on_word(run: Run, verb: Verb, name: str, cars: Region) -> None:
    doing = _ON_THE_CAR.get((verb.name, name))
    hazard = hazards.hazard_of(run.car, name)
    if doing is not None:
        doing(run, cars)
    elif hazard is not None:
        name = hazard.id
        if verb.makes_safe:
            hazards.make_safe(run, hazard, cars)
        elif verb.name == "restore":
            hazards.restore(run, hazard, cars)
    elif verb.kinds:
        run.unsure = True
    hazards.meet(run, verb, name, cars)
