"""What has its place on the car in the end."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.entities.car import Connection, Part
from procedures_lib.walk.states import IN_PLACE, IS_GONE, IS_MADE

if TYPE_CHECKING:
    from procedures_lib.variants.region import Region
    from procedures_lib.walk.run import Run


def connection_wanted(run: Run, name: str) -> Region:
    """Return the cars on which a connection must be made in the end.

    Not so where something newer replaces it, or where a part at its end is gone for good and
    nothing takes that part's place; nor is a new one whose part stays in the box, which is found.
    """
    thing = run.car.things[name]
    where = run.car.expected(name)
    if isinstance(thing, Connection) and where:
        for line in run.car.ends(thing):
            where = where - _end_gone(run, line, where)
        if name in run.car.new and next(run.car.older(name), None) is None:
            for line in run.car.ends(thing):
                where = run.any_of(line, IN_PLACE, where)
    return where


def _end_gone(run: Run, line: str, cars: Region) -> Region:
    gone = cars
    for member in run.car.of_line(line):
        here = run.car.expected(member) & cars
        gone = gone - (here - run.where(member, IS_GONE, here))
    return gone


def used_by(run: Run, line: str, cars: Region) -> Region:
    """Return the cars on which a line of fasteners has something in place to hold."""
    found = run.none
    for user in run.car.users.get(line, ()):
        states = IN_PLACE if isinstance(run.car.things[user], Part) else IS_MADE
        found = found | run.where(user, states, cars)
    return found
