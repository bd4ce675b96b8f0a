"""Whether a field agrees with what a source prints of it, each kind of value by its own rule."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from procedures_lib.engineering.quantities import Quantity, agrees, quantity_of
from procedures_lib.language.entities.field_types import WrittenThread
from procedures_lib.language.entities.printed import Path, field_value, paths_of, shown
from procedures_lib.language.entities.work import Printed
from procedures_lib.language.variants import Condition
from procedures_lib.language.variants.car_sets import Space

_IN_ORDER = frozenset({"with_"})
"""Lists whose order says something; of any other a source may have another."""
_SOME_OF = frozenset({"conditions", "positions", "options"})
"""Mappings of which a source may print a part."""


def disagreement(printed: Printed, thing: Any, kind: str, space: Space) -> str:
    """Return what a source prints of a field and what the block says; "" when they agree."""
    path = paths_of(kind)[printed.name]
    value = field_value(thing, path)
    if _same(printed.value, value, path, space):
        return ""
    prefix = "" if printed.name == "quantity" else f"{printed.name} "
    says = f"the block says {shown(value)}" if shown(value) else f"the block has no {printed.name}"
    if kind == "step":
        says = says.replace("the block", "the step")
    return f"the source prints {prefix}{shown(printed.value)}, {says}"


def _same(printed: Any, value: Any, path: Path, space: Space) -> bool:
    if value is None or isinstance(printed, Quantity) or isinstance(value, Quantity):
        return _same_quantity(printed, value)
    if isinstance(printed, WrittenThread):
        return bool(printed.thread == value.thread)
    if isinstance(printed, Condition):
        return bool(space.region(printed) == space.region(value))
    if isinstance(printed, tuple):
        return _same_list(printed, value, path[-1])
    return _same_text(printed, str(value)) if isinstance(printed, str) else bool(printed == value)


def _same_quantity(printed: Any, value: Any) -> bool:
    if not (isinstance(printed, Quantity) and isinstance(value, Quantity)):
        return bool(printed == value)
    if printed.kind != value.kind or (printed.kind == "octane" and printed.unit != value.unit):
        return False
    return agrees(printed, value)


def _same_text(printed: str, value: str) -> bool:
    """Tell whether two texts say the same: as quantities if both are, else word for word."""
    if _plain(printed) == _plain(value):
        return True
    first, second = quantity_of(printed), quantity_of(value)
    return first is not None and second is not None and _same_quantity(first, second)


def _same_list(printed: tuple[Any, ...], value: tuple[Any, ...], name: str) -> bool:
    if any(isinstance(each, tuple) for each in (*printed, *value)):
        return _same_pairs(dict(printed), dict(value), name)
    if name in _IN_ORDER:
        return list(map(_plain, printed)) == list(map(_plain, value))
    return _sorted(printed) == _sorted(value)


def _same_pairs(printed: dict[Any, Any], value: dict[Any, Any], name: str) -> bool:
    """Tell whether two mappings say the same: key by key, all keys or those that are printed."""
    if not printed.keys() <= value.keys() or (name not in _SOME_OF and len(printed) < len(value)):
        return False
    return all(_same_item(each, value[key]) for key, each in printed.items())


def _same_item(printed: Any, value: Any) -> bool:
    if isinstance(printed, str) and isinstance(value, str):
        return _same_text(printed, value)
    return _same_quantity(printed, value)


def _plain(words: Any) -> str:
    return " ".join(str(words).casefold().split())


def _sorted(words: Iterable[Any]) -> list[str]:
    return sorted(map(_plain, words))
