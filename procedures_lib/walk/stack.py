"""The stack of a joint: washers under a nut, the bolt that it turns on, the pin that locks it."""

from __future__ import annotations

from collections.abc import Sequence

from procedures_lib.language.entities.car import Fastener
from procedures_lib.language.entities.verbs import Verb
from procedures_lib.language.variants.car_sets import Region
from procedures_lib.walk import states
from procedures_lib.walk.progress import Run
from procedures_lib.walk.states import Key


def _group(run: Run, key: Key) -> Fastener | None:
    thing = run.car.things[key]
    return thing if isinstance(thing, Fastener) else None


def locks(run: Run, top: Key) -> bool:
    """Tell whether a fastener keeps what lies under it from turning, rather than clamps it."""
    group = _group(run, top)
    return group is not None and group.locks


def turned_by_another(run: Run, key: Key) -> bool:
    """Tell whether a group is tight when another is: a bolt without a torque of its own."""
    group = _group(run, key)
    if group is None or group.how_tight or not group.takes_torque:
        return False
    return any(not locks(run, top) for top in run.car.over.get(run.car.line(key), ()))


def _takes_no_torque(run: Run, key: Key) -> bool:
    group = _group(run, key)
    return group is not None and not group.takes_torque


def on_at(run: Run, line: Key, cars: Region) -> tuple[Region, Region]:
    """Return on which of these cars there is such a line, and on which of them it is on."""
    has = on = run.none
    for member in run.car.of_line(line):
        has = has | (cars & run.car.exists(member))
        on = on | run.is_on(member, cars)
    return has, on


# -- one after the other ---------------------------------------------------------------------------


def in_order(run: Run, verb: Verb, names: Sequence[str]) -> list[str]:
    """Return the objects of an action, those of one stack in the order in which they move.

    `remove bolts, washers, nuts` names what comes off; the nuts come first all the same.
    """
    moves = verb.puts_on or verb.takes_off or verb.turns_out
    if len(names) < 2 or not moves:
        return list(names)
    depth = {name: _depth(run, run.car.keys[name], 0) for name in names if name in run.car.keys}
    found = list(names)
    for stack in run.car.whole_stacks:
        at = [n for n, name in enumerate(names)
              if name in depth and run.car.line(run.car.keys[name]) in stack]  # fmt: skip
        if len(at) > 1:
            moved = sorted((names[n] for n in at), key=depth.__getitem__, reverse=not verb.puts_on)
            for n, name in zip(at, moved, strict=True):
                found[n] = name
    return found


_DEEPEST = 12


def _depth(run: Run, key: Key, so_far: int) -> int:
    if so_far > _DEEPEST:
        return 0
    under = (each for line in run.car.stacks.get(key, ()) for each in run.car.of_line(line))
    return max((1 + _depth(run, each, so_far + 1) for each in under), default=0)


def comes_on(run: Run, key: Key, cars: Region) -> None:
    """Find what should lie under a fastener, and isn't there, or tight, when it goes on."""
    told = run.none
    for line in run.car.stacks.get(key, ()) if cars else ():
        has, on = on_at(run, line, cars)
        off = run.unforgiven(line, has - on)
        if off:
            _before(run, key, line, off - told, "in", f"`fit {line}` before `{key}`")
            home = states.FITTED if line.kind is states.PART else states.STARTED
            run.assume(line, off, home)
            told = told | off
        if locks(run, key) and line.kind is states.FASTENER:
            loose = run.unforgiven(line, on - run.any_of(line, on, states.TIGHT))
            _before(run, key, line, loose - told, "tight", f"`tighten {line}` before `{key}`")
            run.assume(line, loose, states.TIGHT)
            told = told | loose
    run.forgive(key, told)


def _before(run: Run, key: Key, line: Key, cars: Region, so: str, hint: str) -> None:
    said = f"{run.does(key, 'goes')} on before {run.does(line, 'is')} {so}"
    _out_of_order(run, cars, line, said, hint)


