"""The end of a procedure: a car that can leave, in every variant, and a box that is empty."""

from __future__ import annotations

from procedures_lib.language.entities.car import Connection, Fastener, Fluid, Opening, Part
from procedures_lib.language.entities.kit import ContentItem, Kit
from procedures_lib.language.variants.car_sets import Region
from procedures_lib.walk.car import Thing
from procedures_lib.walk.new_parts import wanted_later
from procedures_lib.walk.openings import never_closed
from procedures_lib.walk.progress import Run
from procedures_lib.walk.reach import carriers
from procedures_lib.walk.state import (
    AIR,
    BATTERY,
    BRAKE_TEST,
    CALIBRATION,
    ENGINE,
    FUEL_TEST,
    IN_PLACE,
    IS_COVERED,
    IS_DEAD,
    IS_EMPTY,
    IS_FITTED,
    IS_GONE,
    IS_LIFTED,
    IS_MADE,
    IS_NEW,
    IS_OPEN,
    IS_OUT,
    IS_RAISED,
    IS_SAFE,
    IS_TIGHT,
    IS_YES,
    NOT_THERE,
    OFF,
    OLD,
    SOFT_TEST,
    VEHICLE,
    Mark,
    stage_reached,
)
from procedures_lib.walk.vehicle import connection_wanted, soft_pedal, used_by


def fastener_left(run: Run, group: Fastener) -> None:
    """Find a group that is loose, started, out or short of its last stage."""
    name = group.id
    line = run.car.line(name)
    wanted = run.car.expected(name)
    not_tight = wanted - run.where(name, IS_TIGHT, wanted) - run.where(name, IS_GONE, wanted)
    not_tight = not_tight - run.as_begun(name, not_tight)
    if not not_tight:
        return
    if run.car.users.get(line):
        out = run.where(name, IS_OUT, not_tight)
        not_tight = (not_tight - out) | used_by(run, line, out)
    elif name in run.car.new:
        not_tight = not_tight - run.where(name, IS_NEW, not_tight)
    for old in run.car.older(name):
        not_tight = not_tight - run.where(old, IS_TIGHT, not_tight)
    for where, state, _ in run.track(name).within(not_tight):
        stage = stage_reached(state)
        if stage:
            _short(run, group, where, stage)
        else:
            _left(run, group, where, "new" if state == "new" else state)


def _short(run: Run, group: Fastener, cars: Region, stage: int) -> None:
    run.find(
        "stage-skipped", cars,
        f"{run.does(group.id, 'ends')} at stage {stage} of {len(group.tighten)}",
        f"`tighten {group.id} stage {stage + 1}` before the end", group.place,
        run.last_place(cars), at=run.track(group.id).mark(cars), about=group.id,
    )  # fmt: skip


def _left(run: Run, group: Fastener, cars: Region, state: str) -> None:
    how = {"new": "is never put in", "out": "is left out", "loose": "is left loose"}
    hint = f"`tighten {group.id}` before the end"
    if not group.tighten:
        hint = f"`fit {group.id}` before the end"
    run.find(
        "left-loose", cars, run.does(group.id, how.get(state, "is only started by hand")),
        hint, run.last_place(cars), group.place, at=_since(run, group, cars),
        about=group.id,
    )  # fmt: skip


def _since(run: Run, group: Fastener, cars: Region) -> Mark | None:
    """Return where the group was last changed, or what it should hold was put in place."""
    names = [group.id, *run.car.older(group.id), *run.car.users.get(run.car.line(group.id), ())]
    marks = (run.track(name).mark(cars) for name in names)
    return next((mark for mark in marks if mark is not None), None)


def kit_left(run: Run) -> None:
    """Find what lies unused in the box, and what should be in the customer's box."""
    kit = run.car.kit
    if kit is None:
        return
    for item in kit.contents:
        thing = run.car.things.get(item.what)
        if thing is not None and item.kind == thing.KIND and not _all_spare(item):
            _unused(run, kit, item, thing)
    for each in kit.returns:
        _not_returned(run, kit, str(each))


def _all_spare(item: ContentItem) -> bool:
    return item.spare is not None and item.spare >= item.count


def _unused(run: Run, kit: Kit, item: ContentItem, thing: Thing) -> None:
    name = thing.id
    left_in_box = IS_NEW | IS_GONE if name in run.car.renewed else IS_NEW
    new = run.where(name, left_in_box, run.car.exists(name))
    if not new:
        return
    left = new - _said_otherwise(run, thing, new)
    if left:
        run.find(
            "not-used", left, f"{run.does(name, 'stays')} in the kit's box",
            f"use it in a step, or declare it: `spare: {item.count}` in the kit `{kit.id}`",
            item.place, at=run.car.plan.head.place,
        )  # fmt: skip


