"""Text as search terms: words, numbers with their units, threads and part numbers, each one way.

The page's own script does the same to what is typed (``find/words.js`` of the theme); one table of
examples holds both to it.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator
from functools import cache, lru_cache

from procedures_lib.engineering.quantities import KINDS, units_of
from procedures_lib.engineering.quantities.units import AMBIGUITIES

_BETWEEN = re.compile(r"[^\w°%/]|_")
_POUNDS = ("lb", "lbs", "pound", "pounds")
_RAISED = str.maketrans("²³⁻¹", "23-1")


def short_unit(text: str) -> str:
    """Return a unit's spelling in small letters without joiners: ``ft.-lbs`` is "ftlbs"."""
    return _BETWEEN.sub("", text.translate(_RAISED).lower())


@cache
def unit_words() -> dict[str, str]:
    """The short form of every spelling, and of the unit's symbol that it stands for.

    Capitals are lost: where two units then look alike, the first of the unit table stands, so
    that "nm" is the newton metre.
    """
    words: dict[str, str] = {}
    for kind in KINDS:
        for unit in units_of(kind):
            for spelling in unit.spellings:
                words.setdefault(short_unit(spelling), short_unit(unit.symbol))
    return {word: symbol for word, symbol in words.items() if word}


SPOKEN: dict[str, tuple[str, ...]] = {
    **{f"{feet}{pounds}": ("lbfft",) for feet in ("ft", "foot", "feet") for pounds in _POUNDS},
    **{f"{inch}{pounds}": ("lbfin",) for inch in ("in", "inch") for pounds in _POUNDS},
    **dict.fromkeys(("kgm", "mkg", "kpm", "mkp"), ("kgfm",)),
    **dict.fromkeys(("newton", "newtons"), ("n", "nm")),
    **dict.fromkeys(("lt", "ltr", "ltrs"), ("l",)),
}
"""What is said or typed for a unit and is none of its spellings on a page; common practice."""


@cache
def unit_readings() -> dict[str, tuple[str, ...]]:
    """Spellings that two units share in speech (``lb`` as a torque), with the units meant.

    Those of :data:`SPOKEN` are among them: pages have to write the unit, who searches may not.
    """
    readings = dict(SPOKEN)
    for each in AMBIGUITIES:
        for spelling in sorted(each.spellings):
            word = short_unit(spelling)
            if word:
                meant = tuple(map(short_unit, each.readings))
                readings[word] = tuple(dict.fromkeys((*readings.get(word, ()), *meant)))
    return readings


LONGEST = 40
STOP_WORDS = frozenset(
    {"a", "an", "and", "are", "as", "at", "be", "by", "for", "from", "if", "in", "is", "it", "of",
     "on", "or", "that", "the", "then", "this", "to", "with"}
)  # fmt: skip
"""Words that say nothing by themselves."""

_ALIKE = str.maketrans(
    {"×": "x", "–": "-", "—": "-", "−": "-", "‑": "-", "º": "°", "˚": "°", "″": '"', "”": '"',
     "⁄": "/", "’": "'", "₂": "2"}
)  # fmt: skip
_INCHES = re.compile(r'(?<=\d)\s*"')
_COMMA = re.compile(r"(?<=\d),(?=\d)")
_TOLERANCE = re.compile(r"(?<=\d)\s*(?:±|\+/?-)\s*\d+(?:\.\d+)?")
_THREAD = re.compile(r"\b(m\d+(?:\.\d+)?)\s*(?:[x*]\s*(?=\d)|-\s*(?=\d+\.\d))(\d+(?:\.\d+)?)")
_BREAK = re.compile(r"[,;:()?!]")
_CHUNK = re.compile(r"(?:[^\W_]|[°%])+(?:[-.·*⋅∙•/'_]+(?:[^\W_]|[°%])+)*")
_NUMBER = r"\d+(?:\.\d+)?(?:/\d+)?"
_AMOUNT = re.compile(rf"({_NUMBER})(?:-({_NUMBER}))?(?:[-.·]?([^\W\d_°%][^\d]*|[°%].*))?$")
_DECIMAL = re.compile(r"\d+\.\d+$")
_FIGURES = re.compile(rf"{_NUMBER}(?:-{_NUMBER})?$")
_METRIC = re.compile(r"m(\d+(?:\.\d+)?)x(\d+(?:\.\d+)?)$")
_PIECE = re.compile(r"[^\W_]+")
_PLAIN = re.compile(r"(?:[^\W_]|[°%])+$")
_UNIT_CHUNKS = 3


