"""Parts: lift, position, seat, remove, fit."""

from __future__ import annotations

from procedures_lib.language.entities.car import Part
from procedures_lib.language.variants.car_sets import Region
from procedures_lib.walk import stack, states
from procedures_lib.walk.box import from_kit, gone_for_good, not_again
from procedures_lib.walk.circuits import brakes_apart
from procedures_lib.walk.openings import over_covers, plug_in, touch
from procedures_lib.walk.progress import Run
from procedures_lib.walk.reach import (
    blocked_by,
    carried,
    from_below,
    in_front,
    old_still_there,
    on_bench,
    still_held,
    tight_before,
)
from procedures_lib.walk.settings import disturbed
from procedures_lib.walk.states import VEHICLE, Key
from procedures_lib.walk.support import held_while_moved


def remove(run: Run, part: Part, cars: Region) -> None:
    """Take a part off, with all that is on it."""
    key = run.car.keys[part.id]
    there = run.there(key, cars)
    run.nothing_to_do(key, cars - there, "is off already", "take it off once, or fit it first")
    if there:
        _not_behind(run, key, there - on_bench(run, key, there))
        still_held(run, key, there)
        stack.comes_off(run, key, there)
        _still_connected(run, key, there)
        _standing_on_it(run, key, there)
        held_while_moved(run, key, part, there - on_bench(run, key, there))
        brakes_apart(run, part, there)
    run.put(key, cars - run.gone_too_early(key, cars), states.OFF)
    disturbed(run, key, there)
    touch(run, key)


def _standing_on_it(run: Run, key: Key, cars: Region) -> None:
    """Find wheels that come off a car that stands on them, where the procedure raises it at all."""
    if key not in run.car.wheels or not run.car.raised:
        return
    down = cars - run.where(VEHICLE, cars, states.RAISED)
    if down:
        run.find(
            "lowered-without-wheels", down, f"{run.called(key)} come off while the car stands on"
            " its wheels", "`raise vehicle` first", run.track(VEHICLE).mark(down),
        )  # fmt: skip


def lift(run: Run, part: Part, cars: Region) -> None:
    """Raise a part that stays on its connections."""
    key = run.car.keys[part.id]
    there = run.where(key, cars, states.FITTED)
    hint = "only what is fitted can be lifted"
    run.nothing_to_do(key, cars - there, "is not in its place", hint)
    if there:
        _not_behind(run, key, there)
        still_held(run, key, there)
        held_while_moved(run, key, part, there)
    run.put(key, cars, states.LIFTED)
    touch(run, key)


def position(run: Run, part: Part, cars: Region) -> None:
    """Offer a part up to its place, not yet seated."""
    key = run.car.keys[part.id]
    there = run.there(key, cars)
    run.nothing_to_do(key, there, "is in its place already", "take it off first")
    _bring(run, key, part, cars - there)
    run.put(key, cars, states.LIFTED)
    touch(run, key)


def seat(run: Run, part: Part, cars: Region) -> None:
    """Bring a lifted part home."""
    key = run.car.keys[part.id]
    lifted = run.where(key, cars, states.LIFTED)
    hint = "`position` it first, or `fit` it in one go"
    run.nothing_to_do(key, cars - lifted, "is not lifted", hint)
    _not_behind(run, key, lifted - on_bench(run, key, lifted))
    _home(run, key, lifted, cars)


def fit(run: Run, part: Part, cars: Region) -> None:
    """Put a part in its place, or on the part that the action names."""
    key = run.car.keys[part.id]
    there = run.where(key, cars, states.FITTED)
    hint = "take it off first, or leave this out"
    run.nothing_to_do(key, there, "is in its place already", hint)
    for holder in run.car.holders.get(key, ()) if there else ():
        run.forgive(holder, there)
    todo = cars - there
    _move(run, key, cars)
    lifted = run.where(key, todo, states.LIFTED)
    _bring(run, key, part, todo - lifted)
    _not_behind(run, key, lifted - on_bench(run, key, lifted))
    _home(run, key, todo, cars)


