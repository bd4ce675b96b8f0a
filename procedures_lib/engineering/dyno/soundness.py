"""Whether a gain is sound: what in the pulls themselves speaks against comparing the two sides."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from statistics import fmean, median

from procedures_lib.engineering.dyno import limits
from procedures_lib.engineering.dyno.curve import at_speed, on_grid
from procedures_lib.engineering.dyno.gain import Gain, Side
from procedures_lib.engineering.dyno.gain_interval import t_quantile
from procedures_lib.engineering.dyno.noise import Leap
from procedures_lib.engineering.quantities.units import factor_between

_MIX_UPS = (("N·m", "lbf·ft"), ("N·m", "kgf·m"), ("kW", "hp"))
_BLOCKS = 5


@dataclass(frozen=True, slots=True)
class Doubt:
    """What speaks against a gain: the check, a few words, a sentence, what to do.

    ``pull`` names the pull it was seen in, "" for the session.
    """

    check: str
    short: str
    message: str
    hint: str
    pull: str = ""


@dataclass(frozen=True, slots=True)
class Trace:
    """A pull as it is looked at: its name, rpm and corrected N·m, seconds where it has them.

    ``noise`` is its scatter from row to row, as a share; ``leaps`` are rows that were left out.
    """

    name: str
    speed: Sequence[float]
    torque: Sequence[float]
    noise: float = 0.0
    seconds: Sequence[float] = ()
    leaps: tuple[Leap, ...] = ()


@dataclass(frozen=True, slots=True)
class Sides:
    """The pulls before and after, and their torque in N·m on the grid of speeds in rpm."""

    before: tuple[Trace, ...]
    after: tuple[Trace, ...]
    grid: tuple[float, ...]
    old: tuple[tuple[float, ...], ...]
    new: tuple[tuple[float, ...], ...]

    @classmethod
    def of(cls, before: Sequence[Trace], after: Sequence[Trace], grid: tuple[float, ...]) -> Sides:
        """Return both sides on their common grid in rpm."""
        rows = [
            tuple(on_grid(each.speed, each.torque, grid) for each in side)
            for side in (before, after)
        ]
        return cls(tuple(before), tuple(after), grid, rows[0], rows[1])

    @property
    def ratio(self) -> list[float]:
        """What the mean curve after is of that before, speed by speed."""
        return [b / a for a, b in zip(mean_curve(self.old), mean_curve(self.new), strict=True)]


def mean_curve(rows: Sequence[Sequence[float]]) -> list[float]:
    """Return the mean of curves, in their unit, at each speed of their grid."""
    return list(map(fmean, zip(*rows, strict=True)))


def doubts(
    sides: Sides, gains: Sequence[Gain], minutes: Sequence[Sequence[float]]
) -> Iterator[Doubt]:
    """Yield what speaks against the gains; torques in N·m, speeds in rpm, times in seconds.

    ``minutes`` are when the pulls of each side were made, or their order. What follows from a
    cause that was found is not told again.
    """
    leaping = list(_leaping(sides))
    yield from leaping
    apart = next(_apart(sides), None) or next(_sweeps(sides), None) or _moved(sides)
    if apart:
        yield apart
    yield from _noises(sides)
    if not apart and not leaping:
        yield from _stands_alone(sides, gains)
        if not any(gain.in_turns for gain in gains):
            yield from _trend(sides, minutes) or _like_drift(sides)


def _leaping(sides: Sides) -> Iterator[Doubt]:
    found = [each for each in (*sides.before, *sides.after) if each.leaps]
    if not found:
        return
    count = sum(len(each.leaps) for each in found)
    worst = max((leap for each in found for leap in each.leaps), key=lambda leap: abs(leap.share))
    rows = "1 row leaps" if count == 1 else f"{count} rows leap"
    said = f"{rows} out of {len(found)} of the pulls, by {signed(worst.share * 100)} % at"
    said += f" {worst.at:.0f} rpm; without {'it' if count == 1 else 'them'} the gain is worked out"
    yield Doubt("rows-that-leap", f"{rows} out of the pulls", said,
                "look at pick-up and cable, and make the pull again", found[0].name)  # fmt: skip


def signed(value: float) -> str:
    """Return a number with its sign, to a digit behind the point."""
    return f"{value:+.1f}".replace("-", "\u2212")


def _noises(sides: Sides) -> Iterator[Doubt]:
    old, new = (median(each.noise for each in side) for side in (sides.before, sides.after))
    rows = min(len(each.speed) for each in (*sides.before, *sides.after))
    if rows < limits.FEWEST_FOR_NOISE or max(old, new) < limits.NOISE_SHARE:
        return
    if max(old, new) < limits.NOISE_RATIO * min(old, new):
        return
    said = f"from row to row the torque scatters by {old * 100:.1f} % before and"
    said += f" {new * 100:.1f} % after"
    yield Doubt("noise-differs", "the noise differs between the sides", said,
                "look at pick-up, straps and tyres, and make the noisy side again")  # fmt: skip


def _apart(sides: Sides) -> Iterator[Doubt]:
    """Pulls that differ by more than pulls do, and sides that differ by more than kits do."""
    for traces, rows in ((sides.before, sides.old), (sides.after, sides.new)):
        usual = median(map(fmean, rows))
        for trace, row in zip(traces, rows, strict=True):
            share = fmean(row) / usual
            if abs(share - 1) > limits.APART_SHARE and len(rows) > 1:
                said = f"{trace.name} has {share:.2f} times the torque of its side"
                yield Doubt("pulls-apart", "pulls of one side differ by more than pulls do",
                            said + _meant(share), _APART, trace.name)  # fmt: skip
                return
    ratio = sides.ratio
    share = fmean(ratio)
    lost, gained = share < limits.LEAST_RATIO, share > limits.MOST_RATIO
    meant = _meant(share)
    if lost or (gained and meant and max(_blocks(ratio)) < 1.05 * min(_blocks(ratio))):
        said = f"after, there is {share:.2f} times the torque of before"
        yield Doubt("pulls-apart", "the sides differ by more than a kit does",
                    said + meant, _APART)  # fmt: skip


_APART = "look at the units in the headers, and whether gear and throttle were the same"


def _meant(share: float) -> str:
    """What may have been mixed up: the units whose factor leaves no more than a kit may add."""
    away = abs(math.log(share))
    found = [
        f"{one} and {other}"
        for one, other in _MIX_UPS
        if abs(away - abs(math.log(factor_between(one, other)))) < limits.MIXED_UP_WITHIN
    ]
    if not found:
        return ""
    return f", as if {', or '.join(found)}{',' if len(found) > 1 else ''} were mixed up"


def _blocks(values: Sequence[float]) -> list[float]:
    size = len(values) / _BLOCKS
    return [fmean(values[round(n * size) : round((n + 1) * size)]) for n in range(_BLOCKS)]


def _sweeps(sides: Sides) -> Iterator[Doubt]:
    """Pulls that ran through the speeds in another time: another gear, or another load."""
    low, high = sides.grid[0], sides.grid[-1]
    lasted = []
    for trace, row in zip((*sides.before, *sides.after), (*sides.old, *sides.new), strict=True):
        if not trace.seconds:
            return
        ends = (at_speed(trace.speed, trace.seconds, at) for at in (high, low))
        lasted.append((trace.name, next(ends) - next(ends), fmean(row)))
    if min(seconds for _, seconds, _ in lasted) <= 0:
        return
    first, usual, pushed = lasted[0]
    for name, seconds, torque in lasted[1:]:
        shares = (seconds / usual, seconds * torque / (usual * pushed))
        if all(abs(math.log(share)) > math.log(limits.SWEEP_RATIO) for share in shares):
            said = f"from {low:g} to {high:g} rpm {name} took {seconds:.1f} s, {first}"
            said += f" {usual:.1f} s"
            yield Doubt("sweep-differs", "the pulls took unlike times", said,
                        "make all pulls in one gear, with one load setting", name)  # fmt: skip
            return


def _moved(sides: Sides) -> Doubt | None:
    """The pull, or the side, whose curve is another's moved along the speeds."""
    found = []
    for traces, rows in ((sides.before, sides.old), (sides.after, sides.new)):
        for n, trace in enumerate(traces if len(rows) > 1 else ()):
            others = mean_curve([*rows[:n], *rows[n + 1 :]])
            moved = _shift(others, rows[n], sides.grid)
            if moved:
                found.append((abs(moved), moved, trace.name, "the others of its side"))
    if not found:
        old, new = mean_curve(sides.old), mean_curve(sides.new)
        moved = _shift(old, new, sides.grid, _mean_noise(sides))
        if moved:
            found.append((abs(moved), moved, "", "those before"))
    if not found:
        return None
    _, moved, name, like = max(found)
    said = f"{name or 'the pulls after'} {'is' if name else 'are'} {like}, moved by"
    said += f" {signed(round(moved, -1)).removesuffix('.0')} rpm"
    return Doubt("curve-moved", "a curve is moved along the speeds", said,
                 "look whether torque and speed are logged at one instant, with one filter",
                 name)  # fmt: skip


