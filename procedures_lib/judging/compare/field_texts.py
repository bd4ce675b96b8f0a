"""What an entity says, field by field, in the writer's own figures, and where it stands."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

from procedures_lib.engineering.quantities import Quantity, QuantityError
from procedures_lib.engineering.tightening import Stage
from procedures_lib.findings import Place
from procedures_lib.language.entities.base import Entity, Model, fields_of
from procedures_lib.language.entities.builder import COLLECTIONS
from procedures_lib.language.entities.car import Vehicle
from procedures_lib.language.entities.content import Content
from procedures_lib.language.entities.dyno_session import DynoSession
from procedures_lib.language.entities.field_types import WrittenThread
from procedures_lib.language.reading.page import Block, Scalar

LISTED = frozenset({"contents", "before", "after"})
"""Fields that hold a list of mappings: they are compared item by item."""

REFERENCES = frozenset([
    "held_by", "behind", "on", "replaces", "between", "clamp", "exposed_by", "part", "vehicle",
    "kit", "hazards", "procedures", "procedure", "returns", "begins_with", "order", "fastener",
    "connection",
])  # fmt: skip
"""Fields that may name ids; an order may name the positions instead."""

Said = dict[str, str]


def _same_word(word: str) -> str:
    return word


def said(entity: Entity | Model, word: Callable[[str], str] = _same_word) -> Said:
    """Return the text of every field that says something, by its written name.

    A mapping is taken apart: ``into material``, ``options transmission``. Defaults count as said.
    ``word`` turns each id that is mentioned, for one that was renamed.
    """
    found: Said = {}
    for written, name in fields_of(type(entity)).items():
        if name not in LISTED:
            value = getattr(entity, name)
            value = getattr(entity, "reusable", value) if name == "reuse" else value
            turn = word if name in REFERENCES else _same_word
            found.update((key, text) for key, text in _texts(entity, written, value, turn) if text)
    return found


def _texts(
    owner: Model, field: str, value: Any, word: Callable[[str], str]
) -> Iterator[tuple[str, str]]:
    """Yield a field as texts: one, or one for each key of a mapping."""
    if isinstance(value, Model):
        yield from ((f"{field} {key}", text) for key, text in said(value, word).items())
    elif field == "options" and isinstance(owner, Vehicle):
        yield from ((f"{field} {name}", ", ".join(values)) for name, values in value)
    elif field == "conditions" and isinstance(owner, DynoSession):
        yield from ((f"{field} {name}", text) for name, text in value)
    else:
        yield field, text_of(value, word)


def text_of(value: Any, word: Callable[[str], str] = _same_word) -> str:
    """Return a value of a field as text; "" for none."""
    match value:
        case None:
            return ""
        case bool():
            return "true" if value else "false"
        case WrittenThread():
            return value.written
        case Stage():
            return value.written() + (f" (order {', '.join(value.order)})" if value.order else "")
        case tuple():
            return ", ".join(_item(item, word) for item in value)
    return word(str(value))  # a quantity in its own figures, a date as year-month-day


def _item(item: Any, word: Callable[[str], str]) -> str:
    if isinstance(item, tuple):
        name, rest = item
        return f"{name}: {_point(rest)}" if name else _point(rest)
    return text_of(item, word)


def _point(value: Any) -> str:
    if isinstance(value, tuple):
        return f"({', '.join(f'{number:g}' for number in value)})"
    return str(value)


def same_amount(old: Any, new: Any) -> bool:
    """Tell whether two values, written differently, are exactly the same amount or thread."""
    if isinstance(old, Quantity) and isinstance(new, Quantity):
        return _equal(old, new)
    if isinstance(old, WrittenThread) and isinstance(new, WrittenThread):
        return old.thread == new.thread
    if isinstance(old, tuple) and isinstance(new, tuple) and len(old) == len(new) > 0:
        pairs = zip(old, new, strict=True)
        return all(isinstance(a, Stage) and isinstance(b, Stage) and _alike(a, b) for a, b in pairs)
    return False


def _alike(old: Stage, new: Stage) -> bool:
    if (old.kind, old.order) != (new.kind, new.order) or (old.amount is None) != (
        new.amount is None
    ):
        return False
    return old.amount is None or new.amount is None or _equal(old.amount, new.amount)


def _equal(old: Quantity, new: Quantity) -> bool:
    try:
        both = new.exact(old.unit), new.exact_nominal(old.unit)
    except QuantityError:
        return False
    return both == ((old.low, old.high), old.nominal)


class Spots:
    """The lines of one page's fields, looked up by the line on which their owner begins."""

    def __init__(self, content: Content) -> None:
        self._page = content.page.name
        self._trees: dict[int, Any] = {}
        for block in content.page.walk():
            self._take(block)

    def _take(self, block: Block) -> None:
        self._trees[block.place.line] = block.data
        if block.name in COLLECTIONS and isinstance(block.data, dict):
            self._trees.update((key.line, tree) for key, tree in block.data.items())

    def place(self, owner: Place, field: str) -> Place:
        """Return the place of a field, such as ``into material``; the owner's if it has none."""
        tree, line = self._trees.get(owner.line), owner.line
        for part in _path(field):
            if not isinstance(tree, dict) or part not in tree:
                break
            key = next(key for key in tree if key == part)
            line, tree = key.line or line, tree[part]
        return Place(self._page, line)

    def raw(self, owner: Place, field: str) -> str:
        """Return the text of a field as it stands on the page, even if it can't be read."""
        tree = self._trees.get(owner.line)
        for part in _path(field):
            tree = tree.get(part) if isinstance(tree, dict) else None
        return _raw(tree)


def _path(field: str) -> list[str]:
    head, _, rest = field.partition(" ")
    return [head, rest] if rest else [head]


def _raw(tree: Any) -> str:
    if isinstance(tree, Scalar):
        return str(tree)
    if isinstance(tree, list):
        return ", ".join(_raw(item) for item in tree)
    if isinstance(tree, dict):
        return ", ".join(f"{key}: {_raw(value)}" for key, value in tree.items())
    return ""
