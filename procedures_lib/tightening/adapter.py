"""A crow-foot or other adapter on a torque wrench: what to set for the fastener's torque."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Adapter:
    """An adapter: ``length`` from the wrench's square to the fastener, in mm.

    ``angle`` is that between adapter and wrench in degrees: 0 straight on, 90 across, 180 folded
    back over the handle.
    """

    length: float
    angle: float = 0.0

    @property
    def reach(self) -> float:
        """How much farther from the hand the fastener is than the square, in mm."""
        if self.angle % 180 == 90:
            return 0.0
        return self.length * math.cos(math.radians(self.angle))


def setting_for(torque: float, wrench_length: float, adapter: Adapter | None) -> float:
    """Return what to set so that the fastener gets a torque, in the unit of the torque.

    ``wrench_length`` is from the square to the middle of the grip, in mm. T·L / (L + E·cos a), US
    Army TM 9-254, figures 4-5 and 4-6. ValueError when the adapter reaches back to the hand.
    """
    return torque / _gain(wrench_length, adapter)


def torque_at(setting: float, wrench_length: float, adapter: Adapter | None) -> float:
    """Return the torque that the fastener gets: S·(L + E·cos a) / L; errors as ``setting_for``."""
    return setting * _gain(wrench_length, adapter)


def _gain(wrench_length: float, adapter: Adapter | None) -> float:
    if adapter is None or not adapter.reach:
        return 1.0
    if wrench_length <= 0 or wrench_length + adapter.reach <= 0:
        raise ValueError("the adapter reaches back as far as the hand")
    return (wrench_length + adapter.reach) / wrench_length
