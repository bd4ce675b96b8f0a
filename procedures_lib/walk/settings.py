"""Settings: what is measured and adjusted again after it was taken off, opened or slackened."""

from __future__ import annotations

from procedures_lib.language.entities.car import Connection, Fastener, Part
from procedures_lib.language.variants.car_sets import Region
from procedures_lib.walk import states
from procedures_lib.walk.progress import Run
from procedures_lib.walk.reach import from_below
from procedures_lib.walk.states import Key


def setting(thing: Key) -> Key:
    """Return the key of whether a thing is to be adjusted."""
    return Key(states.SETTING, thing.id)


def disturbed(run: Run, key: Key, cars: Region) -> None:
    """Note that a thing is no longer as it was set; so are those that a fastener holds."""
    if not run.car.with_setting:
        return
    users = run.car.users.get(run.car.line(key), ()) if key.kind is states.FASTENER else ()
    for each in (key, *users):
        if each in run.car.with_setting:
            run.put(setting(each), cars & run.car.exists(each), states.YES)


def adjust(run: Run, thing: Part | Connection | Fastener, cars: Region) -> None:
    """Bring what is in its place to its setting."""
    key = run.car.keys[thing.id]
    there = run.is_on(key, cars)
    run.nothing_to_do(key, cars - there, "is not in its place", "fit it first", thing.place)
    from_below(run, key, there)
    run.put(setting(key), cars, states.NO)
