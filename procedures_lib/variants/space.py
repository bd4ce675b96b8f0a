"""The cars a page holds for: which combinations of options an expression can meet."""

from __future__ import annotations

from itertools import product
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from procedures_lib.variants.condition import Condition

Options = tuple[tuple[str, tuple[str, ...]], ...]
"""The options of a car, each with its values."""


def cars(conditions: tuple[Condition, ...], options: Options) -> Iterator[Mapping[str, str]]:
    """Yield every combination of those options that the expressions name.

    An option that the car does not have takes the values that the expressions name, and one more.
    """
    known = dict(options)
    tests = sorted({test for condition in conditions for test in condition.tests()})
    named = dict.fromkeys(option for option, _ in tests)
    values = [
        known.get(option) or ("", *(value for name, value in tests if name == option))
        for option in named
    ]
    for chosen in product(*values):
        yield dict(zip(named, chosen, strict=True))


def possible(condition: Condition, options: Options) -> bool:
    """Tell whether some car meets the expression."""
    return any(condition.holds(car) for car in cars((condition,), options))
