"""A dyno session as it was worked out: its pulls, its gains, and what stands against them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from procedures_lib.dyno.correcting import Correction, Weather
    from procedures_lib.dyno.gain import Gain
    from procedures_lib.dyno.pull import Pull
    from procedures_lib.entities.dyno import DynoSession
    from procedures_lib.entities.dyno import Pull as PullEntry
    from procedures_lib.findings import Finding

SIDES = ("before", "after")


@dataclass(frozen=True, slots=True)
class MeasuredPull:
    """One pull: what the page says of it, and the corrected curve (None when it can't be used).

    ``name`` tells which it is: ``before 1``. ``conditions`` are the session's with its own.
    ``samples`` is a hash of what was measured; ``repeats`` names an earlier pull of its side that
    has the same.
    """

    name: str
    entry: PullEntry
    conditions: dict[str, str]
    weather: Weather | None
    correction: Correction | None = None
    pull: Pull | None = None
    samples: str = ""
    repeats: str = ""


@dataclass(frozen=True, slots=True)
class Measured:
    """A session worked out. ``gains`` holds power and torque, and nothing when it is refused.

    ``readable`` is False where the files beside the page are out of reach (a page by itself),
    ``whole`` where the session itself could not be read without a finding.
    """

    session: DynoSession
    before: tuple[MeasuredPull, ...]
    after: tuple[MeasuredPull, ...]
    findings: tuple[Finding, ...] = ()
    gains: tuple[Gain, ...] = ()
    readable: bool = True
    whole: bool = True

    @property
    def pulls(self) -> tuple[MeasuredPull, ...]:
        """All pulls, those before first."""
        return self.before + self.after

    def gain(self, quantity: str) -> Gain | None:
        """The gain in ``power`` or ``torque``."""
        return next((gain for gain in self.gains if gain.quantity == quantity), None)

    def different(self, side: str) -> tuple[MeasuredPull, ...]:
        """The pulls of a side that repeat no other of it."""
        pulls: tuple[MeasuredPull, ...] = getattr(self, side)
        return tuple(pull for pull in pulls if not pull.repeats)
