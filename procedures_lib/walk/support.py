"""Heavy parts: what holds them while they come off and go on."""

from __future__ import annotations

from procedures_lib.findings import Level
from procedures_lib.language.entities.car import Part
from procedures_lib.language.variants.car_sets import Region
from procedures_lib.walk import states
from procedures_lib.walk.progress import Run
from procedures_lib.walk.states import Key


def under(part: Key) -> Key:
    """Return the key of whether something holds a part from below."""
    return Key(states.SUPPORT, part.id)


def supported(run: Run, part: Key, cars: Region) -> Region:
    """Return where a part, or another of its line, is held."""
    found = run.none
    for member in run.car.of_line(run.car.line(part)):
        found = found | run.where(under(member), cars, states.YES)
    return found


def support(run: Run, part: Part, cars: Region) -> None:
    """Put a jack or a strap under a part; what comes off goes down on it, and up again."""
    key = run.car.keys[part.id]
    again = run.unforgiven(key, run.there(key, run.where(under(key), cars, states.YES)))
    run.nothing_to_do(key, again, "is held already", "leave this out", part.place, again=True)
    if part.needs_support is False:
        run.find(
            "unsupported-part", run.untold("unsupported-part", part.id, cars),
            f"{run.called(key)} is held, and its block says `needs-support: false`",
            "take that out: else nobody asks for it where it is moved", part.place,
            level=Level.WARNING,
        )  # fmt: skip
    run.put(under(key), cars, states.YES)


def release(run: Run, part: Part, cars: Region) -> None:
    """Take away what holds a part: by then its fasteners do."""
    key = run.car.keys[part.id]
    bare = run.unforgiven(under(key), cars - run.where(under(key), cars, states.YES))
    hint = f"`support {key}` first, or leave this out"
    run.nothing_to_do(key, bare, "is held by nothing", hint, part.place, again=True)
    falls = _hangs_free(run, key, run.there(key, cars - bare))
    run.find(
        "unsupported-part", falls, f"{run.does(key, 'is')} released with all that holds"
        " it out", "put its fasteners in first", part.place,
    )  # fmt: skip
    run.put(under(key), cars, states.NO)


def _hangs_free(run: Run, part: Key, cars: Region) -> Region:
    """Return where a part is in place and all fasteners that hold it are out."""
    holders = run.car.holders.get(part, ())
    found = cars if holders else run.none
    for holder in holders:
        for member in run.car.of_line(run.car.line(holder)):
            here = found & run.car.exists(member)
            found = found - (here - run.where(member, here, *states.IS_OUT))
    return found


def held_while_moved(run: Run, key: Key, part: Part, cars: Region) -> None:
    """Find a heavy part that comes off or goes on with nothing and nobody to hold it."""
    if not part.is_heavy or not cars:
        return
    people = run.step.step.people if run.step else 1
    bare = run.unforgiven(under(key), cars - supported(run, key, cars))
    if not part.needs_support and people >= part.people_to_lift:
        return
    if bare:
        weighs = f", {part.mass.tidy}" if part.mass else ""
        run.find(
            "unsupported-part", bare,
            f"nothing holds {run.called(key)}{weighs}, when `{run.verb}` moves it",
            f"`support {key}` first", part.place,
        )  # fmt: skip
        run.forgive(under(key), bare)
