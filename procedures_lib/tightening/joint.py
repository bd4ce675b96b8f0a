"""A joint as the judgement sees it: thread, grade, what is on it and under it, and its stages."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from procedures_lib.threads.nuts import bolt_for
from procedures_lib.threads.strength import GradeError, strength

if TYPE_CHECKING:
    from procedures_lib.threads.designation import Thread
    from procedures_lib.threads.strength import Strength
    from procedures_lib.tightening.stage import Stage

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
