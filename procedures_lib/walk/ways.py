"""The ways back from one step, for every car: cars with the same way stand together."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import islice, product
from typing import TYPE_CHECKING

from procedures_lib.variants import ALWAYS
from procedures_lib.walk.backing_out import back_out, one_car

if TYPE_CHECKING:
    from procedures_lib.variants import Condition
    from procedures_lib.variants.region import Region
    from procedures_lib.walk.backing_out import BackOut
    from procedures_lib.walk.run import Run
    from procedures_lib.walk.walk import Walk

MOST_CARS = 64
"""The most different cars that are tried; a page with more ways back than that is unheard of."""


@dataclass(frozen=True, slots=True)
class Way:
    """A way back, and the cars that it is for ("" for every car)."""

    way: BackOut
    variants: str


def ways_from(walked: Walk, step: int, when: Condition = ALWAYS) -> list[Way]:
    """Return the different ways back from a step, each with its cars among those of ``when``."""
    past = walked.after(step)
    wanted = past.all & past.car.space.region(when)
    found: dict[BackOut, Region] = {}
    for car, cars in _cars(past, wanted):
        way = back_out(walked, step, car)
        found[way] = found[way] | cars if way in found else cars
    return [Way(way, walked.run.text(cars & walked.run.all)) for way, cars in found.items()]


def _cars(past: Run, wanted: Region) -> list[tuple[dict[str, str], Region]]:
    """The cars that differ in anything that was changed so far, with all that are like each."""
    named = set(wanted.support())
    for track in past.tracks.values():
        for cars, _, _ in track.pieces:
            named.update(cars.support())
    options = [(option, values) for option, values in past.car.space.options if option in named]
    found = []
    for chosen in islice(product(*(values for _, values in options)), MOST_CARS):
        car = {option: value for (option, _), value in zip(options, chosen, strict=True)}
        alike = wanted
        for option, value in car.items():
            alike = alike & past.car.space.test(option, (value,))
        if alike and alike & one_car(past, car):
            found.append((car, alike))
    return found
