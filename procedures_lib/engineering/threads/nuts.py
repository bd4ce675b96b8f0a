"""Nuts: their classes, their proof stress, and the bolts they go with (ISO 898-2, SAE J995)."""

from __future__ import annotations

import re
from dataclasses import dataclass

from procedures_lib.data_tables import csv_rows
from procedures_lib.engineering.threads.bolt_grades import (
    GradeError,
    Strength,
    plain_words,
    stainless_name,
    strength,
)
from procedures_lib.engineering.threads.designation import INCH, PSI, Thread, is_coarse, within
from procedures_lib.spelling import nearest

_CLASS = re.compile(r"(?:class )?(\d+)(?:\.\d)?$")
_INCH_GRADE = re.compile(r"(?:sae )?(?:j ?995 )?(?:grade|gr\.?) ?(\d)(?:\.\d)?$")
_THIN = ("04", "05")
_BOLTS = {"5": "5.8", "6": "6.8", "8": "8.8", "9": "9.8", "10": "10.9", "12": "12.9"}
"""The strongest bolt that a nut of each class goes with (ISO 898-2, clause 6)."""


@dataclass(frozen=True, slots=True)
class Nut:
    """A nut of one class and size.

    ``proof_stress`` (MPa), over the stress area of the bolt's thread, is what its threads bear;
    None where the standard has no figure for the size. ``source`` names the standard.
    """

    grade: str
    proof_stress: float | None
    source: str


def nut(grade: str, thread: Thread) -> Nut | None:
    """The nut of this class (``8``, ``grade 8``, ``A2-70``); None for "" and "unknown".

    The class of the bolt (``8.8``) is read as that of the nut that goes with it, as people write it
    so. Raises :class:`GradeError`.
    """
    kind, name = _read(grade)
    if kind == "none":
        return None
    if kind == "stainless":
        return Nut(name, float(name.split("-")[1]) * 10, "ISO 3506-2")
    if kind == "inch":
        return Nut(f"grade {name}", _inch_proof(name, thread), "SAE J995")
    stress, source = _metric_proof(name, thread)
    return Nut(name, stress, source)


def goes_with(bolt: str, nut: str) -> bool:
    """Whether a nut is strong enough that the bolt breaks before the nut's thread strips.

    ISO 898-2, clause 6: a nut of class X goes with bolts up to X.y, and a stronger nut may take a
    weaker one's place. The numbers of SAE J429 and J995, and the classes of ISO 3506, pair the same
    way. True when either is not known, or they are of different standards: nothing can be said.
    """
    try:
        (bolt_kind, bolt_name), (nut_kind, nut_name) = _read(bolt), _read(nut)
    except GradeError:
        return True
    if "none" in (bolt_kind, nut_kind) or bolt_kind != nut_kind:
        return True
    if nut_name in _THIN:
        return False
    return _rank(nut_name) >= _rank(bolt_name)


def is_thin(grade: str) -> bool:
    """Whether it is the class of a thin nut (``04``, ``05``; ISO 898-2), as lock nuts are."""
    return plain_words(grade) in _THIN


def is_weaker_nut(grade: str, other: str) -> bool:
    """Whether a nut of the one class goes with fewer bolts than one of the other.

    False when either is not known, and for classes of two standards, which are not compared.
    """
    return plain_words(grade) != plain_words(other) and not goes_with(other, grade)


def bolt_for(grade: str, thread: Thread) -> Strength | None:
    """The strongest bolt that a nut of this class goes with; None when nothing can be said.

    Raises :class:`GradeError`.
    """
    kind, name = _read(grade)
    if kind == "none" or name in _THIN:
        return None
    if kind == "inch" and thread.family == "inch":
        return strength(f"grade {name}", thread)
    if kind == "metric":
        return strength(_BOLTS[name], thread)
    return strength(name, thread) if kind == "stainless" else None


def _read(grade: str) -> tuple[str, str]:
    """The kind of a grade (metric, inch, stainless, none) and its name."""
    text = plain_words(grade)
    if text in ("", "unknown"):
        return "none", ""
    if match := _INCH_GRADE.match(text):
        return "inch", _at_least(match[1], ("2", "5", "8"), grade)
    if name := stainless_name(text):
        return "stainless", name
    if text in _THIN:
        return "metric", text
    if match := _CLASS.match(text):
        return "metric", _at_least(match[1], tuple(_BOLTS), grade)
    raise _no_class(grade)


def _at_least(number: str, names: tuple[str, ...], grade: str) -> str:
    """The class by its number, or the lowest that serves a bolt of that number (4.6: a nut 5)."""
    if number in names:
        return number
    for name in names:
        if int(name) > int(number) and not grade.strip().isdigit():
            return name
    raise _no_class(grade)


def _no_class(grade: str) -> GradeError:
    near = nearest(grade.strip(), [*_THIN, *_BOLTS, "grade 2", "grade 5", "grade 8"])
    hint = "write `8` (ISO 898-2), `grade 8` (SAE J995), `A2-70` (ISO 3506-2) or `unknown`"
    if near:
        hint = f"did you mean `{near}`?"
    return GradeError(f"`{grade.strip()}` is no class of a nut", hint)


def _rank(name: str) -> int:
    return int(name.rsplit("-", 1)[-1])


def _metric_proof(name: str, thread: Thread) -> tuple[float | None, str]:
    series = "coarse" if is_coarse(thread) else "fine"
    for row in csv_rows(__package__, "iso_898_2.csv"):
        holds = within(thread.diameter, row["over_mm"], row["to_mm"])
        if row["class"] == name and row["series"] in ("", series) and holds:
            return float(row["proof_MPa"]), row["source"]
    return None, "ISO 898-2"


def _inch_proof(name: str, thread: Thread) -> float | None:
    """Fine is UNF and all with as many turns; J995 puts 8 threads per inch beside UNC."""
    series = "coarse" if is_coarse(thread) or thread.pitch == INCH / 8 else "fine"
    for row in csv_rows(__package__, "sae_j995.csv"):
        holds = within(thread.diameter / INCH, row["over_in"], row["to_in"])
        if row["grade"] == name and row["series"] == series and holds:
            return float(row["proof_psi"]) * PSI
    return None
