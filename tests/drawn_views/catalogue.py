"""The views of the demo: the file of each, how it says where one stands, and what draws it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from tests.drawn_views import (
    drover_axle,
    drover_bed,
    drover_engine,
    drover_headers,
    drover_left,
    drover_open,
    drover_under,
    finch_below,
    finch_bumper,
    finch_clutch,
    finch_corner,
    finch_engine,
    finch_front,
    finch_gearbox,
    finch_rear,
    finch_strut,
    wheels,
)
from tests.drawn_views.drawing import Scene


@dataclass(frozen=True)
class View:
    """A picture by the name of its block and file, as `seen` says from where."""

    seen: str
    scene: Callable[[], Scene]


VIEWS = {
    "finch-engine-bay": View("from above, front of the car down", finch_engine.bay),
    "finch-ignition-rail": View("from above, by one who stands before the car", finch_engine.rail),
    "finch-old-cooler": View("from the front, bumper cover off", finch_front.old_cooler),
    "finch-new-cooler": View(
        "from the front and a little below, bumper cover off", finch_front.new_cooler
    ),
    "finch-bumper-plugs": View("from below and behind, front of the car away", finch_bumper.plugs),
    "finch-gearbox-above": View(
        "from above at the left, battery and air filter housing out", finch_gearbox.above
    ),
    "finch-gearbox-below": View(
        "from below at the left, front of the car to the left", finch_gearbox.below
    ),
    "finch-clutch-apart": View(
        "from the left, gearbox out, all of it drawn apart", finch_clutch.apart
    ),
    "finch-flywheel": View("from the left, gearbox out", finch_clutch.flywheel_face),
    "finch-pressure-plate": View("from the left, gearbox out", finch_clutch.cover_face),
    "finch-old-brake": View(
        "left front corner, from behind and inside, wheel off", finch_corner.old
    ),
    "finch-new-brake": View(
        "left front corner, from behind and inside, wheel off", finch_corner.new
    ),
    "finch-wheel-left-front": View(
        "from the left, front of the car to the left",
        lambda: wheels.finch_wheel("wheel-nuts-left", 1, front=True),
    ),
    "finch-wheel-right-front": View(
        "from the right, front of the car to the right",
        lambda: wheels.finch_wheel("wheel-nuts-right", -1, front=True),
    ),
    "finch-wheel-left-rear": View(
        "from the left, front of the car to the left",
        lambda: wheels.finch_wheel("rear-nuts-left", 1, front=False),
    ),
    "finch-wheel-right-rear": View(
        "from the right, front of the car to the right",
        lambda: wheels.finch_wheel("rear-nuts-right", -1, front=False),
    ),
    "finch-undertray": View("from below, front of the car down", finch_below.undertray),
    "finch-starter": View(
        "from the front and below at the right, undertray off", finch_below.starter
    ),
    "finch-oil-cooler": View("from the front, bumper cover off", finch_below.oil_cooler),
    "finch-old-strut": View("on the bench, drawn apart, upper end to the left", finch_strut.old),
    "finch-new-strut": View("on the bench, drawn apart, upper end to the left", finch_strut.new),
    "finch-rear-axle": View("from behind and below, front of the car away", finch_rear.axle),
    "finch-seat-bolster": View(
        "inside at the left of the rear seat, bolster lifted", finch_rear.bolster
    ),
    "drover-bed": View("from above and behind, front of the truck up", drover_bed.bed),
    "drover-old-module": View(
        "from above and behind, bed up, front of the truck up", drover_bed.old_module
    ),
    "drover-new-module": View(
        "from above and behind, bed up, front of the truck up", drover_bed.new_module
    ),
    "drover-relay": View(
        "from the right, inside of the left rail, front of the truck to the right", drover_bed.relay
    ),
    "drover-left-header": View(
        "from the left, front of the truck to the left", drover_headers.left
    ),
    "drover-right-header": View(
        "from the right, front of the truck to the right", drover_headers.right
    ),
    "drover-front-pipe": View("from below, front of the truck down", drover_engine.front_pipe),
    "drover-engine-right": View(
        "from the right, heat shield off, front of the truck to the right", drover_engine.right_side
    ),
    "drover-axle-open": View("from behind, cover off", drover_open.bearings),
    "drover-air-spring": View(
        "left side, from behind and outside, wheel off", drover_open.air_spring
    ),
    "drover-axle-cover": View("from behind", drover_axle.cover),
    "drover-ring-gear": View("on the bench, from the side of the bolts", drover_axle.ring),
    "drover-propshaft-flange": View(
        "from behind and below, axle housing left out", drover_axle.propshaft
    ),
    "drover-bed-rear": View("from behind and below, tailgate up", drover_under.bed_rear),
    "drover-module-lifted": View(
        "from above and behind, module lifted out of the tank", drover_under.module_lifted
    ),
    "drover-axle-leads": View("from behind and below", drover_under.axle_leads),
    "drover-engine-left": View(
        "from the left, front of the truck to the left", drover_left.left_side
    ),
    "drover-wheel-left-rear": View(
        "from the left, front of the truck to the left",
        lambda: wheels.drover_wheel("rear-nuts-left", 1),
    ),
    "drover-wheel-right-rear": View(
        "from the right, front of the truck to the right",
        lambda: wheels.drover_wheel("rear-nuts-right", -1),
    ),
}
