"""Whether pulls may be compared: what was the same for all of them, what was not."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from procedures_lib.engineering.dyno.limits import TYRE_PRESSURE_KPA
from procedures_lib.engineering.quantities import QuantityError, quantity_of

MUST_AGREE = ("gear", "fuel", "tyre-pressure", "dyno", "correction", "rollers")
"""Conditions that have to be the same for every pull of a comparison."""

MUST_BE_KNOWN = ("gear", "fuel")
"""Conditions that have to be written down, whatever the dyno."""

TYRES = "tyre-pressure"
"""What should be known on a chassis dyno, where the tyres are part of what is measured."""


@dataclass(frozen=True, slots=True)
class Difference:
    """A condition that differs between two pulls; "" where one does not say it."""

    name: str
    first: str
    other: str
    grave: bool


def tidy(conditions: Iterable[tuple[str, str]]) -> dict[str, str]:
    """Return conditions by their names in kebab-case: ``Tyre pressure`` is ``tyre-pressure``."""
    return {
        "-".join(name.lower().replace("_", " ").replace("-", " ").split()).replace("tire", "tyre"):
        text.strip() for name, text in conditions
    }  # fmt: skip


def missing(conditions: Mapping[str, str]) -> Iterator[str]:
    """Yield the names of conditions that a comparison can't do without."""
    yield from (name for name in MUST_BE_KNOWN if not conditions.get(name))


def differences(first: Mapping[str, str], other: Mapping[str, str]) -> Iterator[Difference]:
    """Yield what two pulls do not have in common; ``grave`` what forbids to compare them."""
    for name in dict.fromkeys([*first, *other]):
        one, two = first.get(name, ""), other.get(name, "")
        if not same(name, one, two):
            yield Difference(name, one, two, name in MUST_AGREE)


def same(name: str, one: str, other: str) -> bool:
    """Tell whether two texts say the same of a condition: 240 kPa is 2.4 bar.

    A tyre pressure may differ by 10 kPa (0.1 bar), all else has to be equal.
    """
    if " ".join(one.casefold().split()) == " ".join(other.casefold().split()):
        return True
    first, second = quantity_of(one), quantity_of(other)
    if first is None or second is None or first.kind != second.kind:
        return False
    try:
        there = second.exact_nominal(first.unit)
    except QuantityError:  # AKI and RON
        return False
    if name == TYRES and first.kind == "pressure":
        return abs(first.si - second.si) <= TYRE_PRESSURE_KPA * 1000 + 1e-6
    return there == first.nominal