def comes_off(run: Run, key: Key, cars: Region) -> None:
    """Find what is still on over a thing that comes off."""
    for top in run.car.over.get(run.car.line(key), ()) if cars else ():
        _still_on(run, key, top, cars, "comes")


def is_turned(run: Run, key: Key, cars: Region) -> None:
    """Find the pin or wire that is still in when what it locks is turned."""
    for top in run.car.over.get(run.car.line(key), ()) if cars else ():
        if locks(run, top):
            _still_on(run, key, top, cars, "is")


def _still_on(run: Run, key: Key, top: Key, cars: Region, does: str) -> None:
    has, on = on_at(run, top, cars)
    on = run.unforgiven(top, has & on)
    if on:
        how = f"{run.does(key, does)} {'off' if does == 'comes' else 'turned'}"
        _out_of_order(run, on, top, f"{how} with {run.called(top)} still on",
                      f"`remove {top}` first")  # fmt: skip
        run.assume(top, on, states.OUT)


def _out_of_order(run: Run, cars: Region, other: Key, said: str, hint: str) -> None:
    run.find("stack-order", cars, said, hint, run.track(other).mark(cars),
             run.car.things[other].place)  # fmt: skip


# -- all together ----------------------------------------------------------------------------------


def tightened(run: Run, key: Key, cars: Region) -> None:
    """Have what a fastener clamps tight with it; a bolt that is turned takes its nut along."""
    for line in run.car.stacks.get(key, ()) if not locks(run, key) else ():
        for member in run.car.of_line(line) if line.kind is states.FASTENER else ():
            if turned_by_another(run, member) or _takes_no_torque(run, member):
                _all_tight(run, member, cars)
    for top in run.car.over.get(run.car.line(key), ()):
        group, own = _group(run, top), _group(run, key)
        if locks(run, top) or group is None or own is None:
            continue
        if group.how_tight and own.how_tight:
            continue
        has, on = on_at(run, top, cars)
        off = run.unforgiven(top, has - on)
        if off:
            _out_of_order(run, off, top, f"{run.does(key, 'is')} tight before"
                          f" {run.does(top, 'is')} on", f"`start {top}` first")  # fmt: skip
            run.assume(top, off, states.TIGHT)
        _all_tight(run, top, on)


def _all_tight(run: Run, key: Key, cars: Region) -> None:
    in_ = cars & run.car.exists(key)
    run.put(key, in_ - run.where(key, in_, states.TIGHT, *states.IS_OUT), states.TIGHT)


def loosened(run: Run, key: Key, cars: Region) -> list[tuple[Key, Region]]:
    """Have what is tight through a fastener loose; return what was, with its cars."""
    found = []
    under = [] if locks(run, key) else list(run.car.stacks.get(key, ()))
    over = [top for top in run.car.over.get(run.car.line(key), ()) if not locks(run, top)]
    through = [member for line in under for member in run.car.of_line(line)
               if turned_by_another(run, member)]  # fmt: skip
    if turned_by_another(run, key):
        through += over
    for each in through:
        tight = run.where(each, cars & run.car.exists(each), states.TIGHT)
        if tight:
            run.put(each, tight, states.LOOSE)
            found.append((each, tight))
    return found


def open_above(run: Run, key: Key, cars: Region) -> Region:
    """Return where what clamps or locks a thing is itself not closed: that says it for both."""
    found = run.none
    for top in run.car.over.get(run.car.line(key), ()):
        here = cars & run.car.expected(top)
        found = found | (here - run.where(top, here, states.TIGHT))
    return found


def missed(run: Run, key: Key, cars: Region) -> Region:
    """Return where a thing that went into the scrap is wanted again: its joint is made without it.

    A newer fastener that does not name it may do without: a flange bolt needs no washer.
    """
    found = run.none
    for top in run.car.over.get(key, ()):
        group = _group(run, top)
        if group is not None and key.id in group.with_:
            found = found | run.is_on(top, cars)
    for line in run.car.stacks.get(key, ()):
        found = found | run.is_on(line, cars)
    return found
