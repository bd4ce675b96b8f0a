"""The gain: what differs between pulls after and before, how sure it is, what the maker claims."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from statistics import fmean

from procedures_lib.engineering.dyno.curve import Peak, crossings, mean_over, on_grid, peak_of
from procedures_lib.engineering.dyno.gain_interval import (
    Interval,
    repeatability_deviation,
    repeatability_limit,
    welch,
)
from procedures_lib.engineering.dyno.limits import DRIVELINE_SHARE

Curves = Sequence[tuple[Sequence[float], Sequence[float]]]
"""Speeds in rpm and values, a pair for each pull."""


@dataclass(frozen=True, slots=True)
class Side:
    """The pulls before, or those after: each with its peak and its curve on the common grid."""

    peaks: tuple[Peak, ...]
    curves: tuple[tuple[float, ...], ...]

    @property
    def mean(self) -> tuple[float, ...]:
        """The mean curve."""
        return tuple(map(fmean, zip(*self.curves, strict=True)))

    @property
    def peak(self) -> float:
        """The mean of the pulls' peaks."""
        return fmean(peak.value for peak in self.peaks)

    @property
    def peak_at(self) -> float:
        """The mean of the speeds, in rpm, at which the pulls have their peaks."""
        return fmean(peak.at for peak in self.peaks)


@dataclass(frozen=True, slots=True)
class Gain:
    """The gain in one quantity, in its unit (kW or N·m), over the speeds of ``grid`` in rpm.

    ``at_peak`` compares the highest values, wherever they are reached; ``over_band`` the means over
    ``band``; ``along`` the curves speed by speed, each interval for itself; ``together`` the same
    with intervals that hold at all speeds at once (Bonferroni). ``largest`` is the speed with the
    largest gain, ``largest_gain`` its interval out of ``together``, as it was picked by looking.
    """

    quantity: str
    grid: tuple[float, ...]
    before: Side
    after: Side
    at_peak: Interval
    band: tuple[float, float]
    over_band: Interval
    mean_before: float
    along: tuple[Interval, ...]
    together: tuple[Interval, ...]
    deviation: float | None

    @property
    def largest(self) -> float:
        """The speed in rpm at which the curves are farthest apart upwards."""
        return self.grid[self._largest]

    @property
    def largest_gain(self) -> Interval:
        """The gain there, with the interval that holds for all speeds at once."""
        return self.together[self._largest]

    @property
    def _largest(self) -> int:
        return max(range(len(self.grid)), key=lambda n: self.along[n].estimate)

    @property
    def area(self) -> float:
        """The area between the mean curves over the band, in the unit times rpm."""
        return self.over_band.estimate * (self.band[1] - self.band[0])

    @property
    def crossings(self) -> tuple[float, ...]:
        """The speeds in rpm at which the mean curves cross."""
        return crossings(self.grid, [each.estimate for each in self.along])

    @property
    def limit(self) -> float | None:
        """The repeatability limit r of a peak; None with single pulls."""
        return None if self.deviation is None else repeatability_limit(self.deviation)

    def clear(self, *, together: bool = False) -> tuple[tuple[float, float], ...]:
        """Return the ranges of speed in which the gain, or loss, is told from the spread."""
        seen = self.together if together else self.along
        flags = [each.is_known and not each.within_noise for each in seen]
        found = []
        for is_clear, group in groupby(range(len(flags)), key=flags.__getitem__):
            if is_clear:
                inside = list(group)
                found.append((self.grid[inside[0]], self.grid[inside[-1]]))
        return tuple(found)

    @property
    def within_noise(self) -> bool:
        """Whether neither the peak nor the mean over the band is told from the spread."""
        return self.at_peak.within_noise and self.over_band.within_noise


def gain_of(
    quantity: str,
    before: Curves,
    after: Curves,
    grid: tuple[float, ...],
    band: tuple[float, float] | None = None,
) -> Gain:
    """Return the gain in one quantity from the curves of all pulls, over the grid they share.

    ``band`` are two speeds of the grid in rpm, both included; without it, the whole grid counts.
    """
    old, new = _side(before, grid), _side(after, grid)
    ends = band or (grid[0], grid[-1])
    inside = [n for n, speed in enumerate(grid) if ends[0] <= speed <= ends[1]]
    part = [grid[n] for n in inside]
    means_old, means_new = (_means(side, part, inside) for side in (old, new))
    pairs = [
        ([curve[n] for curve in old.curves], [curve[n] for curve in new.curves])
        for n in range(len(grid))
    ]
    peaks_old, peaks_new = ([peak.value for peak in side.peaks] for side in (old, new))
    return Gain(
        quantity=quantity,
        grid=grid,
        before=old,
        after=new,
        at_peak=welch(peaks_old, peaks_new),
        band=(part[0], part[-1]),
        over_band=welch(means_old, means_new),
        mean_before=fmean(means_old),
        along=tuple(welch(one, other) for one, other in pairs),
        together=tuple(welch(one, other, looks=len(grid)) for one, other in pairs),
        deviation=repeatability_deviation(peaks_old, peaks_new),
    )


def _means(side: Side, part: list[float], inside: list[int]) -> list[float]:
    return [mean_over(part, [curve[n] for n in inside]) for curve in side.curves]


def _side(curves: Curves, grid: Sequence[float]) -> Side:
    return Side(
        tuple(peak_of(speed, values) for speed, values in curves),
        tuple(on_grid(speed, values, grid) for speed, values in curves),
    )


_LOST = f"{DRIVELINE_SHARE * 100:g}\u00a0%"
MET, NOT_MET, CANT_TELL = "met", "not met", "can't tell"


@dataclass(frozen=True, slots=True)
class Verdict:
    """A claim of a gain beside the gain measured, in one unit; ``word`` is one of the three."""

    quantity: str
    claimed: float
    measured: Interval
    word: str
    why: str


def judge(quantity: str, claimed: float, measured: Interval, *, at_wheels: bool) -> Verdict:
    """Compare a claimed gain with a measured one.

    Met when the whole interval is at or above the claim, not met when all of it is below, else it
    can't be told. A claim that does not say where it holds is meant at the crank: measured
    ``at_wheels`` it is not met only below what the driveline may leave of it.
    """
    least = claimed * (1 - DRIVELINE_SHARE) if at_wheels and claimed > 0 else claimed
    if not measured.is_known:
        return Verdict(quantity, claimed, measured, CANT_TELL, "too few pulls to know the spread")
    if measured.low >= claimed:
        return Verdict(quantity, claimed, measured, MET, "all of the interval is at or above it")
    if measured.high < least:
        why = "all of the interval is below it"
        why += f", less {_LOST} for the driveline" if at_wheels else ""
        return Verdict(quantity, claimed, measured, NOT_MET, why)
    if measured.high < claimed:
        why = f"below it at the wheels by no more than the driveline takes ({_LOST})"
        return Verdict(quantity, claimed, measured, CANT_TELL, why)
    return Verdict(quantity, claimed, measured, CANT_TELL, "the claim lies inside the interval")
