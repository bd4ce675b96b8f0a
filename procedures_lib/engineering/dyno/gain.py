"""The gain: what differs between pulls after and before, how sure it is, what the maker claims."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby
from statistics import fmean

from procedures_lib.engineering.dyno.curve import crossings, mean_over, on_grid
from procedures_lib.engineering.dyno.drift import Turns
from procedures_lib.engineering.dyno.gain_interval import (
    Interval,
    gained_by,
    repeatability_deviation,
    repeatability_limit,
)
from procedures_lib.engineering.dyno.limits import DRIVELINE_SHARE
from procedures_lib.engineering.dyno.peak import Curves, Peak, peaks_of


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
    def lift(self) -> float:
        """How far the mean would read higher if each pull had its full say in where the peak is."""
        return fmean(peak.lift for peak in self.peaks)

    @property
    def peak_at(self) -> float:
        """The mean of the speeds, in rpm, at which the pulls have their peaks."""
        return fmean(peak.at for peak in self.peaks)


@dataclass(frozen=True)
class Gain:
    """The gain in one quantity, in its unit (kW or N·m), over the speeds of ``grid`` in rpm.

    ``at_peak`` compares the highest values, wherever they are reached; ``over_band`` the means over
    ``band``; ``along`` the curves speed by speed, each interval for itself; ``together`` the same
    with intervals that hold at all speeds at once (Bonferroni). ``largest`` is the speed with the
    largest gain, ``largest_gain`` its interval out of ``together``, as it was picked by looking.
    ``turns`` is there for pulls that were made in turns.
    """

    quantity: str
    grid: tuple[float, ...]
    before: Side
    after: Side
    at_peak: Interval
    band: tuple[float, float]
    over_band: Interval
    mean_before: float
    deviation: float | None
    turns: Turns | None = None

    @cached_property
    def along(self) -> tuple[Interval, ...]:
        """The gain at each speed of the grid, each interval for itself."""
        return tuple(self._compared(1))

    @cached_property
    def together(self) -> tuple[Interval, ...]:
        """The same, with intervals that hold at all speeds at once."""
        return tuple(self._compared(len(self.grid)))

    def _compared(self, looks: int) -> Iterator[Interval]:
        compare = self.turns.gain if self.turns else gained_by
        for n in range(len(self.grid)):
            old, new = ([curve[n] for curve in side.curves] for side in (self.before, self.after))
            yield compare(old, new, looks=looks)

    @property
    def in_turns(self) -> bool:
        """Whether the pulls were made in turns, and a drift was taken out."""
        return self.turns is not None

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
    turns: Turns | None = None,
) -> Gain:
    """Return the gain in one quantity from the curves of all pulls, over the grid they share.

    ``band`` are two speeds of the grid in rpm, both included; without it, the whole grid counts.
    With ``turns`` every figure is that of pulls made in turns, with a straight drift taken out.
    """
    compare = turns.gain if turns else gained_by
    old, new = _side(before, grid), _side(after, grid)
    ends = band or (grid[0], grid[-1])
    inside = [n for n, speed in enumerate(grid) if ends[0] <= speed <= ends[1]]
    part = [grid[n] for n in inside]
    means_old, means_new = (_means(side, part, inside) for side in (old, new))
    peaks_old, peaks_new = ([peak.value for peak in side.peaks] for side in (old, new))
    return Gain(
        quantity=quantity,
        grid=grid,
        before=old,
        after=new,
        at_peak=compare(peaks_old, peaks_new).widened(old.lift, new.lift),
        band=(part[0], part[-1]),
        over_band=compare(means_old, means_new),
        mean_before=fmean(means_old),
        deviation=repeatability_deviation(peaks_old, peaks_new),
        turns=turns,
    )


def _means(side: Side, part: list[float], inside: list[int]) -> list[float]:
    return [mean_over(part, [curve[n] for n in inside]) for curve in side.curves]


def _side(curves: Curves, grid: Sequence[float]) -> Side:
    return Side(
        peaks_of(curves),
        tuple(on_grid(speed, values, grid) for speed, values in curves),
    )


_LOST = f"{DRIVELINE_SHARE * 100:g}\u00a0%"
MET, NOT_MET, CANT_TELL = "met", "not met", "can't tell"


@dataclass(frozen=True, slots=True)
class Verdict:
    """A claim of a gain beside the gains measured, in one unit; ``word`` is one of the three.

    ``measured`` is that at the peak, ``over_band`` that of the means over the band.
    """

    quantity: str
    claimed: float
    measured: Interval
    over_band: Interval
    word: str
    why: str


def judge(
    quantity: str, claimed: float, measured: Interval, over_band: Interval, *, at_wheels: bool
) -> Verdict:
    """Compare a claimed gain with those measured at the peak and over the band.

    Met when the peak's whole interval is at or above the claim and the band shows a gain too; not
    met when peak and band both lie below; else it can't be told. A claim that does not say where
    it holds is meant at the crank: measured ``at_wheels`` it is not met only below what the
    driveline may leave of it.
    """
    least = claimed * (1 - DRIVELINE_SHARE) if at_wheels and claimed > 0 else claimed
    word, why = _of_both(claimed, least, measured, over_band)
    if word == NOT_MET and at_wheels:
        why += f", less {_LOST} for the driveline"
    return Verdict(quantity, claimed, measured, over_band, word, why)


def _of_both(claimed: float, least: float, peak: Interval, band: Interval) -> tuple[str, str]:
    if not peak.is_known:
        return CANT_TELL, "too few pulls to know the spread"
    if peak.low >= claimed and band.low < min(0.0, claimed):
        return CANT_TELL, "it is met at the peak alone: over the band no gain is told"
    if peak.low >= claimed:
        return MET, "all of the interval is at or above it, and the band has a gain too"
    if peak.high < least and band.high < least:
        return NOT_MET, "all of the interval is below it, at the peak and over the band"
    if peak.high < least:
        return CANT_TELL, "it is not met at the peak, but may be over the band"
    if peak.high < claimed:
        why = f"below it at the wheels by no more than the driveline takes ({_LOST})"
    else:
        why = "the claim lies inside the interval"
    return CANT_TELL, why
