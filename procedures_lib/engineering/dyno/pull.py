"""A pull: speeds that rise, with torque and power at each, held against each other."""

from __future__ import annotations

import math
from array import array
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from statistics import median

from procedures_lib.engineering.dyno import limits
from procedures_lib.engineering.quantities.units import factor_between
from procedures_lib.findings import SlipError

KW_RPM = 60000 / (2 * math.pi)
"""kW = N·m × rpm / 9549.297 (by definition of the kilowatt and the revolution per minute)."""

HP_RPM = 33000 / (2 * math.pi)
"""hp = lbf·ft × rpm / 5252.113 (hp is 550 ft·lbf/s, NIST SP 811, B.8; the trade says 5252)."""


def power_kw(torque_n_m: float, speed_rpm: float) -> float:
    """Return the power in kW of a torque in N·m at a speed in rpm, by definition of the units."""
    return torque_n_m * speed_rpm / KW_RPM


def torque_n_m(power_in_kw: float, speed_rpm: float) -> float:
    """Return the torque in N·m of a power in kW at a speed in rpm above zero, by definition."""
    return power_in_kw * KW_RPM / speed_rpm


class PullError(SlipError):
    """A pull that can't be used: the line of its file (from 1), what is wrong, what to do."""

    def __init__(self, line: int, message: str, hint: str) -> None:
        super().__init__("unreadable-pull", message, hint, line)


@dataclass(frozen=True, slots=True)
class Rows:
    """The rows of a file: rpm, N·m, kW; torque or power is empty when the file has it not.

    ``lines`` are the lines they stand on; ``time`` is in seconds, empty where it is not known.
    """

    speed: Sequence[float]
    torque: Sequence[float]
    power: Sequence[float]
    lines: Sequence[int]
    time: Sequence[float] = ()


@dataclass(frozen=True, slots=True)
class Pull:
    """A pull as it is used: speeds that rise, in rpm, each once, with N·m and kW.

    ``rolled_up`` and ``coasted`` count the rows before and behind it that were left out;
    ``time`` is in seconds, empty where it is not known.
    """

    speed: Sequence[float]
    torque: Sequence[float]
    power: Sequence[float]
    rolled_up: int = 0
    coasted: int = 0
    time: Sequence[float] = ()

    def times(self, factor: float) -> Pull:
        """Return the pull with torque and power multiplied by a factor of correction."""
        torque = array("d", (value * factor for value in self.torque))
        power = array("d", (value * factor for value in self.power))
        return replace(self, torque=torque, power=power)


def used_rows(rows: Rows) -> Rows:
    """Return the rows from where the speed begins to rise up to the highest speed.

    What comes before (rolling up at part throttle, overrun) and after (coasting down) is left out.
    PullError when that is no one rise.
    """
    if len(rows.speed) < limits.FEWEST_ROWS:
        line = rows.lines[-1] if rows.lines else 1
        raise PullError(line, f"a pull needs at least {limits.FEWEST_ROWS} rows, this has"
                        f" {len(rows.speed)}", "export the whole pull")  # fmt: skip
    top = max(range(len(rows.speed)), key=rows.speed.__getitem__)
    start = _start(rows.speed, top)
    _one_rise(rows, start, top)
    driven = rows.torque or rows.power
    while start < top and driven[start] <= 0:  # overrun: the throttle is not open yet
        start += 1
    if top - start + 1 < limits.FEWEST_ROWS:
        raise PullError(rows.lines[start], "the speed does not rise over enough rows",
                        "a pull goes from low speed to high under full throttle")  # fmt: skip
    bad = next((n for n in range(start, top + 1) if driven[n] <= 0), None)
    if bad is not None:
        raise PullError(rows.lines[bad], "the engine gives no power in the middle of the pull",
                        "export one pull alone, or look at the columns")  # fmt: skip
    inside = slice(start, top + 1)
    return Rows(rows.speed[inside], rows.torque[inside], rows.power[inside], rows.lines[inside],
                rows.time[inside])  # fmt: skip


def _start(speed: Sequence[float], top: int) -> int:
    """Return the first row of the rise that ends at row ``top``.

    Falls within the noise of the pick-up don't end it. Where the speed is held before the rise
    (the car is rolled up to it), all rows within that noise of the lowest speed are left out.
    """
    noise = limits.JITTER_SHARE * speed[top]
    start, lowest = top, speed[top]
    for n in range(top - 1, -1, -1):
        if speed[n] > lowest + noise:
            break
        if speed[n] <= lowest:
            start, lowest = n, speed[n]
    held = [n for n in range(start, top) if speed[n] <= lowest + noise]
    if all(speed[n] < speed[n + 1] for n in held):
        return start
    return held[-1] + 1


