"""From stretch to clamp load: how much longer a bolt gets while it is tightened.

    δ = F L / (A E)

A bolt is measured from end to end, so that its head and its engaged thread yield with it.
"""

from __future__ import annotations

from procedures_lib.engineering.threads.dimensions import ThreadDimensions
from procedures_lib.engineering.tightening.angle import STEEL, bolt_stiffness
from procedures_lib.engineering.tightening.bounds import Interval, over


def elongation_at(load: float, length: float, area: float, modulus: float = STEEL) -> float:
    """The elastic elongation in mm of a rod under a load in N (Hooke's law).

    Length in mm, area in mm², modulus in MPa.
    """
    return load * length / (area * modulus)


def stretch_loads(stretch: Interval, thread: ThreadDimensions, grip: Interval) -> Interval:
    """The bounds of the clamp load in N of an elastic stretch in mm; grip in mm.

    From the bounds of the bolt's stiffness (VDI 2230-1, 5.1.1).
    """
    return over(lambda each, stiffness: each * stiffness, stretch, bolt_stiffness(thread, grip))


def lasting_stretch(stretch: float, thread: ThreadDimensions, load: float, grip: float) -> float:
    """How much of its length a bolt is stretched for good by a stretch in mm, at least; 0 to 1.

    What the stretch goes beyond the softest bolt's elongation under a load (N) stays. It spreads
    over the grip (mm) and one diameter of head and engaged thread (VDI 2230-1, 5.1.1).
    """
    softest = bolt_stiffness(thread, Interval(grip, grip)).low
    return max(stretch - load / softest, 0.0) / (grip + thread.diameter)
