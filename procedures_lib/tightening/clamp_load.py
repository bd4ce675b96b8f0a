"""From torque to clamp load: the long form over a range of friction, the short form to compare.

Long form (Motosh; VDI 2230-1, R13; ISO 16047):

    T = F (P / 2π + d2 μ_thread / (2 cos 30°) + D_bearing μ_bearing / 2)

The three terms are the pitch, which alone stretches the bolt, the friction in the thread, whose
flanks stand at 30°, and the friction under the head.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from procedures_lib.tightening.interval import Interval, over

if TYPE_CHECKING:
    from procedures_lib.threads.dimensions import ThreadDimensions
    from procedures_lib.tightening.bearing import Bearing

FLANK = math.cos(math.radians(30))


def thread_lever(thread: ThreadDimensions, friction: float) -> float:
    """The torque in the thread per clamp load, in N·mm/N: pitch and thread friction."""
    return thread.pitch / (2 * math.pi) + thread.pitch_diameter * friction / (2 * FLANK)


def bearing_lever(mean_diameter: float, friction: float) -> float:
    """The torque under the head per clamp load, in N·mm/N; ``mean_diameter`` in mm."""
    return mean_diameter * friction / 2


def torque_lever(
    thread: ThreadDimensions, friction: float, mean_diameter: float, bearing_friction: float
) -> float:
    """The whole torque per clamp load, in N·mm/N."""
    return thread_lever(thread, friction) + bearing_lever(mean_diameter, bearing_friction)


def clamp_load(
    torque: float,
    thread: ThreadDimensions,
    friction: float,
    mean_diameter: float,
    bearing_friction: float | None = None,
) -> float:
    """The clamp load in N of a torque in N·m at one friction, the same in thread and bearing.

    ``mean_diameter`` (mm) is that of the ring under the head; ``bearing_friction`` sets the
    friction there apart from that of the thread.
    """
    under_head = friction if bearing_friction is None else bearing_friction
    return 1000 * torque / torque_lever(thread, friction, mean_diameter, under_head)


def clamp_loads(
    torque: Interval, thread: ThreadDimensions, friction: Interval, bearing: Bearing
) -> Interval:
    """The bounds of the clamp load in N of a torque in N·m over a range of friction."""

    def at(each_torque: float, each_friction: float, diameter: float) -> float:
        return clamp_load(each_torque, thread, each_friction, diameter)

    return over(at, torque, friction, bearing.mean_diameter)


def nut_factors(thread: ThreadDimensions, friction: Interval, bearing: Bearing) -> Interval:
    """The factor K of the short form that the long form comes to, over a range of friction."""

    def at(each_friction: float, diameter: float) -> float:
        lever = torque_lever(thread, each_friction, diameter, each_friction)
        return lever / thread.diameter

    return over(at, friction, bearing.mean_diameter)


def short_clamp_load(torque: float, nut_factor: float, diameter: float) -> float:
    """The clamp load in N after the short form T = K d F; torque in N·m, diameter in mm."""
    return 1000 * torque / (nut_factor * diameter)
