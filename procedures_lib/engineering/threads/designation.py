"""Thread designations after ISO 965-1 and ASME B1.1, and the sizes that the standards list."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import Literal

from procedures_lib.data_tables import csv_rows
from procedures_lib.engineering.quantities.notation import mixed_number
from procedures_lib.findings import SlipError

INCH = Fraction(254, 10)
"""An inch in millimetres."""

PSI = 0.45359237 * 9.80665 / 0.0254**2 / 1e6
"""A pound-force per square inch in MPa (NIST SP 811, B.8)."""


def within(diameter: Fraction, over: str, to: str) -> bool:
    """Whether a diameter is over the one limit and up to the other, where there are limits."""
    return not (over and diameter <= Fraction(over)) and not (to and diameter > Fraction(to))


PITCHES = tuple(
    Fraction(pitch)
    for pitch in ("6", "4", "3", "2", "1.5", "1.25", "1", "0.75", "0.5", "0.35", "0.25", "0.2")
)
"""The pitches (mm) of fine threads in ISO 261, coarsest first."""


@cache
def coarse_pitches() -> dict[Fraction, Fraction]:
    """The coarse pitch (mm) of each metric diameter (mm), ISO 261."""
    return {
        Fraction(row["diameter_mm"]): Fraction(row["pitch_mm"])
        for row in csv_rows(__package__, "metric_sizes.csv")
        if row["series"] == "coarse"
    }


@cache
def metric_pitches(diameter: Fraction) -> tuple[Fraction, ...]:
    """The pitches (mm) that ISO 261 lists for a diameter (mm), coarsest first."""
    return tuple(
        Fraction(row["pitch_mm"])
        for row in csv_rows(__package__, "metric_sizes.csv")
        if Fraction(row["diameter_mm"]) == diameter
    )


@cache
def numbered_sizes() -> dict[int, Fraction]:
    """The diameter (in) of each numbered size, ASME B1.1."""
    return {
        int(row["number"]): Fraction(row["diameter_in"])
        for row in csv_rows(__package__, "numbered_sizes.csv")
    }


@cache
def inch_sizes(diameter: Fraction) -> tuple[tuple[str, Fraction], ...]:
    """The series that have a diameter (in), each with its threads per inch (ASME B1.1)."""
    return tuple(
        (row["series"], Fraction(row["threads_per_inch"]))
        for row in csv_rows(__package__, "inch_sizes.csv")
        if read_inches(row["diameter_in"]) == diameter
    )


def series_turns(series: str, diameter: Fraction) -> tuple[Fraction, ...]:
    """The threads per inch of a series for a diameter (in); () when the series has no such size."""
    return tuple(turns for name, turns in inch_sizes(diameter) if name == series)


def read_inches(text: str) -> Fraction:
    """A diameter as the table writes it: ``#10``, ``1/4``, ``1 1/8``."""
    if text.startswith("#"):
        return numbered_sizes()[int(text[1:])]
    return sum((Fraction(part) for part in text.split()), Fraction(0))


def in_inches(size: Fraction) -> str:
    """A diameter (in) as it is written: ``#10``, ``1/4``, ``1 1/8``."""
    for number, diameter in numbered_sizes().items():
        if diameter == size:
            return f"#{number}"
    return mixed_number(size)


_METRIC = re.compile(
    r"M\s?(?P<d>\d+(?:\.\d+)?)(?:\s?[x×X]\s?(?P<p>\d+(?:\.\d+)?))?(?:\s?-\s?\d[A-Za-z]\w*)?$"
)
_INCH = re.compile(
    r"(?:(?P<whole>\d+)[ -])?(?:(?P<num>\d+)/(?P<den>\d+)|\#(?P<no>\d+)|(?P<d>\d+))"
    r"\s?-\s?(?P<tpi>\d+(?:\.\d+)?)(?:\s?-?\s?(?P<series>UNC|UNF|UNEF|UN|UNS|UNRC|UNRF))?"
    r"(?:\s?-?\s?\d[AB])?$"
)
_LEFT = re.compile(r"\s?-?\s?LH$", re.IGNORECASE)
"""How ISO 965-1 and ASME B1.1 mark a left-hand thread."""
_SERIES = {"UNC": "UNC", "UNRC": "UNC", "UNF": "UNF", "UNRF": "UNF"}
"""The series whose sizes are looked up; UNR differs from UN in the root alone."""


class ThreadError(SlipError):
    """A designation that can't be read; ``hint`` says what to write instead."""

    def __init__(self, message: str, hint: str) -> None:
        super().__init__("unknown-thread", message, hint)


@dataclass(frozen=True, slots=True)
class Thread:
    """A screw thread with a 60° profile.

    ``diameter`` (major) and ``pitch`` are in millimetres, exact; ``family`` tells which standard
    gives its dimensions (metric: ISO 724, inch: ASME B1.1). Two threads go together when they are
    equal: the designation as written does not count.
    """

    family: Literal["metric", "inch"]
    diameter: Fraction
    pitch: Fraction

    def __str__(self) -> str:
        if self.family == "metric":
            return f"M{_plain(self.diameter)}x{_plain(self.pitch)}"
        return f"{in_inches(self.diameter / INCH)}-{_plain(INCH / self.pitch)}"