def _said_otherwise(run: Run, thing: Thing, cars: Region) -> Region:
    """Return where another finding says already that a new thing is not put in."""
    name = thing.id
    if isinstance(thing, Connection):
        said = cars
        for old in run.car.older(name):
            said = said - run.where(old, IS_MADE, said)
        return said
    if isinstance(thing, Part):
        olds = list(run.car.older(name))
        said = cars if olds else run.none
        for old in olds:
            said = said - run.where(old, IN_PLACE, said)
        return said
    if isinstance(thing, Fastener):
        said = used_by(run, run.car.line(name), cars)
        for old in run.car.older(name):
            said = said - (said - run.where(old, IS_OUT, said))
        return said
    return run.none


def _not_returned(run: Run, kit: Kit, name: str) -> None:
    thing = run.car.things.get(name)
    if not isinstance(thing, Part | Fastener | Connection):
        return
    where = run.car.exists(name)
    off = IS_OUT if isinstance(thing, Fastener) else NOT_THERE | {"open"}
    left = run.where(name, off, where) - run.where(name, IS_GONE, where)
    left = run.unforgiven(name, left - run.where(name, IS_NEW, left))
    if left:
        run.find(
            "not-returned", left,
            f"{run.does(name, 'is')} off, and nothing puts it into the customer's box",
            f"`return {name}`, or take it out of the kit's `returns`", kit.place,
            at=run.track(name).mark(left),
        )  # fmt: skip


def part_left(run: Run, part: Part) -> None:
    """Find a part that is off, lifted, never fitted, or on what is itself off for good."""
    name = part.id
    where = run.car.expected(name)
    missing = where - run.where(name, IS_FITTED, where) - run.where(name, IS_GONE, where)
    missing = missing - run.as_begun(name, missing)
    if missing:
        _missing(run, part, missing)
    _on_what_is_off(run, part, run.where(name, IS_FITTED, where))


def _missing(run: Run, part: Part, cars: Region) -> None:
    name = part.id
    lifted = run.where(name, IS_LIFTED, cars)
    if lifted:
        _part_left(run, part, lifted, "is left lifted", f"`seat {name}` before the end")
    off = run.where(name, frozenset({OFF}), cars)
    if off:
        _part_left(
            run, part, off, "is left off", f"`fit {name}` before the end, or say where it goes"
        )
    new = run.where(name, IS_NEW, cars)
    for old in run.car.older(name):
        new = new - run.where(old, IN_PLACE, new)
    if new and next(run.car.older(name), None) is not None:
        _part_left(run, part, new, "is never fitted", f"`fit {name}` in place of what came off")


def _part_left(run: Run, part: Part, cars: Region, how: str, hint: str) -> None:
    at = run.track(part.id).mark(cars)
    at = at or next((m for o in run.car.older(part.id) if (m := run.track(o).mark(cars))), None)
    run.find("left-off", cars, run.does(part.id, how), hint, run.last_place(cars),
             part.place, at=at, about=part.id)  # fmt: skip


def _on_what_is_off(run: Run, part: Part, cars: Region) -> None:
    """Find a part that sits on one that has been replaced: it went into the box with it."""
    name = part.id
    cars = cars - run.forgiven.get(name, run.none)
    for parent, where in carriers(run, name, cars):
        off = run.where(parent, NOT_THERE, where) - run.car.expected(parent)
        off = off & wanted_later(run, name)
        if off:
            run.find(
                "left-on-discarded", off,
                f"{run.does(name, 'is')} left on {run.called(parent)}, which is off for good",
                f"`remove {name}` and fit it on what replaces `{parent}`", part.place,
                at=run.track(parent).mark(off), about=name,
            )  # fmt: skip


def end(run: Run) -> None:
    """Find all that is left open, off, loose, covered, drained, isolated, raised or unused."""
    run.action = None
    run.mark = None
    run.settle_provisional()
    for name in to_be_judged(run):
        thing_left(run, name)
    rest_left(run)
    kit_left(run)


def to_be_judged(run: Run) -> list[str]:
    """Return the names of all things that may not be as they should: touched, or new."""
    return sorted(name for name in set(run.tracks) | run.car.new if name in run.car.things)


def thing_left(run: Run, name: str) -> None:
    """Find one thing that is left open, off, loose, covered or drained."""
    thing = run.car.things[name]
    if isinstance(thing, Connection):
        _connection(run, thing)
    elif isinstance(thing, Part):
        part_left(run, thing)
    elif isinstance(thing, Fastener):
        fastener_left(run, thing)
    elif isinstance(thing, Opening):
        _opening(run, thing)
    elif isinstance(thing, Fluid):
        _fluid(run, thing)


def rest_left(run: Run) -> None:
    """Find what is left isolated, unbled, raised, untested or with the old calibration."""
    _hazards(run)
    _vehicle(run)
    _tests(run)
    _calibration(run)


