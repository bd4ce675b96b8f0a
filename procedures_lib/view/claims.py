"""The claims of the kit that a session is about, each beside what was measured."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from procedures_lib.engineering.dyno.gain import NOT_MET, Verdict, judge
from procedures_lib.engineering.dyno.gain_interval import Interval
from procedures_lib.engineering.quantities import Quantity
from procedures_lib.engineering.quantities.units import factor_between
from procedures_lib.findings import Place
from procedures_lib.language.entities.dyno_session import DynoSession
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.work import Procedure
from procedures_lib.manual import Manual
from procedures_lib.view.dyno_result import Measured

BASE = {"power": "kW", "torque": "N·m"}
"""The units in which gains are worked out."""


@dataclass(frozen=True, slots=True)
class Claim:
    """A claim as the kit page writes it, in its unit, with the verdict; ``place`` is the kit's."""

    written: str
    unit: str
    verdict: Verdict
    place: Place

    @property
    def is_broken(self) -> bool:
        """Whether what was measured is surely less."""
        return self.verdict.word == NOT_MET

    @property
    def measured_text(self) -> str:
        """The gain measured at the peak, in the unit of the claim: ``+18.2 ± 1.4 hp``."""
        return interval_text(self.verdict.measured, self.unit)

    @property
    def band_text(self) -> str:
        """The gain measured over the band, in the unit of the claim."""
        return interval_text(self.verdict.over_band, self.unit)


def claims_of(manual: Manual, measured: Measured) -> Iterator[Claim]:
    """Yield the claims of the kit of a session's procedure, nothing when there is none."""
    kit = kit_of(manual, measured.session)
    if kit is None:
        return
    for quantity in BASE:
        claimed: Quantity | None = getattr(kit.claims, quantity)
        gain = measured.gain(quantity)
        if claimed is None or gain is None:
            continue
        found = [in_unit(each, quantity, claimed.unit) for each in (gain.at_peak, gain.over_band)]
        wheels = measured.session.dyno.kind != "engine"
        verdict = judge(quantity, float(claimed.nominal), *found, at_wheels=wheels)
        yield Claim(claimed.tidy, claimed.unit, verdict, kit.place)


def kit_of(manual: Manual, session: DynoSession) -> Kit | None:
    """Return the kit that was fitted between the two sides of a session."""
    name = session.procedure
    procedure = manual.head(Procedure, str(name)) if name else None
    return manual.head(Kit, str(procedure.kit)) if procedure and procedure.kit else None


def factor_to(quantity: str, unit: str) -> float:
    """Return the factor from kW or N·m to a unit of power or torque."""
    return factor_between(BASE[quantity], unit)


def in_unit(interval: Interval, quantity: str, unit: str) -> Interval:
    """Return an interval in kW or N·m in another unit."""
    factor = factor_to(quantity, unit)
    half = None if interval.half is None else interval.half * factor
    return Interval(interval.estimate * factor, half, interval.df)


def interval_text(interval: Interval, unit: str) -> str:
    """Return a gain with its half-width: ``+18.2 ± 1.4 hp``; without one, the gain alone."""
    number = f"{interval.estimate:+.1f}".replace("-", "\u2212")
    spread = "" if interval.half is None else f"\u00a0±\u00a0{interval.half:.1f}"
    return f"{number}{spread}\u00a0{unit}"
