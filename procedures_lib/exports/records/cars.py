"""The car of a record: what it states of its options, and what that settles."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.exports.records.fields import member
from procedures_lib.exports.records.saying import RecordFinding, warning
from procedures_lib.findings import suggestion
from procedures_lib.variants import ALWAYS, Condition
from procedures_lib.variants.space import possible

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from procedures_lib.variants.space import Options


def applies(condition: Condition, car: Mapping[str, str], options: Options) -> bool | None:
    """Tell whether a condition holds on a car; None where an option that it needs is not stated."""
    chosen = ALWAYS
    for option, values in options:
        if car.get(option) in values:
            chosen &= Condition("test", option, (car[option],))
    if not possible(condition & chosen, options):
        return False
    return None if possible(Condition("not", parts=(condition,)) & chosen, options) else True


def check_car(
    car: Mapping[str, str], options: Options, conditions: Iterable[Condition]
) -> Iterator[RecordFinding]:
    """Yield what is wrong with the options that a record states."""
    known = dict(options)
    for option, value in car.items():
        path = member("$.car", option)
        if option not in known:
            yield RecordFinding(
                path,
                "unknown-option",
                f"this car has no option `{option}`",
                suggestion(option, known) or "leave it out: this car has no options",
            )
        elif value not in known[option]:
            yield RecordFinding(
                path,
                "unknown-option",
                f"`{option}` is never `{value}`",
                suggestion(value, known[option]),
            )
    named = {option for condition in conditions for option in condition.options}
    for option, values in options:
        if option in named and option not in car:
            yield warning(
                "$.car",
                "car-not-stated",
                f"`{option}` is not stated: what depends on it is not asked for",
                f"state it: {', '.join(values)}",
            )
