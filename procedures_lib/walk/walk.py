"""The walk itself: step by step over a plan, from the state it begins with to what is left."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from procedures_lib.findings import Finding
from procedures_lib.language.entities.car import Connection, Fastener, Fluid, Part
from procedures_lib.language.entities.work import Action, Common, Procedure
from procedures_lib.language.variants import ALWAYS, Condition
from procedures_lib.manual import Manual, NumberedStep, Plan
from procedures_lib.walk.actions import act
from procedures_lib.walk.car import Car
from procedures_lib.walk.ending import end
from procedures_lib.walk.open_items import OpenItem, open_items, replayed
from procedures_lib.walk.progress import Run
from procedures_lib.walk.state import BATTERY, EMPTY, OFF, OPEN, OUT, RAISED, SAFE, VEHICLE, Mark


def circles(edges: Mapping[str, Sequence[str]]) -> Iterator[tuple[str, ...]]:
    """Yield the circles of a relation, each once: the ids on it, from the first that leads there.

    Every id is looked at once, so that the time is in proportion to the mentions.
    """
    done: set[str] = set()
    for start in edges:
        if start in done:
            continue
        path: dict[str, None] = {start: None}
        heap = [(start, iter(edges[start]))]
        while heap:
            name, rest = heap[-1]
            target = next((each for each in rest if each in edges and each not in done), None)
            if target is None:
                heap.pop()
                path.pop(name)
                done.add(name)
            elif target in path:
                names = list(path)
                yield tuple(names[names.index(target) :])
            else:
                path[target] = None
                heap.append((target, iter(edges[target])))


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

    def after(self, step: int) -> Run:
        """Return the walk as it stood after the step of this number; 0 is before the first."""
        return replayed(self.run, self.begun, step)

    def state_after(self, step: int, car: Mapping[str, str]) -> dict[str, str]:
        """Return the state of everything that was changed so far, on one car, after a step.

        ``car`` gives its options; one that it does not name has its first value. Beside the ids of
        things, the keys are those of :mod:`procedures_lib.walk.state`.
        """
        past = self.after(step)
        found = {}
        for key, track in past.tracks.items():
            for cars, state, _ in track.pieces:
                if cars.contains(car):
                    found[key] = state
        return found

    def open_items(self, step: int, when: Condition = ALWAYS) -> list[OpenItem]:
        """Return what is open, off, loose, covered, drained or isolated after a step."""
        past = self.after(step)
        return open_items(past, past.all & past.car.space.region(when))


def walk(plan: Plan, manual: Manual | None = None) -> Walk:
    """Carry a procedure out on paper.

    ``manual`` is where the procedures named in ``begins-with`` are looked up.
    """
    run = Run(Car(plan))
    for before in begin(run, manual):
        follow(run, before)
        run.settle()
    begun = Run(run.car)
    for key, track in run.tracks.items():
        begun.track(key).pieces = list(track.pieces)
    follow(run, plan)
    end(run)
    return Walk(run, tuple(run.findings), begun)


def follow(run: Run, plan: Plan) -> None:
    """Do the steps of a plan in turn."""
    steps = list(plan.steps)
    for n, numbered in enumerate(steps):
        if not numbered.step.actions:
            continue
        run.before = steps[:n]
        run.after = steps[n + 1 : n + 4]
        _step(run, numbered)


def _step(run: Run, numbered: NumberedStep) -> None:
    cars = run.all & run.car.space.region(numbered.when)
    if not cars:
        return
    run.step = numbered
    run.cars = cars
    for action in numbered.step.actions:
        run.mark = mark_of(numbered, action)
        act(run, action, cars)
    run.watch.end_of_step(run, cars)


def mark_of(numbered: NumberedStep, action: Action) -> Mark:
    """Return where an action stands, as the procedure's own page sees it."""
    if numbered.through is None:
        return Mark(numbered.number, action.place)
    return Mark(numbered.number, numbered.through.place, action.place)
