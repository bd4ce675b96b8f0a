"""Openings: exposed by what is off or open, covered against dirt, uncovered before closing."""

from __future__ import annotations

from procedures_lib.language.entities.car import Opening
from procedures_lib.language.variants.car_sets import Region
from procedures_lib.walk import states
from procedures_lib.walk.progress import Run
from procedures_lib.walk.reach import hidden_or_below
from procedures_lib.walk.states import Key, Mark


def exposed(run: Run, opening: Key, cars: Region) -> Region:
    """Return the cars on which something that closes an opening is off; covers do not count.

    All of them where an id that nothing defines, a finding of its own, is among what closes it.
    """
    if not run.car.closers_known(opening):
        return cars
    found = run.none
    for closer in run.car.closers[opening]:
        found = found | _exposed_by(run, closer, cars)
    return found - plugged(run, opening, found)


def plugged(run: Run, opening: Key, cars: Region) -> Region:
    """Return the cars on which something shuts an opening for good."""
    found = run.none
    for plug in run.car.closed_for_good.get(opening, ()):
        found = found | run.is_on(plug, cars)
    return found


def _exposed_by(run: Run, closer: Key, cars: Region) -> Region:
    """Return the cars on which one of the things that close an opening is off."""
    has = run.none
    for member in run.car.of_line(run.car.line(closer)):
        has = has | (cars & run.car.exists(member))
    return has - run.any_there(closer, has)


def cover(run: Run, opening: Opening, cars: Region) -> None:
    """Close an opening against dirt."""
    key = run.car.keys[opening.id]
    hidden_or_below(run, key, cars)
    covered = run.where(key, cars, states.COVERED)
    shut = cars - exposed(run, key, cars) - covered
    run.nothing_to_do(key, covered, "is covered already", "leave this out", opening.place)
    if shut:
        told = shut - _found_before(run, key, shut)
        hint = "cover it after what closes it is off"
        run.nothing_to_do(key, told, "is not open", hint, opening.place)
        for closer in _all_closers(run, key):
            there = run.there(closer, shut)
            if there:
                run.assume(closer, there, states.UNDONE[closer.kind])
    run.put(key, cars, states.COVERED)


def _all_closers(run: Run, opening: Key) -> list[Key]:
    """Return what closes an opening, and all that takes the place of it."""
    lines = [run.car.line(closer) for closer in run.car.closers[opening]]
    return [member for line in lines for member in run.car.of_line(line)]


def _found_before(run: Run, opening: Key, cars: Region) -> Region:
    """Return where what closes an opening was found wrong before."""
    found = run.none
    for closer in _all_closers(run, opening):
        found = found | (run.forgiven.get(closer, run.none) & cars)
    return found


def uncover(run: Run, opening: Opening, cars: Region) -> None:
    """Take the cover off an opening."""
    key = run.car.keys[opening.id]
    hidden_or_below(run, key, cars)
    clear = cars - run.where(key, cars, states.COVERED)
    hint = f"`cover {key}` when it is opened"
    run.nothing_to_do(key, clear, "has no cover on", hint, opening.place)
    run.put(key, cars, states.CLEAR)


def over_covers(run: Run, line: Key, cars: Region) -> None:
    """Find covers that are still on when a line of parts or connections is closed over them.

    A cover stays on while something else that closes the opening is still off.
    """
    for key in run.car.openings.get(line, ()):
        covered = run.none
        if key in run.tracks and run.car.closers_known(key):
            covered = run.where(key, cars, states.COVERED)
        for closer in run.car.closers[key] if covered else ():
            if run.car.line(closer) != line:
                covered = covered - _exposed_by(run, closer, covered)
        _cover_is_on(run, key, covered)


def _cover_is_on(run: Run, key: Key, covered: Region) -> None:
    if covered:
        place = run.car.things[key].place
        run.find(
            "fitted-over-cover", covered, f"the cover is still on {run.called(key)}",
            f"`uncover {key}` first", run.track(key).mark(covered), place,
        )  # fmt: skip
        run.assume(key, covered, states.CLEAR)


