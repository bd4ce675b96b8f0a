"""Parts: lift, position, seat, remove, fit."""

from __future__ import annotations

from procedures_lib.language.entities.car import Connection, Part
from procedures_lib.language.variants.car_sets import Region
from procedures_lib.walk.new_parts import from_kit, not_again
from procedures_lib.walk.openings import over_covers, touch
from procedures_lib.walk.progress import Run
from procedures_lib.walk.reach import (
    blocked_by,
    carried,
    clear_the_way,
    on_bench,
    still_held,
    tight_before,
)
from procedures_lib.walk.state import (
    FITTED,
    IN_PLACE,
    IS_FITTED,
    IS_GONE,
    IS_LIFTED,
    IS_MADE,
    IS_NEW,
    IS_RAISED,
    LIFTED,
    NOT_THERE,
    OFF,
    OPEN,
    PARENT,
    VEHICLE,
)


def remove(run: Run, part: Part, cars: Region) -> None:
    """Take a part off, with all that is on it."""
    name = part.id
    there = run.where(name, IN_PLACE, cars)
    _nothing(run, name, cars - there, "off already", "take it off once, or fit it first")
    if there:
        _out_of_the_way(run, name, there - on_bench(run, name, there))
        still_held(run, name, there)
        _still_connected(run, name, there)
        _standing_on_it(run, name, there)
    run.put(name, cars - run.gone_too_early(name, cars), OFF)
    touch(run, run.car.line(name))


def _standing_on_it(run: Run, name: str, cars: Region) -> None:
    """Find wheels that come off a car that stands on them, where the procedure raises it at all."""
    if name not in run.car.wheels or not run.car.raises:
        return
    down = cars - run.where(VEHICLE, IS_RAISED, cars)
    if down:
        run.find(
            "lowered-without-wheels", down, f"{run.called(name)} come off while the car stands on"
            " its wheels", "`raise vehicle` first", run.track(VEHICLE).mark(down),
        )  # fmt: skip


def lift(run: Run, part: Part, cars: Region) -> None:
    """Raise a part that stays on its connections."""
    name = part.id
    there = run.where(name, IS_FITTED, cars)
    _nothing(run, name, cars - there, "not in its place", "only what is fitted can be lifted")
    if there:
        _out_of_the_way(run, name, there)
        still_held(run, name, there)
    run.put(name, cars, LIFTED)
    touch(run, run.car.line(name))


def position(run: Run, part: Part, cars: Region) -> None:
    """Offer a part up to its place, not yet seated."""
    name = part.id
    there = run.where(name, IN_PLACE, cars)
    _nothing(run, name, there, "in its place already", "take it off first")
    _bring(run, part, cars - there)
    run.put(name, cars, LIFTED)
    touch(run, run.car.line(name))


def seat(run: Run, part: Part, cars: Region) -> None:
    """Bring a lifted part home."""
    name = part.id
    lifted = run.where(name, IS_LIFTED, cars)
    _nothing(
        run, name, cars - lifted, "not lifted",
        "`position` it first, or `fit` it in one go",
    )  # fmt: skip
    _out_of_the_way(run, name, lifted - on_bench(run, name, lifted))
    tight_before(run, name, lifted)
    over_covers(run, run.car.line(name), lifted)
    run.put(name, cars, FITTED)
    touch(run, run.car.line(name))


def fit(run: Run, part: Part, cars: Region) -> None:
    """Put a part in its place, or on the part that the action names."""
    name = part.id
    there = run.where(name, IS_FITTED, cars)
    _nothing(run, name, there, "in its place already", "take it off first, or leave this out")
    for holder in run.car.holders(name) if there else ():
        run.forgive(holder, there)
    todo = cars - there
    _move(run, name, cars)
    lifted = run.where(name, IS_LIFTED, todo)
    _bring(run, part, todo - lifted)
    _out_of_the_way(run, name, lifted - on_bench(run, name, lifted))
    tight_before(run, name, todo)
    over_covers(run, run.car.line(name), todo)
    run.put(name, cars, FITTED)
    touch(run, run.car.line(name))


def _bring(run: Run, part: Part, cars: Region) -> None:
    """Judge whether a part that is off, or in the box, can go to its place."""
    if not cars:
        return
    name = part.id
    gone = run.where(name, IS_GONE, cars) if name not in run.car.renewed else run.none
    _nothing(run, name, gone, "gone for good", "it went to the scrap or the customer's box")
    if not part.reusable:
        not_again(run, part, cars - run.where(name, IS_NEW, cars) - gone)
    from_kit(run, name, run.where(name, IS_NEW, cars))
    _out_of_the_way(run, name, cars - on_bench(run, name, cars))
    for old in run.car.older(name):
        there = run.where(old, IN_PLACE, cars)
        if there:
            run.find(
                "not-reachable", there,
                f"{run.called(name)} can't go on: {run.does(old, 'is')} still in the same place",
                f"remove `{old}` first", run.track(old).mark(there), run.car.things[old].place,
            )  # fmt: skip
            run.assume(old, there, OFF)