def _home(run: Run, key: Key, coming: Region, cars: Region) -> None:
    """Have a part in its place on these cars; it is ``coming`` there only now on some of them."""
    tight_before(run, key, coming)
    over_covers(run, run.car.line(key), coming)
    plug_in(run, key, coming)
    run.put(key, cars, states.FITTED)
    touch(run, key)


def _bring(run: Run, key: Key, part: Part, cars: Region) -> None:
    """Judge whether a part that is off, or in the box, can go to its place."""
    if not cars:
        return
    gone = gone_for_good(run, key, cars)
    hint = "it went to the scrap or the customer's box"
    run.nothing_to_do(key, gone, "is gone for good", hint)
    new = run.where(key, cars, states.NEW)
    if not part.reusable:
        not_again(run, key, cars - new - gone)
    from_kit(run, key, new)
    disturbed(run, key, new)
    on_car = cars - on_bench(run, key, cars)
    _not_behind(run, key, on_car)
    held_while_moved(run, key, part, on_car)
    for old in run.car.older(key):
        old_still_there(run, key, old, run.there(old, cars), "go on")


def _not_behind(run: Run, key: Key, cars: Region) -> None:
    if cars:
        from_below(run, key, cars)
        in_front(run, key, *blocked_by(run, key, cars))


def _move(run: Run, key: Key, cars: Region) -> None:
    """Settle what carries a part from now on."""
    on = run.action.on if run.action is not None else None
    if on is None:
        _follow(run, key, cars)
        return
    parent = run.car.keys.get(on)
    if parent is None or parent.kind is not states.PART:
        return
    if parent == key or parent in {child for child, _ in carried(run, key, cars)}:
        run.find("endless-chain", cars, f"`fit {key} on {parent}`: {run.does(key, 'is')} then"
                 " on itself", "name the part that carries it")  # fmt: skip
        return
    run.carry(key, parent, cars)
    gone = run.where(parent, cars, states.GONE)
    if gone:
        run.find(
            "left-on-discarded", gone,
            f"{run.does(key, 'goes')} onto {run.called(parent)}, which is gone for good",
            "fit it on what stays on the car", run.track(parent).mark(gone),
        )  # fmt: skip


def _follow(run: Run, key: Key, cars: Region) -> None:
    """A part that was on one that is off goes on what has taken that one's place by now."""
    if key not in run.car.carrier:
        return
    for where, parent, _ in run.track(Key(states.CARRIER, key.id)).within(cars):
        if not isinstance(parent, Key):
            continue
        off = run.where(parent, where, *states.NOT_THERE)
        for other in run.car.of_line(run.car.line(parent)) if off else ():
            now = run.there(other, off) if other != parent else run.none
            if now:
                run.carry(key, other, now)


def _still_connected(run: Run, key: Key, cars: Region) -> None:
    """Find the connections between a part, or what goes with it, and what stays."""
    going = [(key, cars), *carried(run, key, cars)]
    lines = {run.car.line(part) for part, _ in going}
    judged: set[Key] = set()
    for part, where in going:
        for each in run.car.connections.get(run.car.line(part), ()):
            if each in judged:
                continue
            judged.add(each)
            made = run.where(each, where, states.MADE)
            if made and not _goes_along(run, each, lines):
                made = made - _far_end_off(run, each, lines, made)
                if made:
                    run.find(
                        "still-connected", made,
                        f"{run.does(key, 'comes')} off with {run.called(each)} still connected",
                        f"disconnect `{each}` first", run.track(each).mark(made),
                        run.car.things[each].place,
                    )  # fmt: skip
                run.assume(each, made, states.OPEN)


def _goes_along(run: Run, connection: Key, lines: set[Key]) -> bool:
    """Tell whether all ends of a connection are on these lines of parts."""
    return run.car.ends_known(connection) and lines.issuperset(run.car.ends[connection])


def _far_end_off(run: Run, connection: Key, lines: set[Key], cars: Region) -> Region:
    """Return where the other end hangs on a part that is itself off: they lie there together."""
    if not run.car.ends_known(connection):
        return run.none
    found = run.none
    for line in run.car.ends[connection]:
        if line not in lines:
            found = found | (cars - run.any_there(line, cars))
    return found
