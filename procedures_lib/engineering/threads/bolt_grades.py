"""Grades of bolts and screws, and their strength: ISO 898-1, ISO 3506-1, SAE J429."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from procedures_lib.data_tables import csv_rows
from procedures_lib.engineering.threads.designation import INCH, PSI, Thread, in_inches, within
from procedures_lib.findings import SlipError
from procedures_lib.spelling import choices, likely_first

_CLASS = re.compile(r"(?:class|grade|gr\.?|iso 898-1)? ?(\d+[.,]\d)$")
_INCH_GRADE = re.compile(r"(?:sae )?(?:j ?429 )?(?:grade|gr\.?) ?(\d(?:\.\d)?)$")
_STAINLESS = re.compile(r"([acdf]\d)l?[- ]?(\d{2,3})$")
_REDUCED = re.compile(r"0(?:\d+\.\d)$")
_NEAR = 5
_OTHER = "write `unknown` for what these standards do not list"


class GradeError(SlipError):
    """A grade that does not exist, or not for this thread; ``hint`` says what to write."""

    def __init__(self, message: str, hint: str) -> None:
        super().__init__("unknown-class", message, hint)


@dataclass(frozen=True, slots=True)
class Strength:
    """What a grade of bolt or screw bears at least, in MPa.

    ``proof_stress`` is what it bears without staying longer; for stainless steel, which has no
    proof load, the 0.2 % proof stress. ``yield_stress`` is the lower yield point or the 0.2 %
    proof stress. ``source`` names the standard.
    """

    grade: str
    proof_stress: float
    yield_stress: float
    tensile_strength: float
    source: str


@dataclass(frozen=True, slots=True)
class Grade:
    """One row of a standard's table: the strength of a grade over a range of sizes.

    ``over`` and ``to`` bound the diameter in mm ("" where the standard sets no bound).
    """

    standard: str
    over: str
    to: str
    strength: Strength


@cache
def grades() -> dict[str, tuple[Grade, ...]]:
    """Every grade by its name, with a row for each range of sizes."""
    metric = _by_size("iso_898_1.csv", "ISO 898-1", ("mm", Fraction(1)), ("MPa", 1.0))
    inch = _by_size("sae_j429.csv", "SAE J429", ("in", INCH), ("psi", PSI))
    table: dict[str, tuple[Grade, ...]] = {}
    for row in (*metric, *inch, *_stainless()):
        table[row.strength.grade] = (*table.get(row.strength.grade, ()), row)
    return table


def _by_size(
    file: str, standard: str, length: tuple[str, Fraction], stress: tuple[str, float]
) -> Iterator[Grade]:
    """The rows of a table; ``length`` and ``stress`` are its units, and how many mm and MPa."""
    for row in csv_rows(__package__, file):
        over, to = (
            str(Fraction(end) * length[1]) if end else ""
            for end in (row[f"over_{length[0]}"], row[f"to_{length[0]}"])
        )
        proof, yielding, tensile = (
            float(row[f"{kind}_{stress[0]}"]) * stress[1] for kind in ("proof", "yield", "tensile")
        )
        strength = Strength(row["grade"], proof, yielding, tensile, row["source"])
        yield Grade(standard, over, to, strength)


def _stainless() -> Iterator[Grade]:
    for row in csv_rows(__package__, "iso_3506_1.csv"):
        proof, tensile = float(row["proof_MPa"]), float(row["tensile_MPa"])
        for steel in row["steels"].split():
            name = f"{steel}-{row['class']}"
            yield Grade("ISO 3506-1", "", "", Strength(name, proof, proof, tensile, row["source"]))


def strength(grade: str, thread: Thread) -> Strength | None:
    """The strength of a bolt of this grade and size.

    None for "" and "unknown", and for heads of reduced loadability (``08.8``; ISO 898-1),
    whose proof stress the standard leaves open. A property class of ISO 898-1 is let pass on an
    inch thread, as studs are sold so. Raises :class:`GradeError`.
    """
    name = _name(grade)
    if name in ("", "unknown") or _REDUCED.match(name):
        return None
    if name not in grades():
        raise GradeError(f"`{grade.strip()}` is no grade of a bolt", _hint(name, thread))
    _refuse_metric(name, grades()[name][0], thread)
    for row in grades()[name]:
        if within(thread.diameter, row.over, row.to):
            return row.strength
    raise _too_large(name, thread)


def is_weaker(grade: str, other: str) -> bool:
    """Whether a bolt of the one grade bears less than one of the other (proof stress).

    False when either is not known, and for grades of two standards, which are not compared.
    """
    rows = [grades().get(_name(each)) for each in (grade, other)]
    if rows[0] is None or rows[1] is None or rows[0][0].standard != rows[1][0].standard:
        return False
    return rows[0][0].strength.proof_stress < rows[1][0].strength.proof_stress


def plain_words(written: str) -> str:
    """What was written, in small letters, without quotes and double spaces."""
    return " ".join(written.strip().strip("\"'").lower().split())


def stainless_name(text: str) -> str:
    """A class of stainless steel as ISO 3506 writes it: ``a4l 80`` is "A4-80"; "" for others."""
    match = _STAINLESS.match(text)
    return f"{match[1].upper()}-{match[2]}" if match else ""


def _name(written: str) -> str:
    """The grade as the standards write it, or what was written, in small letters."""
    text = plain_words(written)
    if match := _INCH_GRADE.match(text):
        name = f"grade {match[1]}"
        if name in grades() or "." not in match[1]:
            return name
    if match := _CLASS.match(text):
        return match[1].replace(",", ".")
    return stainless_name(text) or text


def _hint(name: str, thread: Thread) -> str:
    if re.fullmatch(r"\d+", name):
        return _bare_number(name, thread)
    if re.fullmatch(r"[acdf]\d", name):
        return f"write the strength class too, as on the head: `{name.upper()}-70` (ISO 3506-1)"
    if re.search(r"\d", name):
        likely = choices(likely_first(name, grades()), _NEAR)
        return f"look at the mark on the head: {likely}; {_OTHER}"
    return f"write `8.8` (ISO 898-1), `grade 5` (SAE J429) or `A2-70` (ISO 3506-1); {_OTHER}"


def _bare_number(name: str, thread: Thread) -> str:
    if thread.family == "inch" and f"grade {name}" in grades():
        return f"write `grade {name}` (SAE J429)"
    classes = [known for known in grades() if known.startswith(f"{name}.")]
    if classes:
        listed = " or ".join(f"`{known}`" for known in classes)
        return f"one number is the class of a nut; write {listed} for a bolt (ISO 898-1)"
    return f"one number is the class of a nut (ISO 898-2); {_OTHER}"


def _refuse_metric(name: str, row: Grade, thread: Thread) -> None:
    if row.standard == "SAE J429" and thread.family == "metric":
        raise GradeError(
            f"`{name}` is a grade of SAE J429 for inch threads, and the thread is {thread}",
            "write the class on the head, such as `8.8` (ISO 898-1), or correct the thread",
        )


def _too_large(name: str, thread: Thread) -> GradeError:
    row = grades()[name][-1]
    end = Fraction(row.to)
    size = f"{in_inches(end / INCH)} in" if thread.family == "inch" else f"M{float(end):g}"
    return GradeError(
        f"{row.standard} has `{name}` up to {size}, and the thread is {thread}",
        "look at the mark on the head, or correct the thread",
    )
