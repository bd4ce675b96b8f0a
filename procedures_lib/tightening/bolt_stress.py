"""The stress in a bolt while it is tightened: tension and torsion combined (VDI 2230-1, R8).

Von Mises: σ_red = √(σ² + 3 τ²), with σ = F / A_s and τ = M_thread / W_p. The cross-section is a
circle of d0 = (d2 + d3) / 2; W_p = π d0³ / 12 is that of a section which yields all over.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from procedures_lib.tightening.clamp_load import clamp_load, thread_lever
from procedures_lib.tightening.interval import Interval, over

if TYPE_CHECKING:
    from procedures_lib.threads.dimensions import ThreadDimensions
    from procedures_lib.tightening.bearing import Bearing


def combined_stress(load: float, thread: ThreadDimensions, friction: float) -> float:
    """The von Mises stress in MPa under a clamp load in N, while the wrench turns."""
    tension = load / thread.stress_area
    torsion = load * thread_lever(thread, friction) / _polar_section(thread)
    return math.sqrt(tension**2 + 3 * torsion**2)


def combined_stresses(
    torque: Interval, thread: ThreadDimensions, friction: Interval, bearing: Bearing
) -> Interval:
    """The bounds of the von Mises stress in MPa of a torque in N·m over a range of friction."""

    def at(each_torque: float, each_friction: float, diameter: float) -> float:
        load = clamp_load(each_torque, thread, each_friction, diameter)
        return combined_stress(load, thread, each_friction)

    return over(at, torque, friction, bearing.mean_diameter)


def load_at_stress(stress: float, thread: ThreadDimensions, friction: float) -> float:
    """The clamp load in N at which the combined stress reaches a stress in MPa.

    At 0.9 of the yield stress this is the assembly preload that VDI 2230-1 tabulates (Table A1).
    """
    return stress / combined_stress(1.0, thread, friction)


def _polar_section(thread: ThreadDimensions) -> float:
    middle = (thread.pitch_diameter + thread.root_diameter) / 2
    return math.pi * middle**3 / 12