def _mean_noise(sides: Sides) -> float:
    """The noise of the ratio of the mean curves, as a share."""
    parts = [
        median(each.noise for each in side) ** 2 / len(side) for side in (sides.before, sides.after)
    ]
    return math.sqrt(sum(parts))


def _shift(
    first: Sequence[float], other: Sequence[float], grid: Sequence[float], noise: float = math.inf
) -> float:
    """How far in rpm a curve is the first, moved and stretched upwards; 0 where it is not.

    Moved by whole steps of the grid, the best of them by the parabola through its neighbours.
    """
    step = grid[1] - grid[0]
    most = int(limits.MOST_SHIFT_RPM / step)
    inside = range(most, len(grid) - most)
    if len(inside) < most:
        return 0.0
    part = [other[n] for n in inside]
    left = []
    for move in range(-most, most + 1):
        base = [first[n - move] for n in inside]
        factor = _dot(base, part) / _dot(base, base)
        left.append(sum((b - factor * a) ** 2 for a, b in zip(base, part, strict=True)))
    best = min(range(1, len(left) - 1), key=left.__getitem__)
    bend = left[best - 1] - 2 * left[best] + left[best + 1]
    at = (best - most) * step
    at += step * (left[best - 1] - left[best + 1]) / (2 * bend) if bend > 0 else 0.0
    away = math.sqrt(left[best] / len(part)) / fmean(part)
    fits = left[best] * limits.SHIFT_EXPLAINS < left[most]
    fits = fits and away < max(limits.SHIFT_LEAVES, 1.2 * noise)
    return at if fits and abs(at) >= limits.LEAST_SHIFT_RPM else 0.0


