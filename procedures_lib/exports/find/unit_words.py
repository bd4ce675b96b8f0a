"""Units as a searcher spells them: every spelling of the unit table, in one short form each."""

from __future__ import annotations

import re
from functools import cache

from procedures_lib.quantities import KINDS, units_of
from procedures_lib.quantities.units import AMBIGUITIES

_BETWEEN = re.compile(r"[^\w°%/]|_")
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


@cache
def unit_readings() -> dict[str, tuple[str, ...]]:
    """Spellings that two units share in speech (``lb`` as a torque), with the units meant."""
    readings: dict[str, tuple[str, ...]] = {}
    for each in AMBIGUITIES:
        for spelling in sorted(each.spellings):
            word = short_unit(spelling)
            if word:
                meant = tuple(map(short_unit, each.readings))
                readings[word] = tuple(dict.fromkeys((*readings.get(word, ()), *meant)))
    return readings