def _move(run: Run, name: str, cars: Region) -> None:
    """Settle what carries a part from now on."""
    on = run.action.on if run.action is not None else None
    if on is None:
        _follow(run, name, cars)
        return
    parent = str(on)
    if not isinstance(run.car.things.get(parent), Part):
        return
    if parent == name or parent in {child for child, _ in carried(run, name, cars)}:
        run.find("endless-chain", cars, f"`fit {name} on {parent}`: {run.does(name, 'is')} then"
                 " on itself", "name the part that carries it")  # fmt: skip
        return
    carry(run, name, parent, cars)
    gone = run.where(parent, IS_GONE, cars)
    if gone:
        run.find(
            "left-on-discarded", gone,
            f"{run.does(name, 'goes')} onto {run.called(parent)}, which is gone for good",
            "fit it on what stays on the car", run.track(parent).mark(gone),
        )  # fmt: skip


def carry(run: Run, name: str, parent: str, cars: Region) -> None:
    """Have one part carried by another."""
    run.put(PARENT + name, cars, parent)
    moved = run.moved_to.setdefault(parent, [])
    if name not in moved:
        moved.append(name)


def _follow(run: Run, name: str, cars: Region) -> None:
    """A part that was on one that is off goes on what has taken that one's place by now."""
    carrier = run.car.carrier(name)
    if not carrier:
        return
    for where, parent, _ in run.track(PARENT + name).within(cars):
        off = run.where(parent, NOT_THERE, where) if parent else run.none
        if not off:
            continue
        for other in run.car.of_line(run.car.line(parent)):
            now = run.where(other, IN_PLACE, off) if other != parent else run.none
            if now:
                carry(run, name, other, now)


def _nothing(run: Run, name: str, cars: Region, how: str, hint: str) -> None:
    cars = run.unforgiven(name, cars)
    if cars:
        verb = run.action.verb if run.action else ""
        run.find(
            "nothing-to-undo", cars, f"`{verb} {name}`: {run.does(name, 'is')} {how}", hint,
            run.track(name).mark(cars),
        )  # fmt: skip
        run.forgive(name, cars)


def _out_of_the_way(run: Run, name: str, cars: Region) -> None:
    if not cars:
        return
    blocked, by = blocked_by(run, name, cars)
    if blocked:
        run.find(
            "not-reachable", blocked,
            f"{run.called(name)} can't be reached: {run.does(by, 'is')} in front of it",
            f"take `{by}` off first, or fit it after this", run.track(by).mark(blocked),
            run.car.things[name].place,
        )  # fmt: skip
        clear_the_way(run, by, blocked)


def _still_connected(run: Run, name: str, cars: Region) -> None:
    """Find the connections between a part, or what goes with it, and what stays."""
    going = [(name, cars), *carried(run, name, cars)]
    lines = {run.car.line(part) for part, _ in going}
    judged: set[str] = set()
    for part, where in going:
        for each in run.car.connections.get(run.car.line(part), ()):
            thing = run.car.things[each]
            if each in judged or not isinstance(thing, Connection):
                continue
            judged.add(each)
            made = run.where(each, IS_MADE, where)
            if made and not _goes_along(run, thing, lines):
                made = made - _far_end_off(run, thing, lines, made)
                if made:
                    run.find(
                        "still-connected", made,
                        f"{run.does(name, 'comes')} off with {run.called(each)} still connected",
                        f"disconnect `{each}` first", run.track(each).mark(made), thing.place,
                    )  # fmt: skip
                run.assume(each, made, OPEN)


def _goes_along(run: Run, connection: Connection, lines: set[str]) -> bool:
    ends = [str(end) for end in connection.between]
    known = run.car.ends(connection)
    return len(known) == len(ends) and set(known) <= lines


def _far_end_off(run: Run, connection: Connection, lines: set[str], cars: Region) -> Region:
    """Return where the other end hangs on a part that is itself off: they lie there together."""
    far = [line for line in run.car.ends(connection) if line not in lines]
    if len(far) + len([end for end in run.car.ends(connection) if end in lines]) < len(
        connection.between
    ):
        return run.none
    found = run.none
    for line in far:
        found = found | (cars - run.any_of(line, IN_PLACE, cars))
    return found