def folded(text: str) -> str:
    """Return a text in small letters without accents, with look-alike signs made one."""
    plain = unicodedata.normalize("NFKD", text.translate(_ALIKE))
    plain = "".join(sign for sign in plain if not unicodedata.combining(sign)).lower()
    plain = _TOLERANCE.sub(" ", _COMMA.sub(".", _INCHES.sub("in", plain)))
    return _THREAD.sub(r"\1x\2", plain)


@lru_cache(maxsize=20_000)
def terms_of(text: str) -> tuple[str, ...]:
    """Return the terms under which a text is found, each once, in the order of the text.

    "10 N·m" and "10Nm" are ``10nm``, "89 in-lb" is ``89lbfin``, "M8x1.25" is ``m8x1.25`` and
    ``m8``, "TF-220-07" is ``tf22007``; other words stand as they are, hyphenated ones also
    in one. Words that say nothing are left out.
    """
    phrases = _BREAK.split(folded(text))
    found = (term[:LONGEST] for phrase in phrases for term in _terms(_CHUNK.findall(phrase)))
    return tuple(dict.fromkeys(term for term in found if term not in STOP_WORDS))


def terms_of_all(texts: Iterable[str]) -> tuple[str, ...]:
    """Return the terms of several texts, each once; a number and a unit of two texts stay two."""
    return tuple(dict.fromkeys(term for text in texts if text for term in terms_of(text)))


def _terms(chunks: list[str]) -> Iterator[str]:
    at = 0
    while at < len(chunks):
        amount, taken = _amount(chunks, at)
        if taken:
            yield from amount
            at += taken
        else:
            yield from _word(chunks[at])
            at += 1


def _amount(chunks: list[str], at: int) -> tuple[list[str], int]:
    """The terms of a number with its unit, and how many chunks they take; 0 if it is none."""
    match = _AMOUNT.match(chunks[at])
    if match is None:
        return [], 0
    numbers = [plain_number(number) for number in match.groups()[:2] if number]
    own = match[3] or ""
    for more in range(min(_UNIT_CHUNKS, len(chunks) - at - 1), -1, -1):
        unit = unit_words().get(short_unit(own + "".join(chunks[at + 1 : at + 1 + more])))
        if unit and (own or more):
            return [number + unit for number in numbers], more + 1
    return [], 0


def plain_number(text: str) -> str:
    """Return a number without zeros at its end: ``1.50`` is "1.5"."""
    return text.rstrip("0").rstrip(".") if _DECIMAL.match(text) else text


def _word(chunk: str) -> Iterator[str]:
    if thread := _METRIC.match(chunk):
        diameter = plain_number(thread[1])
        yield f"m{diameter}x{plain_number(thread[2])}"
        yield f"m{diameter}"
    elif _PLAIN.match(chunk) or _FIGURES.match(chunk):
        yield plain_number(chunk)
    else:
        yield from _compound(chunk)


def _compound(chunk: str) -> Iterator[str]:
    """A word with hyphens or the like: a part number in one, other words in one and apart."""
    pieces = _PIECE.findall(chunk)
    yield "".join(pieces)
    lettered = any(piece.isalpha() and len(piece) > 2 for piece in pieces)
    if lettered or not any(map(str.isdigit, chunk)):
        yield from pieces
