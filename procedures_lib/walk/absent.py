"""Actions on things that none of their step's cars have."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.entities.car import Connection, Fastener, Part
from procedures_lib.variants import ALWAYS
from procedures_lib.walk.openings import stays_open
from procedures_lib.walk.states import IS_TIGHT

if TYPE_CHECKING:
    from procedures_lib.variants.region import Region
    from procedures_lib.walk.run import Run


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
