"""Quantities typed by hand in running text.

A false alarm is worse than a miss here: a number counts only when an allow-listed unit follows it
as a word of its own, and when no label stands before it (``step 4``, ``page 7``, ``Type 2 V``).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from procedures_lib.engineering.quantities.units import all_spellings, unit_spelled

_NUMBER = r"[0-9]{1,12}(?:[ -][0-9]{1,4}/[0-9]{1,4}|/[0-9]{1,4}|[.,][0-9]{1,12})?"
_JOINT = r"\s?(?:±|\+/-|–|—|-|to)\s?"
_LABELS = (
    "step|page|figure|fig\\.?|table|row|line|section|chapter|clause|appendix|item|no\\.?|number"
    "|type|class|grade|stage|revision|version|dot"
)
_LABEL_BEFORE = re.compile(rf"\b(?:{_LABELS})\s$", re.IGNORECASE)
_LONGEST_LABEL = 12
_DIGIT = re.compile(r"[0-9]")
_PROSE_ONLY_ELSEWHERE = {'"', "#", "rev"}
_AFTER_INCHES = re.compile(r"\s*(?:$|[.;:)\]](?:\s|$))")
_AFTER_TURN = re.compile(r"\s(?:signal|lamp|light|indicator)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class TypedQuantity:
    """A quantity in running text: where it starts and ends, what it says, and of which kind."""

    start: int
    end: int
    text: str
    kind: str


@cache
def _pattern() -> re.Pattern[str]:
    words = sorted(set(all_spellings()) - _PROSE_ONLY_ELSEWHERE, key=len, reverse=True)
    units = "|".join(_unit_pattern(word) for word in words)
    return re.compile(
        rf"(?<![\w.,:/+−±–-])[-−+]?(?P<number>{_NUMBER})(?:{_JOINT}{_NUMBER})?\s?"
        rf"(?P<unit>{units})(?![\w°*/·⋅]|[-'’][A-Za-z0-9])"
    )


def _unit_pattern(word: str) -> str:
    if word == "°":
        return r"°(?!\s?[CF]\b)"
    loose = re.sub("°(?=.)", r"°\\s?", re.escape(word))
    return loose.replace("·", r"\s?[ .*·⋅-]\s?")


def find_quantities(text: str) -> tuple[TypedQuantity, ...]:
    """Return the quantities typed in a piece of prose, in order, in time linear in its length."""
    found: list[TypedQuantity] = []
    if not _DIGIT.search(text):
        return ()
    for match in _pattern().finditer(text):
        unit = unit_spelled(match["unit"])
        if unit is not None and _counts(text, match, unit.symbol):
            found.append(TypedQuantity(match.start(), match.end(), match[0], unit.kind))
    return tuple(found)


def _counts(text: str, match: re.Match[str], symbol: str) -> bool:
    before = text[max(0, match.start() - _LONGEST_LABEL) : match.start()]
    if _LABEL_BEFORE.search(before):
        return False
    whole = match["number"].isdigit()
    if match["unit"] == "in" and whole:
        return _AFTER_INCHES.match(text, match.end()) is not None
    if match["unit"] == "turn":
        single = not whole or match["number"] == "1"
        return single and not _AFTER_TURN.match(text, match.end())
    return True


_COUNTED = (
    "one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|thirteen|fourteen|fifteen"
    "|sixteen|seventeen|eighteen|nineteen|twenty|thirty|forty|fifty|sixty|seventy|eighty|ninety"
    "|hundred|thousand|half|quarter|third|dozen"
)
_SPOKEN_UNITS = {
    "torque": r"newton[\s-]?met(?:re|er)s?|(?:foot|inch)[\s-]pounds?"
    r"|pound[\s-](?:foot|feet|inch(?:es)?)",
    "length": r"(?:milli|centi)met(?:re|er)s?"
    r"|inch(?:es)?(?![\s-](?:drive|square|socket|ratchet|extension|wrench|breaker|bit)s?\b)",
    "volume": r"(?:milli)?lit(?:re|er)s?|quarts?",
    "pressure": r"kilopascals?|(?<!one\s)bar|psi",
    "distance": r"kilomet(?:re|er)s?|miles?",
    "mass": r"kilograms?|kilos?|grams?|pounds?",
    "voltage": r"volts?",
    "angle": r"degrees?(?!\s(?:celsius|fahrenheit|c\b|f\b|of frost|cold|warm))",
}
"""Units that a hand measures with. Times and turns in words are loose speech: "half a minute"."""

_SPOKEN = re.compile(
    rf"\b(?:{_COUNTED})(?:[\s-](?:(?:and|a|an|of|point)\s)*(?:{_COUNTED}))*"
    r"[\s-](?:(?:and|a|an|of)\s)*"
    + f"(?:{'|'.join(f'(?P<{kind}>{unit})' for kind, unit in _SPOKEN_UNITS.items())})\\b",
    re.IGNORECASE,
)
_STEMS = (
    "newton", "foot", "inch", "pound", "metre", "meter", "litre", "liter", "quart", "pascal", "bar",
    "psi", "kilo", "mile", "gram", "volt", "degree",
)  # fmt: skip
"""A part of each unit's name, which is looked for first."""

_FURTHER = re.compile(
    r"\b(?:further|another|again by|by another)\s(?:a\s|by\s)*(?:half|quarter|third|sixth)\s"
    r"(?:of\s)?(?:a\s)?turn\b"
    r"|\b(?:half|quarter|third|sixth)\s(?:of\s)?(?:a\s)?turn\s(?:further|more)\b",
    re.IGNORECASE,
)
_BARE = re.compile(
    r"\b(?:torqued?|tighten(?:ed)?|nip(?:ped)?|pull(?:ed)?)\b[^.;:!?]{0,40}?\s(?:to|at)\s"
    r"(?P<number>[0-9]{1,3}(?:[.,][0-9]{1,2})?)(?=\s*(?:[.;:,)](?:\s|$)|$)|\s(?:and|then)\b)",
    re.IGNORECASE,
)


def find_spoken(text: str) -> tuple[TypedQuantity, ...]:
    """Return quantities written in words, and numbers that a wrench is set to without a unit."""
    found: list[TypedQuantity] = []
    low = text.lower()
    if any(stem in low for stem in _STEMS):
        found += [_typed(match, str(match.lastgroup)) for match in _SPOKEN.finditer(text)]
    if " turn" in low:
        found += [_typed(match, "angle") for match in _FURTHER.finditer(text)]
    if _DIGIT.search(text):
        for match in _BARE.finditer(text):
            found.append(TypedQuantity(match.start(), match.end(), match["number"], "torque"))
    return tuple(sorted(found, key=lambda each: each.start))


def _typed(match: re.Match[str], kind: str) -> TypedQuantity:
    return TypedQuantity(match.start(), match.end(), match[0], kind)
