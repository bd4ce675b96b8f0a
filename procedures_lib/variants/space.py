"""The cars a page holds for: which combinations of options an expression can meet."""

from __future__ import annotations

from itertools import product
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

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
    """Tell whether some car meets the expression, without trying all combinations."""
    values: dict[str, dict[str, None]] = {}
    known = dict(options)
    for option, value in condition.tests():
        values.setdefault(option, dict.fromkeys(known.get(option) or ("",)))
        if option not in known:
            values[option][value] = None
    return _can_hold(condition, values, {})


def _can_hold(
    condition: Condition, values: Mapping[str, Iterable[str]], car: dict[str, str]
) -> bool:
    verdict = _verdict(condition, car)
    if not isinstance(verdict, str):
        return verdict
    return any(_can_hold(condition, values, {**car, verdict: value}) for value in values[verdict])


def _verdict(condition: Condition, car: Mapping[str, str]) -> bool | str:
    """Judge an expression as far as the options of a car are chosen, or name the next to choose."""
    if condition.kind == "test":
        chosen = car.get(condition.option)
        return condition.option if chosen is None else chosen in condition.values
    verdicts = [_verdict(part, car) for part in condition.parts]
    if condition.kind == "not":
        return verdicts[0] if isinstance(verdicts[0], str) else not verdicts[0]
    settled = condition.kind == "or"
    if settled in verdicts:
        return settled
    return next((verdict for verdict in verdicts if isinstance(verdict, str)), not settled)
