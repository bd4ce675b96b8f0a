"""Thread designations: ``M6x1.0`` (ISO 965-1), ``1/4-20 UNC`` and ``#10-32 UNF`` (ASME B1.1)."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from importlib.resources import files
from typing import Literal

_METRIC = re.compile(
    r"M\s?(?P<d>\d+(?:\.\d+)?)(?:\s?[x×X]\s?(?P<p>\d+(?:\.\d+)?))?(?:\s?-\s?\d[A-Za-z]\w*)?$"
)
_INCH = re.compile(
    r"(?:(?P<whole>\d+)[ -])?(?:(?P<num>\d+)/(?P<den>\d+)|\#(?P<no>\d+)|(?P<d>\d+))"
    r"\s?-\s?(?P<tpi>\d+(?:\.\d+)?)(?:\s?-?\s?(?P<series>UNC|UNF|UNEF|UN|UNS|UNRC|UNRF))?"
    r"(?:\s?-?\s?\d[AB])?$"
)
_INCH_MM = Fraction(254, 10)


class ThreadError(ValueError):
    """A designation that can't be read; ``hint`` says what to write instead."""

    def __init__(self, message: str, hint: str) -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint


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
        return f"{_inches(self.diameter / _INCH_MM)}-{_plain(_INCH_MM / self.pitch)}"


def read_thread(text: str) -> Thread:
    """Read a thread designation; a metric size without pitch has the coarse one (ISO 261).

    Raises :class:`ThreadError`.
    """
    text = text.strip().strip('"')
    if match := _METRIC.match(text):
        return _metric(match)
    if match := _INCH.match(text):
        return _unified(match, text)
    raise ThreadError(
        f"`{text}` is no thread designation",
        "write `M6x1.0` (ISO 965-1), or `1/4-20 UNC`, `#10-32 UNF` (ASME B1.1)",
    )


def _metric(match: re.Match[str]) -> Thread:
    diameter = Fraction(match["d"])
    coarse = coarse_pitches().get(diameter)
    if match["p"] is None and coarse is None:
        raise ThreadError(
            f"M{match['d']} has no coarse pitch in ISO 261", f"write the pitch: `M{match['d']}x…`"
        )
    pitch = Fraction(match["p"]) if match["p"] else coarse or Fraction(0)
    if not 0 < pitch <= (diameter / 3):
        hint = (
            f"the coarse pitch of M{match['d']} is {_plain(coarse)} mm" if coarse else "look again"
        )
        raise ThreadError(f"a pitch of {_plain(pitch)} mm does not go with M{match['d']}", hint)
    return Thread("metric", diameter, pitch)


def _unified(match: re.Match[str], text: str) -> Thread:
    if match["no"]:
        diameter = numbered_sizes().get(int(match["no"]), Fraction(0))
    elif match["num"]:
        whole, part = int(match["whole"] or 0), (int(match["num"]), int(match["den"]))
        diameter = whole + Fraction(*part) if part[1] else Fraction(0)
    else:
        diameter = Fraction(match["d"])
    turns = Fraction(match["tpi"])
    if not 0 < diameter <= 6 or turns <= 0 or 1 / turns > diameter / 3:
        raise ThreadError(
            f"`{text}` is no inch thread: diameter or threads per inch are out of range",
            "write diameter, dash, threads per inch: `1/4-20 UNC`, `#10-32 UNF`",
        )
    return Thread("inch", diameter * _INCH_MM, _INCH_MM / turns)


@cache
def coarse_pitches() -> dict[Fraction, Fraction]:
    """The coarse pitch (mm) of each metric diameter (mm), ISO 261."""
    return {
        Fraction(row["diameter_mm"]): Fraction(row["pitch_mm"])
        for row in _rows("coarse_pitches.csv")
    }


@cache
def numbered_sizes() -> dict[int, Fraction]:
    """The diameter (in) of each numbered size, ASME B1.1."""
    return {int(row["number"]): Fraction(row["diameter_in"]) for row in _rows("numbered_sizes.csv")}


def _rows(name: str) -> list[dict[str, str]]:
    text = files(__package__).joinpath(name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


def _plain(number: Fraction) -> str:
    return f"{float(number):.4f}".rstrip("0").rstrip(".")


def _inches(size: Fraction) -> str:
    for number, diameter in numbered_sizes().items():
        if diameter == size:
            return f"#{number}"
    whole, rest = divmod(size, 1)
    if not rest:
        return str(whole)
    return f"{whole} {rest}" if whole else str(rest)
