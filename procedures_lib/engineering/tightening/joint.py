"""A joint as the judgement sees it, and the verdict: every figure as bounds, what is wrong."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from procedures_lib.engineering.threads.bolt_grades import GradeError, Strength, strength
from procedures_lib.engineering.threads.designation import Thread
from procedures_lib.engineering.threads.dimensions import ThreadDimensions
from procedures_lib.engineering.threads.nuts import bolt_for
from procedures_lib.engineering.threads.thread_strip import StripLoad
from procedures_lib.engineering.tightening.bounds import Interval
from procedures_lib.engineering.tightening.friction import Bearing, Friction
from procedures_lib.engineering.tightening.stage import Stage
from procedures_lib.findings import Level

JUDGED_KINDS = frozenset({"bolt", "screw", "nut", "stud"})
"""What is tightened over a thread of a known strength; clips, clamps, ties and plugs are not."""

_STANDARD = re.compile(
    r"(?:(?:class|grade|gr\.?|sae|iso 898-1) ?)*\d+(?:[.,]\d+)?$|[acdf]\dl?[- _]?\d{2,3}$",
    re.IGNORECASE,
)
"""What is meant as a grade of ISO 898, SAE J429 or ISO 3506, right or wrong."""


@dataclass(frozen=True, slots=True)
class Joint:
    """One group of like fasteners.

    ``kind`` is one of :data:`JUDGED_KINDS`; ``grade`` as a page writes it. ``engagement`` is the
    length of thread in ``material``, ``grip`` the clamped length, both in mm, None when the page
    does not say. ``reuse`` is what the page says of using it again, None when it says nothing.
    """

    thread: Thread
    grade: str
    stages: tuple[Stage, ...]
    kind: str = "bolt"
    condition: str = ""
    head: str = ""
    material: str = ""
    engagement: float | None = None
    grip: float | None = None
    reuse: bool | None = None


def strength_of(joint: Joint) -> Strength | None:
    """The strength of a joint's bolt; None when nothing can be said of it.

    A nut is judged as the strongest bolt that goes with it (ISO 898-2, clause 6), which is more
    than any bolt in it can bear. Words that no standard here uses (titanium, brass) are not judged.
    Raises GradeError for a grade that these standards do not have, or not for this thread.
    """
    try:
        if joint.kind == "nut":
            return bolt_for(joint.grade, joint.thread)
        return strength(joint.grade, joint.thread)
    except GradeError:
        if _STANDARD.match(" ".join(joint.grade.strip(" \"'").split())):
            raise
        return None


def is_stainless(grade: str) -> bool:
    """Whether a grade names austenitic stainless steel (``A2-70``, ISO 3506-1)."""
    return re.match(r"A\d", grade.strip(), re.IGNORECASE) is not None


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
    def bolt(self) -> str:
        """The thread and grade: "M8x1.25 8.8"."""
        return f"{self.joint.thread} {self.strength.grade}"

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