def _dot(one: Sequence[float], other: Sequence[float]) -> float:
    return math.fsum(a * b for a, b in zip(one, other, strict=True))


def _stands_alone(sides: Sides, gains: Sequence[Gain]) -> Iterator[Doubt]:
    """A peak that stands on a few rows of one side: the speeds beside it don't bear it out."""
    for gain in gains:
        tops = [side.peak / _beside(side, gain.grid) for side in (gain.before, gain.after)]
        apart = tops[1] / tops[0] - 1
        if abs(apart) <= max(limits.PEAK_SHARE, 2 * _mean_noise(sides)):
            continue
        side = "after" if apart > 0 else "before"
        said = f"the peak of {gain.quantity} {side} stands {abs(apart) * 100:.1f} % higher over the"
        yield Doubt("peak-stands-alone", f"the peak {side} stands on a few rows",
                    f"{said} speeds beside it than that of the other side",
                    "look at these rows of the files; tell the mean over the band")  # fmt: skip
        return


def _beside(side: Side, grid: Sequence[float]) -> float:
    """The median of the mean curve near its peak."""
    near = [value for at, value in zip(grid, side.mean, strict=True)
            if abs(at - side.peak_at) <= limits.TOP_WIDTH_RPM]  # fmt: skip
    return median(near) if near else side.peak


def _trend(sides: Sides, minutes: Sequence[Sequence[float]]) -> list[Doubt]:
    """Pulls that go up or down from one to the next, by the same on both sides."""
    means = [[fmean(row) for row in rows] for rows in (sides.old, sides.new)]
    shares = [[each / fmean(side) - 1 for each in side] for side in means]
    at = [t - fmean(side) for side in minutes for t in side]
    away = [v for side in shares for v in side]
    square, freedom = _dot(at, at), len(at) - 3
    if freedom < 1 or not square:
        return []
    slope = _dot(at, away) / square
    left = sum((v - slope * t) ** 2 for t, v in zip(at, away, strict=True))
    sure = t_quantile(limits.TREND_SURE, freedom) * math.sqrt(left / freedom / square)
    drift = slope * max(max(side) - min(side) for side in minutes)
    if abs(drift) < limits.TREND_SHARE or abs(slope) <= sure:
        return []
    said = f"from the first to the last pull of a side the torque drifts by {signed(drift * 100)} %"
    return [Doubt("gain-like-drift", "the pulls drift", said, _IN_TURNS)]


_IN_TURNS = "make pulls before, after, and before again, and write the `time` of each"


def _like_drift(sides: Sides) -> list[Doubt]:
    """A small gain, the same share at all speeds, as a drift of dyno, tyres or heat makes it."""
    ratio = sides.ratio
    share = fmean(ratio) - 1
    spreads = [_spread(rows) for rows in (sides.old, sides.new)]
    if abs(share) > limits.DRIFT_SHARE or abs(share) < 3 * math.hypot(*spreads):
        return []
    blocks = _blocks(ratio)
    unsure = max(_mean_noise(sides) / math.sqrt(len(ratio) / _BLOCKS), limits.FLAT_SHARE)
    if sum(((each - 1 - share) / unsure) ** 2 for each in blocks) > limits.FLAT_SQUARES:
        return []
    said = f"the gain is {signed(share * 100)} % at all speeds alike, as a drift between the sides"
    return [Doubt("gain-like-drift", "it may be a drift between the sides", said + " would be",
                  _IN_TURNS)]  # fmt: skip


def _spread(rows: Sequence[Sequence[float]]) -> float:
    """How far the mean of a side is unsure from its pulls, as a share."""
    if len(rows) < 2:
        return math.inf
    means = list(map(fmean, rows))
    middle = fmean(means)
    square = sum((each - middle) ** 2 for each in means) / (len(means) - 1)
    return math.sqrt(square / len(means)) / middle
