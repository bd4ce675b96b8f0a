"""The verdict on a joint: every figure of the judgement, as bounds, and what is wrong."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from procedures_lib.tightening.interval import Interval

if TYPE_CHECKING:
    from procedures_lib.findings import Level
    from procedures_lib.threads.dimensions import ThreadDimensions
    from procedures_lib.threads.engagement import StripLoad
    from procedures_lib.threads.strength import Strength
    from procedures_lib.tightening.bearing import Bearing
    from procedures_lib.tightening.friction import Friction
    from procedures_lib.tightening.joint import Joint
    from procedures_lib.tightening.stage import Stage

OVER_LEAST = 1.3
"""How much stronger than its grade's least a bolt may be: 8.8 to 1.28 times, by its greatest
hardness (320 for at least 250 HV; ISO 898-1, Table 3)."""


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong with a joint: ``check`` names the finding, ``stage`` counts from 1."""

    check: str
    level: Level
    message: str
    hint: str
    stage: int


@dataclass(frozen=True, slots=True)
class Basis:
    """What the judgement of a joint stands on: the same for all its stages."""

    joint: Joint
    thread: ThreadDimensions
    strength: Strength
    friction: Friction
    bearing: Bearing
    grip: Interval

    @property
    def proof_load(self) -> float:
        """The load in N that the bolt bears without staying longer (ISO 898-1, 9.6)."""
        return self.strength.proof_stress * self.thread.stress_area

    @property
    def tensile_load(self) -> float:
        """The load in N that no sound bolt breaks below."""
        return self.strength.tensile_strength * self.thread.stress_area

    def borne(self, bounds: Interval, area: float = 1.0) -> Interval:
        """Bounds of a stress (MPa), or of a load (N) on an area (mm²), that a bolt can bear."""
        least = self.strength.tensile_strength * area
        return Interval(min(bounds.low, least), min(bounds.high, OVER_LEAST * least))


@dataclass(frozen=True, slots=True)
class StageLoad:
    """Where a stage leaves the joint.

    ``load`` is the clamp load in N after it, worked out as if nothing yielded; ``stress`` the
    combined stress in MPa while a torque is reached, None after any other stage.
    """

    number: int
    stage: Stage
    load: Interval
    stress: Interval | None = None


@dataclass(frozen=True, slots=True)
class Verdict:
    """The judgement of a joint, with all that it was worked out from.

    ``load`` is the clamp load in N after the last stage, no more than a bolt of this grade can
    bear; ``share`` the same as a share of the proof load. ``nut_factor`` is the K that the long
    form comes to. ``past_yield`` is True only when every bound is past it.
    """

    basis: Basis
    nut_factor: Interval
    stages: tuple[StageLoad, ...]
    load: Interval | None
    past_yield: bool
    strip: StripLoad | None
    faults: tuple[Fault, ...] = field(default=())

    @property
    def share(self) -> Interval | None:
        """The clamp load as a share of the proof load."""
        return None if self.load is None else self.load / self.basis.proof_load

    @property
    def stress(self) -> Interval | None:
        """The combined stress in MPa of the last stage that has one."""
        found = [stage.stress for stage in self.stages if stage.stress is not None]
        return self.basis.borne(found[-1]) if found else None
