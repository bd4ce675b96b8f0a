"""The walk itself: step by step over a plan, and what is left at the end."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from procedures_lib.variants import ALWAYS
from procedures_lib.walk.acting import act
from procedures_lib.walk.beginning import begin
from procedures_lib.walk.car import Car
from procedures_lib.walk.ending import end
from procedures_lib.walk.open_items import open_items, replayed
from procedures_lib.walk.run import Run
from procedures_lib.walk.track import Mark

if TYPE_CHECKING:
    from collections.abc import Mapping

    from procedures_lib.entities.work import Action
    from procedures_lib.findings import Finding
    from procedures_lib.manual import Manual, NumberedStep, Plan
    from procedures_lib.variants import Condition
    from procedures_lib.walk.open_items import OpenItem


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
        things, the keys are those of :mod:`procedures_lib.walk.states`.
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