def _one_rise(rows: Rows, start: int, top: int) -> None:
    speed = rows.speed
    least, most = limits.TOP_SPEED_RPM
    if not least <= speed[top] <= most:
        raise PullError(rows.lines[top], f"the highest speed is {speed[top]:g} rpm, which can't be",
                        "look at the unit, and at the decimal sign")  # fmt: skip
    whole = speed[top] - min(speed[: top + 1])
    risen = speed[top] - speed[start]
    before = max(speed[:start], default=speed[start]) - speed[start]
    if risen == 0 or risen < limits.RISE_SHARE * whole or before > limits.BEFORE_SHARE * risen:
        last = max(start, 1)
        high = max(range(last), key=speed.__getitem__)
        message = f"the speed does not rise: {speed[high]:g} rpm on line {rows.lines[high]},"
        message += f" {speed[last]:g} rpm here"
        hint = "export one pull alone, from its lowest speed to its highest"
        raise PullError(rows.lines[last], message, hint)


def pull_of(rows: Rows, rolled_up: int, coasted: int) -> Pull:
    """Return used rows as a pull: sorted, equal speeds averaged, torque or power worked out.

    ``rolled_up`` and ``coasted`` are how many rows stood before and behind them.
    """
    order: Sequence[int] = range(len(rows.speed))
    if any(rows.speed[n] >= rows.speed[n + 1] for n in order[:-1]):
        order = sorted(order, key=rows.speed.__getitem__)
    speed, torque, power, time = array("d"), array("d"), array("d"), array("d")
    for rpm, equal in groupby(order, key=rows.speed.__getitem__):
        same = list(equal)
        n_m = sum(rows.torque[n] for n in same) / len(same) if rows.torque else 0.0
        kw = sum(rows.power[n] for n in same) / len(same) if rows.power else n_m * rpm / KW_RPM
        speed.append(rpm)
        torque.append(n_m if rows.torque else kw * KW_RPM / rpm)
        power.append(kw)
        if rows.time:
            time.append(sum(rows.time[n] for n in same) / len(same))
    return Pull(speed, torque, power, rolled_up, coasted, time)


_MIX_UPS = (
    ("hp", "PS"), ("kW", "hp"), ("kW", "PS"), ("N·m", "lbf·ft"), ("N·m", "kgf·m"),
)  # fmt: skip
_NEAR = 0.003


@dataclass(frozen=True, slots=True)
class Disagreement:
    """How power and torque differ: the line where most, and the usual ratio of power to torque.

    ``ratio`` is power over torque times speed, 1 when they agree.
    """

    line: int
    ratio: float
    stated_kw: float
    computed_kw: float

    @property
    def meant(self) -> str:
        """What may have been mixed up, "" when the ratio tells nothing."""
        for one, other in _MIX_UPS:
            factor = factor_between(one, other)
            if abs(self.ratio * factor - 1) < _NEAR or abs(self.ratio / factor - 1) < _NEAR:
                return f"as if {one} and {other} were mixed up"
        return ""


def disagreement(rows: Rows) -> Disagreement | None:
    """Return how the power of a file differs from its torque times speed, None when it doesn't.

    The usual ratio may be off by half a percent, one row in twenty by more than two.
    """
    if not (rows.torque and rows.power):
        return None
    ratios = [
        kw / power_kw(n_m, rpm)
        for rpm, n_m, kw in zip(rows.speed, rows.torque, rows.power, strict=True)
        if n_m > 0 and rpm > 0
    ]
    usual = median(ratios)
    off = sum(abs(ratio - 1) > limits.DISAGREE_ROW_SHARE for ratio in ratios)
    if abs(usual - 1) <= limits.DISAGREE_SHARE and off <= limits.DISAGREE_ROWS_SHARE * len(ratios):
        return None
    worst = max(range(len(ratios)), key=lambda n: abs(ratios[n] - 1))
    computed = power_kw(rows.torque[worst], rows.speed[worst])
    return Disagreement(rows.lines[worst], usual, rows.power[worst], computed)
