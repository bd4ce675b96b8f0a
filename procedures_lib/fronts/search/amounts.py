"""The amounts of a manual, so that one that is asked for in another unit leads to its rows."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from fractions import Fraction
from functools import cache
from typing import Any

from procedures_lib.engineering.quantities import Unit, units_of
from procedures_lib.engineering.quantities.conversion import TORQUE_UNITS
from procedures_lib.engineering.quantities.units import factor_between
from procedures_lib.engineering.tightening import Stage
from procedures_lib.fronts.search.terms import short_unit, terms_of

Amount = tuple[str, ...]
"""The terms of one amount: as its page writes it, then as it is shown in other units."""

AMOUNT_KINDS = ("torque", "volume", "pressure")
"""The kinds that are asked for in any unit. A length is not: a socket that nearly fits is wrong."""

_TERM = re.compile(r"(\d+(?:\.\d+)?)(\D.*)")
_DIGITS = 9


@cache
def _units() -> dict[str, tuple[int, Unit, float]]:
    """Each unit by its short form: the number of its kind, and its worth in the kind's first."""
    return {
        short_unit(unit.symbol): (n, unit, factor_between(unit.symbol, units_of(kind)[0].symbol))
        for n, kind in enumerate(AMOUNT_KINDS)
        for unit in units_of(kind)
    }


def amounts_in(text: str) -> tuple[Amount, ...]:
    """Return the amounts of a text, each as written: of ``1.2 bar``, ``(("1.2bar",),)``."""
    return tuple((term,) for term in terms_of(text) if _value(term) is not None)


def amounts_of_stages(stages: Iterable[Stage]) -> tuple[Amount, ...]:
    """Return the torques of some stages, each as written and as every row shows it."""
    return tuple(dict.fromkeys(amount for stage in stages for amount in _of_stage(stage)))


def _of_stage(stage: Stage) -> Iterator[Amount]:
    if stage.torque is None:
        return
    units = dict.fromkeys((stage.torque.unit, *TORQUE_UNITS))
    shown = [[amount for (amount,) in amounts_in(stage.in_unit(unit))] for unit in units]
    yield from zip(*shown, strict=False)


def _value(term: str) -> float | None:
    """The worth of a term in the first unit of its kind, None for what is no amount."""
    match = _TERM.fullmatch(term)
    unit = _units().get(match[2]) if match else None
    return float(f"{float(Fraction(match[1])) * unit[2]:.{_DIGITS}g}") if match and unit else None


def amount_tables(amounts: Iterable[Amount]) -> dict[str, Any]:
    """Return what the page's script needs to find an amount that is typed in another unit.

    ``units`` has of each short form ``[kind, symbol, worth in the first unit of the kind]``, and
    ``amounts`` of each kind the amounts as ``[worth, term as written, other terms]``, rising.
    """
    found: list[list[list[Any]]] = [[] for _ in AMOUNT_KINDS]
    for amount in sorted(set(amounts)):
        match = _TERM.fullmatch(amount[0])
        if match and match[2] in _units():
            found[_units()[match[2]][0]].append([_value(amount[0]), *dict.fromkeys(amount)])
    return {
        "units": {
            short: [n, unit.symbol, float(f"{worth:.{_DIGITS}g}")]
            for short, (n, unit, worth) in _units().items()
        },
        "amounts": [sorted(each, key=lambda one: (one[0], one[1])) for each in found],
    }