def _connection(run: Run, connection: Connection) -> None:
    name = connection.id
    wanted = connection_wanted(run, name)
    not_made = wanted - run.where(name, IS_MADE, wanted) - run.where(name, IS_GONE, wanted)
    if not not_made:
        return
    for old in run.car.older(name):
        not_made = not_made - run.where(old, IS_MADE, not_made)
    not_made = not_made - run.as_begun(name, not_made)
    opened = run.where(name, IS_OPEN, not_made)
    _left_open(run, name, opened, "is left disconnected")
    _left_open(run, name, not_made - opened, "is new and never connected")


def _left_open(run: Run, name: str, cars: Region, how: str) -> None:
    if cars:
        at = run.track(name).mark(cars)
        at = at or next((m for o in run.car.older(name) if (m := run.track(o).mark(cars))), None)
        run.find(
            "left-disconnected", cars, run.does(name, how),
            f"`connect {name}` before the end",
            run.last_place(cars), run.car.things[name].place, at=at, about=name,
        )  # fmt: skip


def _left_so(
    run: Run, check: str, name: str, cars: Region, how: str, hint: str, key: str = ""
) -> None:
    """Find what ends in another state than the car arrived in; ``key`` names its track."""
    if cars:
        run.find(
            check, cars, how, hint, run.last_place(cars),
            at=run.track(key or name).mark(cars), about=name,
        )  # fmt: skip


def _opening(run: Run, opening: Opening) -> None:
    name = opening.id
    covered = run.where(name, IS_COVERED, run.car.exists(name))
    left = run.unforgiven(name, covered - never_closed(run, opening, covered))
    _left_so(run, "left-covered", name, left, f"the cover is left on {run.called(name)}",
             f"`uncover {name}` before it is closed")  # fmt: skip


def _fluid(run: Run, fluid: Fluid) -> None:
    name = fluid.id
    empty = run.where(name, IS_EMPTY, run.car.exists(name))
    _left_so(run, "left-drained", name, empty - run.as_begun(name, empty),
             f"{run.does(name, 'is')} left drained", f"`fill {name}` before the end")  # fmt: skip


def _air(run: Run, key: str) -> None:
    name = key.removeprefix(AIR)
    airy = run.where(key, IS_YES, run.car.exists(name))
    _left_so(run, "left-unbled", name, airy - run.where(name, IS_EMPTY, airy),
             f"{run.does(name, 'is')} left with air in it", f"`bleed {name}` before the end",
             key)  # fmt: skip


def _hazards(run: Run) -> None:
    for key in list(run.tracks):
        if key.startswith(AIR):
            _air(run, key)
        elif key in run.car.things or " " in key or key in {VEHICLE, CALIBRATION, ENGINE}:
            continue
        else:
            safe = run.where(key, IS_SAFE, run.all) - run.forgiven.get(key, run.none)
            _left_so(run, "left-isolated", key, safe - run.as_begun(key, safe),
                     f"`{key}` is left isolated", f"`restore {key}` before the end")  # fmt: skip


def _vehicle(run: Run) -> None:
    if VEHICLE in run.tracks:
        up = run.where(VEHICLE, IS_RAISED, run.all)
        _left_so(run, "left-raised", VEHICLE, up - run.as_begun(VEHICLE, up),
                 "the car is left raised", "`lower vehicle` before the end")  # fmt: skip


def _tests(run: Run) -> None:
    if FUEL_TEST in run.tracks:
        dead = run.where(FUEL_TEST, IS_DEAD, run.all)
        dead = dead - run.where(BATTERY, IS_SAFE, dead)
        fuel = run.where(FUEL_TEST, IS_YES, run.all) | dead
        if fuel:
            run.find(
                "no-leak-test", fuel, "fuel lines were opened, and no leak test follows",
                "`test leaks fuel` after the battery is back on", run.last_place(fuel),
                at=run.track(FUEL_TEST).mark(fuel), about=FUEL_TEST,
            )  # fmt: skip
    if BRAKE_TEST in run.tracks:
        brakes = run.where(BRAKE_TEST, IS_YES, run.all)
        brakes = brakes - soft_pedal(run, run.where(SOFT_TEST, IS_YES, brakes))
        if brakes:
            run.find(
                "no-brake-test", brakes, "the brakes were opened, and no test of the pedal follows",
                "`test brakes` before the car moves", run.last_place(brakes),
                at=run.track(BRAKE_TEST).mark(brakes), about=BRAKE_TEST,
            )  # fmt: skip


def _calibration(run: Run) -> None:
    kit = run.car.kit
    if kit is None or not kit.needs.calibration:
        return
    old = run.where(CALIBRATION, frozenset({OLD}), run.all) & run.car.calibrated
    if old:
        run.find(
            "left-uncalibrated", old,
            f"the kit `{kit.id}` needs a calibration, and nothing loads it",
            "`program calibration`, with battery support", run.last_place(old), kit.place,
            at=run.car.plan.head.place, about=CALIBRATION,
        )  # fmt: skip
