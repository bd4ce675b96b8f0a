"""One side of a comparison: what its things say, where that stands, and who works on them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from functools import cached_property
from typing import Any

from procedures_lib.findings import Place
from procedures_lib.judging.compare.change import Use
from procedures_lib.language.entities.builder import COLLECTIONS
from procedures_lib.language.entities.car import Fastener, Vehicle
from procedures_lib.language.entities.dyno_session import DynoSession
from procedures_lib.language.entities.entity import Entity, Model, fields_of
from procedures_lib.language.entities.field_types import WrittenThread
from procedures_lib.language.entities.how_tight import HowTight
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.picture import Picture
from procedures_lib.language.entities.work import Common, Content, Procedure
from procedures_lib.language.reading.page import Scalar
from procedures_lib.manual import Manual, Plan

# -- what a thing says -------------------------------------------------------------------------

LISTED = frozenset({"contents", "before", "after"})
"""Fields that hold a list of mappings: they are compared item by item."""

REFERENCES = frozenset([
    "held_by", "behind", "on", "replaces", "between", "clamp", "exposed_by", "part", "vehicle",
    "kit", "hazards", "procedures", "procedure", "returns", "begins_with", "ends_with", "order",
    "fastener", "connection", "with_", "hidden_by", "closes", "drain", "fill", "shows",
])  # fmt: skip
"""Fields that may name ids; an order may name the positions instead."""

PLAIN = {"count": "1", "qty": "1", "reuse": "true", "turns": "right", "kind": "part"}
"""What is said of most things, and tells nothing of one of them."""


def spaced_once(text: str) -> str:
    """Return a text with single spaces: lines broken elsewhere say the same."""
    return " ".join(text.split())


Texts = dict[str, str]
Word = Callable[[str], str]


def _same_word(word: str) -> str:
    return word


def texts_of(entity: Entity | Model, word: Word = _same_word) -> Texts:
    """Return the text of every field that says something, by its written name.

    A mapping is taken apart: ``into material``, ``options transmission``. Defaults count as said.
    ``word`` turns each id that is mentioned, for one that was renamed.
    """
    found: Texts = {}
    for written, name in fields_of(type(entity)).items():
        if name not in LISTED:
            value = getattr(entity, name)
            value = getattr(entity, "reusable", value) if name == "reuse" else value
            turn = word if name in REFERENCES else _same_word
            found.update((key, text) for key, text in _texts(entity, written, value, turn) if text)
    return found


def traits_of(entity: Entity | Model, word: Word = _same_word) -> Texts:
    """Return what an entity says beyond what is said of most."""
    return {
        field: text for field, text in texts_of(entity, word).items() if PLAIN.get(field) != text
    }


def _texts(owner: Model, field: str, value: Any, word: Word) -> Iterator[tuple[str, str]]:
    """Yield a field as texts: one, or one for each key of a mapping."""
    if isinstance(value, Model):
        yield from ((f"{field} {key}", text) for key, text in texts_of(value, word).items())
    elif field == "options" and isinstance(owner, Vehicle):
        yield from ((f"{field} {name}", ", ".join(values)) for name, values in value)
    elif field == "conditions" and isinstance(owner, DynoSession):
        yield from ((f"{field} {name}", text) for name, text in value)
    elif field == "shows" and isinstance(owner, Picture):
        yield from ((f"{field} {word(str(each.thing))}", str(each)) for each in value)
    elif field == "text":
        yield field, spaced_once(value)
    else:
        yield field, text_of(value, word)


def text_of(value: Any, word: Word = _same_word) -> str:
    """Return a value of a field as text; "" for none."""
    match value:
        case None:
            return ""
        case bool():
            return "true" if value else "false"
        case WrittenThread():
            return value.written
        case HowTight():
            return str(value)
        case tuple():
            return ", ".join(_item(item, word) for item in value)
    return word(str(value))  # a quantity in its own figures, a date as year-month-day


def _item(item: Any, word: Word) -> str:
    if isinstance(item, tuple):
        name, rest = item
        return f"{name}: {_point(rest)}" if name else _point(rest)
    return text_of(item, word)


def _point(value: Any) -> str:
    if isinstance(value, tuple):
        return f"({', '.join(f'{number:g}' for number in value)})"
    return str(value)


# -- where it stands ---------------------------------------------------------------------------


def _trees(content: Content) -> dict[int, Any]:
    """What blocks and entries of blocks say, by the line on which each begins."""
    trees: dict[int, Any] = {}
    for block in content.page.walk():
        trees[block.place.line] = block.data
        if block.name in COLLECTIONS and isinstance(block.data, dict):
            trees.update((key.line, tree) for key, tree in block.data.items())
    return trees


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


# -- who works on it ---------------------------------------------------------------------------

Key = tuple[str, str]
"""(page, id)"""


def key_of(entity: Entity) -> Key:
    """Return what tells an entity from the others of its manual."""
    return entity.place.page, entity.id


class Side:
    """One of the two states: the lines of its fields, and the uses of everything in it."""

    def __init__(self, manual: Manual) -> None:
        self.manual = manual
        self._trees: dict[str, dict[int, Any]] = {}
        self._numbers: dict[Key, dict[int, int]] = {}

    def _tree(self, owner: Place) -> Any:
        if owner.page not in self._trees:
            self._trees[owner.page] = _trees(self.manual.contents[owner.page])
        return self._trees[owner.page].get(owner.line)

    def place(self, owner: Place, field: str) -> Place:
        """Return where a field stands, such as ``into material``; its owner's place without one."""
        tree, line = self._tree(owner), owner.line
        for part in _path(field):
            if not isinstance(tree, dict) or part not in tree:
                break
            key = next(key for key in tree if key == part)
            line, tree = key.line or line, tree[part]
        return Place(owner.page, line)

    def raw(self, owner: Place, field: str) -> str:
        """Return the text of a field as it stands on the page, even if it can't be read."""
        tree = self._tree(owner)
        for part in _path(field):
            tree = tree.get(part) if isinstance(tree, dict) else None
        return _raw(tree)

    def step_number(self, head: Procedure | Common, line: int) -> int:
        """Return the number of the step that begins on a line of a head's page."""
        key = (head.KIND, head.id)
        if key not in self._numbers:
            numbers = self._numbers[key] = {}
            for numbered in self.manual.plan(head).steps:
                own = numbered.through or numbered.step
                numbers.setdefault(own.place.line, numbered.number)
        return self._numbers[key].get(line, 0)

    def users(self, entity: Entity, verbs: tuple[str, ...] = ()) -> tuple[Use, ...]:
        """Return who works on a thing with some verbs; with any when nobody does with these."""
        steps: dict[str, set[int]] = defaultdict(set)
        found = self._index.get(key_of(entity), ())
        for procedure, _, number in [use for use in found if use[1] in verbs] or found:
            steps[procedure].add(number)
        return tuple(Use(name, tuple(sorted(each))) for name, each in sorted(steps.items()))

    def kits(self, entity: Entity, used: Iterable[Use]) -> tuple[str, ...]:
        """Return the kits that hold a thing, and those of the procedures that use it."""
        theirs = {kit for use in used if (kit := self._kit_of.get(use.procedure))}
        return tuple(sorted(self._kits_by_thing.get(key_of(entity), set()) | theirs))

    @cached_property
    def _index(self) -> dict[Key, list[tuple[str, str, int]]]:
        """Procedure, verb and number of the step of all that is done to each thing."""
        found: dict[Key, list[tuple[str, str, int]]] = defaultdict(list)
        for plan in self.manual.plans():
            known: dict[str, tuple[Key, ...]] = {}
            for numbered in plan.steps:
                for action in numbered.step.actions:
                    for name in map(str, action.objects):
                        if name not in known:
                            known[name] = self.keys(name, plan)
                        for key in known[name]:
                            found[key].append((plan.head.id, str(action.verb), numbered.number))
        return found

    def keys(self, name: str, plan: Plan) -> tuple[Key, ...]:
        """Return the thing that a name means, and the joint whose torque it has taken over."""
        entity = plan.scope.get(name)
        if entity is None:
            return ()
        base = self._joint_before(entity, plan)
        return (key_of(entity), key_of(base)) if base else (key_of(entity),)

    def _joint_before(self, entity: Entity, plan: Plan) -> Fastener | None:
        if not isinstance(entity, Fastener) or not entity.how_tight:
            return None
        own = self.written.get(key_of(entity))
        if isinstance(own, Fastener) and own.how_tight:
            return None
        items = plan.kit.contents if plan.kit else ()
        listed = (item.replaces for item in items if item.what == entity.id and item.replaces)
        before = next(listed, entity.replaces)
        return plan.scope.of(Fastener, str(before)) if before else None

    @cached_property
    def written(self) -> dict[Key, Entity]:
        """What blocks define and say, without what packing lists name or add."""
        contents = self.manual.contents.values()
        return {key_of(entity): entity for content in contents for entity in content.entities}

    @cached_property
    def _kit_of(self) -> dict[str, str]:
        return {plan.head.id: plan.kit.id for plan in self.manual.plans() if plan.kit}

    @cached_property
    def _kits_by_thing(self) -> dict[Key, set[str]]:
        found: dict[Key, set[str]] = defaultdict(set)
        for kit in self.manual.heads(Kit):
            scope = self.manual.scope(kit.place.page)
            for item in kit.contents:
                entity = scope.get(item.what)
                if entity is not None:
                    found[key_of(entity)].add(kit.id)
        return found