def touch(run: Run, key: Key) -> None:
    """Note that the openings that a thing closes may have been opened or closed."""
    for opening in run.car.openings.get(run.car.line(key), ()):
        run.exposing[opening] = run.mark


_MUCH = 3
"""So many actions after the one that opens a thing are other work, not the opening itself."""


def off_for_good(run: Run, opening: Key, cars: Region) -> Region:
    """Return where what closed an opening is gone, and nothing takes its place."""
    found = run.none
    for closer in run.car.closers[opening]:
        found = found | run.where(closer, cars & run.car.expected(closer), states.GONE)
    return found


class Watch:
    """Openings that stand exposed from one step to the next while work goes on.

    What is exposed in a step may stay so in that step, and through the next one that works
    on the same cars, if it is closed or covered there.
    """

    def __init__(self, run: Run) -> None:
        """Begin with nothing seen open."""
        self._run = run
        self._pending: dict[Key, Region] = {}
        self._reported: dict[Key, Region] = {}

    def end_of_step(self, cars: Region) -> None:
        """Look at every opening that may be exposed after a step with actions."""
        run = self._run
        for key, mark in list(run.exposing.items()):
            opening = run.car.things[key]
            if not isinstance(opening, Opening) or not opening.dirt_sensitive:
                continue
            where = cars & run.car.exists(key)
            open_ = exposed(run, key, where)
            open_ = open_ - run.where(key, open_, states.COVERED)
            before = self._pending.get(key, run.none)
            if open_ and before:
                self._report(key, open_ & before, mark)
            elif open_ and self._goes_on(mark):
                self._report(key, open_ - off_for_good(run, key, open_), mark)
            self._pending[key] = (before - where) | open_

    def _goes_on(self, mark: Mark | None) -> bool:
        """Tell whether the step that opened it goes on with other work, and leaves it open."""
        step = self._run.step
        if step is None or mark is None or mark.step != step.number:
            return False
        line = (mark.inner or mark.place).line
        after = [each for each in step.step.actions if each.place.line > line]
        return len(after) >= _MUCH

    def _report(self, key: Key, cars: Region, mark: Mark | None) -> None:
        run = self._run
        seen = self._reported.get(key, run.none)
        bad = cars - seen
        if bad:
            run.find(
                "uncovered-opening", bad, f"{run.does(key, 'stands')} open while work goes on",
                f"`cover {key}` as soon as it is open, `uncover` it before it is closed",
                run.mark, run.car.things[key].place, at=mark,
                unless=lambda cars: never_closed(run, key, cars),
            )  # fmt: skip
            run.forgive(key, bad)
            self._reported[key] = seen | bad


def never_closed(run: Run, opening: Key, cars: Region) -> Region:
    """Return where an opening stays open to the end because what closes it is left open or off."""
    found = _found_before(run, opening, cars) - plugged(run, opening, cars)
    for plug in run.car.closed_for_good.get(opening, ()):
        found = found | run.where(plug, cars & run.car.expected(plug), states.NEW)
    for closer in run.car.closers[opening]:
        found = found | stays_open(run, closer, cars)
    return found - plugged(run, opening, found)


def plug_in(run: Run, key: Key, cars: Region) -> None:
    """Find the covers that are still on when something shuts their openings for good."""
    thing = run.car.things[key]
    for opening in run.car.known(getattr(thing, "closes", ())):
        covered = run.where(opening, cars, states.COVERED)
        _cover_is_on(run, opening, covered)
        run.exposing[opening] = run.mark


def stays_open(run: Run, key: Key, cars: Region) -> Region:
    """Return where nothing of a thing's line is there, and something should be."""
    found = run.none
    for member in run.car.of_line(run.car.line(key)):
        found = found | (run.car.expected(member) & cars) - run.where(member, cars, states.GONE)
        found = found - run.there(member, cars)
    return found