def read_thread(text: str) -> Thread:
    """Read a thread designation; a metric size without pitch has the coarse one (ISO 261).

    Refused are pitches that ISO 261 does not have, and threads per inch other than those of the
    series that is named. Raises :class:`ThreadError`.
    """
    text = text.strip().strip('"')
    if match := _METRIC.match(text):
        return _metric(match)
    if match := _INCH.match(text):
        return _unified(match, text)
    if match := _LEFT.search(text):
        raise ThreadError(
            f"`{text}` says that the thread is left-hand",
            f"write `{text[: match.start()]}`, and `turns: left`",
        )
    raise ThreadError(
        f"`{text}` is no thread designation",
        "write `M6x1.0` (ISO 965-1), or `1/4-20 UNC`, `#10-32 UNF` (ASME B1.1)",
    )


def is_coarse(thread: Thread) -> bool:
    """Whether a thread is of the coarse series of its standard (ISO 261, or UNC in ASME B1.1)."""
    if thread.family == "metric":
        return coarse_pitches().get(thread.diameter) == thread.pitch
    return INCH / thread.pitch in series_turns("UNC", thread.diameter / INCH)


def is_listed(thread: Thread) -> bool:
    """Whether the table of its standard has this diameter with this pitch."""
    if thread.family == "metric":
        return thread.pitch in metric_pitches(thread.diameter)
    turns = INCH / thread.pitch
    return any(turns == listed for _, listed in inch_sizes(thread.diameter / INCH))


def _metric(match: re.Match[str]) -> Thread:
    diameter = Fraction(match["d"])
    coarse = coarse_pitches().get(diameter)
    if match["p"] is None and coarse is None:
        raise ThreadError(
            f"the coarse pitch of M{match['d']} does not go without saying (ISO 261)",
            f"write the pitch: `M{match['d']}x…`",
        )
    pitch = Fraction(match["p"]) if match["p"] else coarse or Fraction(0)
    if not 0 < pitch <= diameter / 3:
        usual = f"the coarse pitch of M{match['d']} is {_plain(coarse)} mm" if coarse else ""
        message = f"a pitch of {_plain(pitch)} mm does not go with M{match['d']}"
        raise ThreadError(message, usual or "look again")
    if not _has_pitch(diameter, pitch):
        raise ThreadError(
            f"M{match['d']} has no pitch of {_plain(pitch)} mm in ISO 261",
            _metric_hint(match["d"], metric_pitches(diameter)),
        )
    return Thread("metric", diameter, pitch)


def _has_pitch(diameter: Fraction, pitch: Fraction) -> bool:
    """Whether ISO 261 lists the pitch, or leaves it free: a pitch of its list finer than coarse."""
    listed = metric_pitches(diameter)
    if pitch in listed:
        return True
    return pitch in PITCHES and (not listed or pitch < listed[0])


def _metric_hint(diameter: str, listed: tuple[Fraction, ...]) -> str:
    if listed:
        return f"M{diameter} has {' or '.join(_plain(pitch) for pitch in listed)} mm"
    return f"the fine pitches are {', '.join(_plain(pitch) for pitch in PITCHES)} mm"


def _unified(match: re.Match[str], text: str) -> Thread:
    diameter = _diameter(match)
    turns = Fraction(match["tpi"])
    if not 0 < diameter <= 6 or turns <= 0 or 1 / turns > diameter / 3:
        raise ThreadError(
            f"`{text}` is no inch thread: diameter or threads per inch are out of range",
            "write diameter, dash, threads per inch: `1/4-20 UNC`, `#10-32 UNF`",
        )
    series = _SERIES.get(match["series"] or "", "")
    if series and turns not in series_turns(series, diameter):
        raise ThreadError(
            f"`{text}` is not in the series {series} of ASME B1.1",
            _inch_hint(series, diameter, turns),
        )
    return Thread("inch", diameter * INCH, INCH / turns)


def _diameter(match: re.Match[str]) -> Fraction:
    """The diameter in inches; 0 for one that does not exist."""
    if match["no"]:
        return numbered_sizes().get(int(match["no"]), Fraction(0))
    if match["num"]:
        whole, part = int(match["whole"] or 0), (int(match["num"]), int(match["den"]))
        return whole + Fraction(*part) if part[1] else Fraction(0)
    return Fraction(match["d"])


def _inch_hint(series: str, diameter: Fraction, turns: Fraction) -> str:
    numbered = numbered_sizes().get(int(diameter)) if diameter.denominator == 1 else None
    if numbered and turns in series_turns(series, numbered):
        return f"a numbered size is written with its sign: `#{diameter}-{_plain(turns)} {series}`"
    listed = inch_sizes(diameter)
    size = in_inches(diameter)
    said = [f"{size} {name} has {_plain(own)}" for name, own in listed if name == series]
    said += [f"with {_plain(turns)} it is {name}" for name, own in listed if own == turns]
    return "; ".join(said) or f"there is no {size} {series}: write `UN` or `UNS`, or look again"


def _plain(number: Fraction) -> str:
    return f"{float(number):.4f}".rstrip("0").rstrip(".")
