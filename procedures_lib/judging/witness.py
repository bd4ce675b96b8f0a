"""The witness of each number: where it stands a second time, or what it follows from; none else."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from procedures_lib.engineering.quantities import Quantity, quantity_of
from procedures_lib.engineering.threads.head_sizes import standard_of_head
from procedures_lib.engineering.tightening import Stage
from procedures_lib.findings import Place
from procedures_lib.language.entities.builder import HEADS
from procedures_lib.language.entities.car import Fastener, Vehicle
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.printed import (
    SAYS,
    STEP,
    Path,
    paths_of,
    shown,
    stated_value,
)
from procedures_lib.language.entities.work import Content, ExpectRow, Rule, Step
from procedures_lib.language.reading.block_kinds import SIGNAL_WORDS
from procedures_lib.language.reading.page import Block, Role, Scalar
from procedures_lib.language.variants import ALWAYS, Condition
from procedures_lib.language.variants.car_sets import Options, possible
from procedures_lib.manual import Manual

DOUBLE_ENTRY, TWIN, STANDARD = "double entry", "twin", "standard"
ACTED_ON: Mapping[str, tuple[str, ...]] = {
    "fastener": ("count", "thread", "class", "head", "reach", "adapter", "condition", "reuse",
                 "turns", "at", "recheck", "engagement"),
    "part": ("count", "mass", "setting", "reuse", "thread"),
    "connection": ("count", "setting", "reuse"),
    "fluid": ("quantity", "spec", "bleed"),
    "vehicle": ("years",),
    "kit": ("years", "fuel", "calibration", "power", "torque", "contents"),
    "dyno-session": ("conditions", "correction"),
}  # fmt: skip
"""What a technician acts on, of each kind, beside how tight a joint is and in which order."""

_TIGHT: Path = ("how_tight",)
_ORDER: Path = ("order",)
_SAYS: Path = (SAYS,)


@dataclass(frozen=True, slots=True, order=True)
class Number:
    """What a technician acts on, as a page states it: of a thing, or of a step.

    ``owner`` is where the thing stands, ``place`` the line of the value. ``witness`` is
    ``double entry``, ``twin``, ``standard`` or "" for none; ``by`` tells which place or standard.
    ``cars`` are those for which it is stated ("" for all).
    """

    place: Place
    thing: str
    name: str
    value: str
    source: str = ""
    witness: str = ""
    by: str = ""
    cars: str = ""
    owner: Place = field(default=Place("", 0), compare=False)


def numbers_on(manual: Manual, page: str) -> list[Number]:
    """Return the numbers of a page, sorted by line, each with its witness."""
    content = manual.contents[page]
    lines = _Lines(content)
    found: list[Number] = []
    for entity in content.entities:
        if not manual.is_damaged(entity):
            found += _of_entity(manual, entity, lines)
            found += _of_text(manual, entity.id, entity.place, roles_of_text(content, entity))
    for _, steps in content.steps:
        for step in steps:
            found += _of_text(manual, step.id or step.title, step.place, roles_in(step.block))
    return sorted(found)


def count_of(numbers: Iterable[Number]) -> dict[str, int]:
    """Return how many numbers have each witness; ``none`` is the last."""
    found = Counter(number.witness or "none" for number in numbers)
    return {name: found[name] for name in (DOUBLE_ENTRY, TWIN, STANDARD, "none")}


def numbers_of(manual: Manual, entity: Entity, only: Collection[str]) -> Iterator[Number]:
    """Yield the numbers of a thing in these fields, each with its witness."""
    yield from _of_entity(manual, entity, _Lines(manual.contents[entity.place.page]), only)


# -- things ----------------------------------------------------------------------------------------


def _of_entity(
    manual: Manual, entity: Entity, lines: _Lines, only: Collection[str] = ()
) -> Iterator[Number]:
    """Yield the numbers of a thing; with ``only``, those of these fields."""
    said = entity.model_fields_set
    source = str(getattr(entity, "source", ""))

    def number(path: Path, name: str, value: str, when: Condition = ALWAYS) -> Number:
        witness, by = _witness(manual, entity, path, when)
        place = lines.of(entity, path)
        cars = "" if when == ALWAYS else str(when)
        return Number(place, entity.id, name, value, source, witness, by, cars, entity.place)

    for name in ACTED_ON.get(entity.KIND, ()):
        if only and name not in only:
            continue
        path = paths_of(entity.KIND)[name]
        value = shown(stated_value(entity, path)) if path[0] in said else ""
        if value not in {"", "unknown"}:
            yield number(path, name, value)
    if isinstance(entity, Fastener):
        for when, stages in entity.how_tight.by_condition:
            figures = ", ".join(s.written() for s in stages if is_figure(s))
            if figures:
                yield number(_TIGHT, "tighten", figures, when)
        if entity.order and _ORDER[0] in said and not only:
            yield number(_ORDER, "order", ", ".join(map(str, entity.order)))


def is_figure(stage: Stage) -> bool:
    """Tell whether a stage has a figure of its own; a share of another one is none."""
    return stage.amount is not None and stage.share is None


def stated(number: Number) -> str:
    """Return a number as a row of double entry has it: ``recheck 100 km``, a torque as it is."""
    plain = number.name in {"tighten", "quantity", SAYS}
    return number.value if plain else f"{number.name} {number.value}"


class _Lines:
    """The lines of the fields on a page, as far as its blocks are at hand."""

    def __init__(self, content: Content) -> None:
        self._content = content

    @cached_property
    def _trees(self) -> dict[int, Any]:
        found: dict[int, Any] = {}
        for block in self._content.page.blocks:
            for each in block.walk():
                found[each.place.line] = each.data
                data = each.data if isinstance(each.data, dict) else {}
                found.update((key.line, tree) for key, tree in data.items())
        return found

    def of(self, entity: Entity, path: Path) -> Place:
        tree, line = self._trees.get(entity.place.line), entity.place.line
        for attribute in path:
            name = _WRITTEN.get(attribute) or attribute.rstrip("_").replace("_", "-")
            if not isinstance(tree, dict) or name not in tree:
                break
            line = next(key.line for key in tree if key == name) or line
            tree = tree[Scalar(name)]
        return Place(entity.place.page, line)


_WRITTEN = {"how_tight": "tighten"}


# -- prose -----------------------------------------------------------------------------------------


def roles_in(block: Block) -> tuple[Role, ...]:
    """Return the roles in the text of a block, those of the signal words in it too."""
    return tuple(role for each in block.walk() for role in each.roles)


_Q_IN_TEXT = re.compile(r"\{q\}`([^`]+)`")


def roles_of_text(content: Content, entity: Entity) -> tuple[Role, ...]:
    """Return the roles of what a rule says; of a head, those outside the steps of its page."""
    if isinstance(entity, Rule):
        said = _Q_IN_TEXT.findall(entity.text)
        return tuple(Role("q", Scalar(text, entity.place.line)) for text in said)
    first = next((each for each in content.entities if each.KIND in HEADS), None)
    if entity is not first:
        return ()
    signals = (each for each in content.page.blocks if each.name in SIGNAL_WORDS)
    return (*content.page.roles, *(role for each in signals for role in roles_in(each)))


def amounts_of(roles: Iterable[Role]) -> list[tuple[Quantity, int]] | None:
    """Return what roles state with ``{q}``, each amount once, with its line.

    None when one can't be read, which is a finding.
    """
    found: dict[str, tuple[Quantity, int]] = {}
    for role in roles:
        if role.name == "q":
            amount = quantity_of(role.target)
            if amount is None:
                return None
            found.setdefault(amount.tidy, (amount, role.target.line))
    return list(found.values())


def _of_text(manual: Manual, thing: str, owner: Place, roles: Iterable[Role]) -> Iterator[Number]:
    entries = rows_about(manual).get((owner, _SAYS), [])
    by = _places(each.place for each in entries)
    for amount, line in amounts_of(roles) or ():
        yield Number(Place(owner.page, line or owner.line), thing, SAYS, amount.tidy,
                     _sources(entries), DOUBLE_ENTRY if by else "", by, "", owner)  # fmt: skip


# -- witnesses -------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Entry:
    """That a row has a field of a thing: for which cars, where, and out of which source."""

    cars: Condition
    place: Place
    source: str


def rows_about(manual: Manual) -> Mapping[tuple[Place, Path], list[Entry]]:
    """Return what stands in rows of double entry, by the place of its thing and the field."""

    def asked() -> dict[tuple[Place, Path], list[Entry]]:
        found: dict[tuple[Place, Path], list[Entry]] = {}
        for page, content in manual.contents.items():
            for expect in content.expects:
                for row in expect.rows:
                    thing = thing_of(manual, page, row)
                    if thing is None:
                        continue
                    for path, cars, place in _fields_of(row, thing):
                        entry = Entry(cars, place, expect.source)
                        found.setdefault((thing.place, path), []).append(entry)
        return found

    return manual.once(("rows of double entry",), asked)


def _fields_of(row: ExpectRow, thing: Entity | Step) -> Iterator[tuple[Path, Condition, Place]]:
    paths = paths_of(thing.KIND) if isinstance(thing, Entity) and thing.KIND in _KINDS else {}
    for printed in row.printed:
        path = _SAYS if printed.name == SAYS else paths.get(printed.name)
        if path:
            yield path, ALWAYS, printed.place
    for cars, _ in row.how_tight.by_condition:
        yield _TIGHT, cars, row.place
    if row.order:
        yield _ORDER, ALWAYS, row.place


_KINDS = frozenset(ACTED_ON) | {"opening"}


def thing_of(manual: Manual, page: str, row: ExpectRow) -> Entity | Step | None:
    """Return what a row of double entry is about, if there is such a thing or step in reach."""
    if STEP in row.kinds:
        step = _steps_near(manual, page).get(str(row.id))
        if step is not None:
            return step
    return manual.scope(page).get(row.id)


def _steps_near(manual: Manual, page: str) -> Mapping[str, Step]:
    """The steps that a page can see, by their ids, its own first."""

    def asked() -> dict[str, Step]:
        found: dict[str, Step] = {}
        for name in manual.scope(page).pages:
            for _, steps in manual.contents[name].steps:
                for step in steps:
                    if step.id and not step.common:
                        found.setdefault(step.id, step)
        return found

    return manual.once(("steps near", page), asked)


def step_ids(manual: Manual, page: str) -> list[str]:
    """Return the ids of the steps that a page can see."""
    return list(_steps_near(manual, page))


def _witness(manual: Manual, entity: Entity, path: Path, when: Condition) -> tuple[str, str]:
    """Return the witness of a field, and which it is; two empty texts for none."""
    entries = rows_about(manual).get((entity.place, path), [])
    cars = _options(manual, entity.place.page)
    near = [each for each in entries if possible(when & each.cars, cars)]
    if near:
        return DOUBLE_ENTRY, _places(each.place for each in near)
    twin = _twin(manual, entity, path)
    if twin is not None:
        return TWIN, f"{twin.id}, {twin.place}"
    if isinstance(entity, Fastener) and path == ("head",) and entity.thread is not None:
        standard = standard_of_head(entity.thread.thread, entity.kind, entity.head)
        if standard:
            return STANDARD, standard
    return "", ""


def _places(places: Iterable[Place]) -> str:
    return ", ".join(dict.fromkeys(map(str, places)))


def _sources(entries: Iterable[Entry]) -> str:
    return "; ".join(dict.fromkeys(each.source for each in entries))


def _options(manual: Manual, page: str) -> Options:
    vehicles = manual.scope(page).all(Vehicle)
    return vehicles[0].options if len(vehicles) == 1 else ()


_SIDES = {"left": "right", "right": "left", "lh": "rh", "rh": "lh"}


def other_side(name: str) -> str:
    """Return the id of the same thing on the other side: ``wheel-nuts-left``; "" for no side."""
    words = name.split("-")
    turned = [_SIDES.get(word, word) for word in words]
    return "-".join(turned) if turned != words else ""


def _twin(manual: Manual, entity: Entity, path: Path) -> Entity | None:
    """Return the thing of the other side that says the same of a field by itself."""
    other = manual.entities_on(entity.place.page).get(other_side(entity.id))
    if other is None or other.KIND != entity.KIND or manual.is_damaged(other):
        return None
    if path[0] not in other.model_fields_set or path == _ORDER:
        return None
    same = stated_value(other, path) == stated_value(entity, path)
    return other if same else None
