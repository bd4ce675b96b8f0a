"""Openings: exposed by what is off or open, covered against dirt, uncovered before closing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.language.entities.car import Connection, Opening
from procedures_lib.language.variants.car_sets import Region
from procedures_lib.walk.state import (
    CLEAR,
    COVERED,
    IN_PLACE,
    IS_COVERED,
    IS_GONE,
    IS_MADE,
    OFF,
    OPEN,
    Mark,
)

if TYPE_CHECKING:
    from procedures_lib.walk.progress import Run


def exposed(run: Run, opening: Opening, cars: Region) -> Region:
    """Return the cars on which something that closes an opening is off; covers do not count."""
    found = run.none
    for name in opening.exposed_by:
        found = found | _exposed_by(run, str(name), cars)
    return found


def _exposed_by(run: Run, name: str, cars: Region) -> Region:
    """Return the cars on which one of the things that close an opening is off."""
    thing = run.car.things.get(name)
    if thing is None:
        return cars  # an id that nothing defines is a finding of its own
    closing = IS_MADE if isinstance(thing, Connection) else IN_PLACE
    line = run.car.line(name)
    has = run.none
    for member in run.car.of_line(line):
        has = has | (cars & run.car.exists(member))
    return has - run.any_of(line, closing, has)


def cover(run: Run, opening: Opening, cars: Region) -> None:
    """Close an opening against dirt."""
    name = opening.id
    covered = run.where(name, IS_COVERED, cars)
    shut = cars - exposed(run, opening, cars) - covered
    if covered:
        _nothing(run, name, covered, "is covered already", "leave this out")
    if shut:
        told = shut - _found_before(run, opening, shut)
        _nothing(run, name, told, "is not open", "cover it after what closes it is off")
        _assume_open(run, opening, shut)
    run.put(name, cars, COVERED)


def _found_before(run: Run, opening: Opening, cars: Region) -> Region:
    """Return where what closes an opening was found wrong before."""
    found = run.none
    for each in opening.exposed_by:
        for name in run.car.of_line(run.car.line(str(each))):
            found = found | (run.forgiven.get(name, run.none) & cars)
    return found


def _assume_open(run: Run, opening: Opening, cars: Region) -> None:
    for each in opening.exposed_by:
        for name in run.car.of_line(run.car.line(str(each))):
            thing = run.car.things.get(name)
            if isinstance(thing, Connection):
                run.assume(name, run.where(name, IS_MADE, cars), OPEN)
            elif thing is not None:
                run.assume(name, run.where(name, IN_PLACE, cars), OFF)


def uncover(run: Run, opening: Opening, cars: Region) -> None:
    """Take the cover off an opening."""
    name = opening.id
    clear = cars - run.where(name, IS_COVERED, cars)
    if clear:
        _nothing(run, name, clear, "has no cover on", f"`cover {name}` when it is opened")
    run.put(name, cars, CLEAR)


def _nothing(run: Run, name: str, cars: Region, how: str, hint: str) -> None:
    cars = run.unforgiven(name, cars)
    if cars:
        verb = run.action.verb if run.action else ""
        run.find(
            "nothing-to-undo", cars, f"`{verb} {name}`: {run.does(name, how)}", hint,
            run.track(name).mark(cars), run.car.things[name].place,
        )  # fmt: skip
        run.forgive(name, cars)


def over_covers(run: Run, line: str, cars: Region) -> None:
    """Find covers that are still on when a line of parts or connections is closed over them.

    A cover stays on while something else that closes the opening is still off.
    """
    for name in run.car.openings.get(line, ()):
        covered = run.where(name, IS_COVERED, cars) if name in run.tracks else run.none
        opening = run.car.things[name]
        for each in opening.exposed_by if isinstance(opening, Opening) else ():
            if covered and run.car.line(str(each)) != line:
                covered = covered - _exposed_by(run, str(each), covered)
        if covered:
            run.find(
                "fitted-over-cover", covered,
                f"the cover is still on {run.called(name)}", f"`uncover {name}` first",
                run.track(name).mark(covered), run.car.things[name].place,
            )  # fmt: skip
            run.assume(name, covered, CLEAR)


def touch(run: Run, line: str) -> None:
    """Note that the openings of a line may have been opened or closed."""
    for name in run.car.openings.get(line, ()):
        run.watch.touch(name, run.mark)


class Watch:
    """Openings that stand exposed from one step to the next while work goes on.

    What is exposed in a step may stay so in that step, and through the next one that works
    on the same cars, if it is closed or covered there.
    """

    def __init__(self) -> None:
        """Begin with nothing touched."""
        self._since: dict[str, Mark | None] = {}
        self._pending: dict[str, Region] = {}
        self._reported: dict[str, Region] = {}

    def touch(self, name: str, mark: Mark | None) -> None:
        """Watch an opening from now on."""
        self._since[name] = mark

    def end_of_step(self, run: Run, cars: Region) -> None:
        """Look at every touched opening after a step with actions."""
        for name, mark in list(self._since.items()):
            opening = run.car.things[name]
            if not isinstance(opening, Opening) or not opening.dirt_sensitive:
                continue
            where = cars & run.car.exists(name)
            open_ = exposed(run, opening, where)
            open_ = open_ - run.where(name, IS_COVERED, open_)
            before = self._pending.get(name, run.none)
            if open_ and before:
                self._report(run, opening, open_ & before, mark)
            self._pending[name] = (before - where) | open_

    def _report(self, run: Run, opening: Opening, cars: Region, mark: Mark | None) -> None:
        seen = self._reported.get(opening.id, run.none)
        bad = cars - seen
        if bad:
            run.find(
                "uncovered-opening", bad,
                f"{run.does(opening.id, 'stands')} open while work goes on",
                f"`cover {opening.id}` as soon as it is open, `uncover` it before it is closed",
                run.mark, opening.place, at=mark,
                unless=lambda cars: never_closed(run, opening, cars),
            )  # fmt: skip
            run.forgive(opening.id, bad)
            self._reported[opening.id] = seen | bad


def never_closed(run: Run, opening: Opening, cars: Region) -> Region:
    """Return where an opening stays open to the end because what closes it is left open or off."""
    found = _found_before(run, opening, cars)
    for each in opening.exposed_by:
        if str(each) in run.car.things:
            found = found | stays_open(run, run.car.line(str(each)), cars)
    return found


def stays_open(run: Run, line: str, cars: Region) -> Region:
    """Return where nothing of a line is in place or connected, and something should be."""
    found = run.none
    for name in run.car.of_line(line):
        closing = IS_MADE if isinstance(run.car.things[name], Connection) else IN_PLACE
        found = found | (run.car.expected(name) & cars) - run.where(name, IS_GONE, cars)
        found = found - run.where(name, closing, cars)
    return found
