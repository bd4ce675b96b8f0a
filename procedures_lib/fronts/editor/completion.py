"""What can stand at the cursor: fields, words, ids, verbs, conditions, roles, blocks."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from procedures_lib.fronts.editor.cursor import (
    Spot,
    block_name_before,
    role_name_before,
    spots_at,
)
from procedures_lib.fronts.editor.desk import Desk
from procedures_lib.fronts.editor.fields import Field, field_of, model_at
from procedures_lib.fronts.editor.hover import short_facts
from procedures_lib.fronts.editor.id_places import FREE, SHOWN, STEP
from procedures_lib.fronts.editor.things import steps_seen
from procedures_lib.judging.checks.conditions import vehicle_of
from procedures_lib.judging.checks.mentions import ROLE_KINDS, kind_of_argument, steps_on
from procedures_lib.language.entities.builder import COLLECTIONS, HEADS
from procedures_lib.language.entities.car import CARRIES, ORDER_PATTERNS, Fastener
from procedures_lib.language.entities.entity import Entity, fields_of, note_on
from procedures_lib.language.entities.hazard import BUILTIN_HAZARDS
from procedures_lib.language.entities.verbs import KEYWORDS, VERBS
from procedures_lib.language.reading.block_kinds import BLOCK_KINDS, ROLE_NAMES
from procedures_lib.language.reading.word_places import ITEM

_ID_BEFORE = re.compile(r"[a-z0-9-]*$", re.IGNORECASE)
_VALUE_BEFORE = re.compile(r"([\w.+-]+)\s*(?:!?=\s*|in\s*\[[^\]]*?)([\w.+-]*)$")
_TEST_BEFORE = re.compile(r"[\w.+=-]*$")
_ROLE_SHOWS = {
    "q": "a quantity, with its conversion",
    "tool": "a tool",
    "step": "a step, by its number",
    "torque": "all stages of a group of fasteners",
}


@dataclass(frozen=True, slots=True)
class Choice:
    """One thing that can stand at the cursor.

    ``label`` takes the place of the last ``replaces`` characters before the cursor, followed by
    ``after``. ``what`` is its sort: field, word, id, verb, condition, role, block.
    """

    label: str
    what: str
    replaces: int
    detail: str = ""
    after: str = ""


@dataclass(frozen=True, slots=True)
class Here:
    """Where the cursor stands; ``entry`` is the id of the entry of a block, "" in no entry."""

    page: str
    line: int
    entry: str

    def is_own(self, entity: Entity) -> bool:
        """Tell whether an entity is the one that is being written."""
        own = entity.id == self.entry or entity.place.line == self.line
        return own and entity.place.page == self.page


def completions(desk: Desk, page: str, line: int, column: int) -> list[Choice]:
    """Return what can stand at a place of a page: lines from 1, columns from 0 in characters.

    The page may be half typed: what is broken elsewhere on it makes no difference.
    """
    text = desk.text(page)
    lines = text.split("\n")
    if not 0 < line <= len(lines):
        return []
    before = lines[line - 1][:column]
    begun = block_name_before(before)
    if begun is not None:
        kinds = BLOCK_KINDS.values()
        return [Choice(k.name, "block", len(begun), k.purpose) for k in kinds]
    for spot in spots_at(text, line, column):
        found = list(_at(desk, Here(page, line, _entry(spot)), spot))
        if found:
            return found
    begun = role_name_before(before)
    if begun is not None:
        return [_role(name, len(begun)) for name in ROLE_NAMES]
    return []


def _entry(spot: Spot) -> str:
    word = spot.word
    return word.path[0] if word.block in COLLECTIONS and word.path else ""


def _role(name: str, replaces: int) -> Choice:
    shows = _ROLE_SHOWS.get(name, f"the name of a {name}, linked")
    return Choice(name, "role", replaces, shows)


def _at(desk: Desk, here: Here, spot: Spot) -> Iterator[Choice]:
    word = spot.word
    if word.use == "role":
        yield from _in_role(desk, here, spot)
    elif word.use == "argument":
        kind = kind_of_argument(word.block)
        yield from _ids(desk, here, spot.before, (kind,) if kind else None)
    elif word.use == "key":
        yield from _keys(desk, here, spot)
    else:
        yield from _values(desk, here, spot)


def _in_role(desk: Desk, here: Here, spot: Spot) -> Iterator[Choice]:
    name = spot.word.block
    if name in ROLE_KINDS:
        yield from _ids(desk, here, spot.before, (ROLE_KINDS[name],))
    elif name == STEP:
        yield from _step_ids(desk, here, spot.before)
    elif name == "tool":
        content = desk.manual.contents.get(here.page)
        tools = (tool for step in steps_on(content) for tool in step.tools) if content else ()
        yield from _words(dict.fromkeys(tools), spot.before)


# -- keys --------------------------------------------------------------------------------------


def _keys(desk: Desk, here: Here, spot: Spot) -> Iterator[Choice]:
    word = spot.word
    if len(word.path) == 1 and word.block == "expect":
        yield from _ids(desk, here, spot.before, ("fastener", "part", "connection", "fluid"))
    elif len(word.path) == 1 and word.block in COLLECTIONS:
        known = BUILTIN_HAZARDS.values() if word.block == "hazards" else ()
        yield from (Choice(h.id, "id", len(spot.before), h.name, ":") for h in known)
    elif word.block == "picture" and word.path[:-1] == ("shows",):
        yield from _ids(desk, here, spot.before, SHOWN)
    else:
        yield from _fields(spot)


def _fields(spot: Spot) -> Iterator[Choice]:
    model, above = model_at(spot.word)
    here = (other for other in spot.others if other.use == "key" and other.path[:-1] == above)
    taken = set() if ITEM in above else {other.path[-1] for other in here}
    for name in fields_of(model) if model else ():
        if name not in taken and model is not None:
            yield Choice(name, "field", len(spot.before), note_on(model, name), ": ")


# -- values ------------------------------------------------------------------------------------


def _values(desk: Desk, here: Here, spot: Spot) -> Iterator[Choice]:
    field = field_of(spot.word)
    if field is None:
        return
    before, block = spot.before, spot.word.block
    if field.is_condition:
        yield from _conditions(desk, here, before)
    elif field.names is not None and not (set(field.within) - {ITEM}):
        yield from _ids(desk, here, before, field.names.kinds)
    elif field.words:
        yield from _words(field.words, before)
    elif field.is_yes_or_no:
        yield from _words(("true", "false"), before)
    elif block == STEP and field.name == "do":
        yield from _actions(desk, here, before)
    elif field.name == "after":
        yield from _step_ids(desk, here, before)
    else:
        yield from _others(desk, here, spot, field)


def _others(desk: Desk, here: Here, spot: Spot, field: Field) -> Iterator[Choice]:
    before = spot.before
    if field.name in {"hazards", "hazard"}:
        yield from _ids(desk, here, before, ("hazard",))
        yield from (Choice(h.id, "id", _begun(before), h.name) for h in BUILTIN_HAZARDS.values())
    elif field.name in FREE.get(spot.word.block, ()):
        yield from _ids(desk, here, before, ())
        if field.name in {"called-by", "about"}:
            yield from _words(CARRIES, before)
    elif field.name == "order" and field.model is Fastener:
        yield from _words(ORDER_PATTERNS, before)
        group = desk.manual.scope(here.page).get(spot.word.path[0])
        if isinstance(group, Fastener):
            yield from _words((name for name, _ in group.positions), before)


def _actions(desk: Desk, here: Here, before: str) -> Iterator[Choice]:
    name, space, rest = before.lstrip().partition(" ")
    if not space:
        for verb in VERBS.values():
            yield Choice(verb.name, "verb", len(name), verb.does, " ")
        return
    if re.search(r"\son\s+\S*$", rest) and name == "fit":
        yield from _ids(desk, here, before, ("part",))
        return
    kinds = VERBS[name].kinds if name in VERBS else frozenset[str]()
    for word, kind in KEYWORDS.items():
        if kind in kinds:
            yield Choice(word, "word", _begun(before))
    yield from _ids(desk, here, before, tuple(kinds))


def _conditions(desk: Desk, here: Here, before: str) -> Iterator[Choice]:
    vehicle = vehicle_of(desk.manual, here.page)
    options = dict(vehicle.options) if vehicle else {}
    value = _VALUE_BEFORE.search(before)
    if value and value[1] in options:
        for each in options[value[1]]:
            yield Choice(each, "condition", len(value[2]), value[1])
        return
    match = _TEST_BEFORE.search(before)
    length = len(match[0]) if match else 0
    for option, values in options.items():
        for each in values:
            yield Choice(f"{option}={each}", "condition", length)
    for each in ("and", "or", "not") if before[: len(before) - length].strip() else ("not",):
        yield Choice(each, "condition", length, after=" ")


# -- ids and words -----------------------------------------------------------------------------


def _ids(desk: Desk, here: Here, before: str, kinds: tuple[str, ...] | None) -> Iterator[Choice]:
    """Yield the ids of these kinds that a page can see: () for all of them, None for none."""
    if kinds is None:
        return
    manual, length = desk.manual, _begun(before)
    scope = manual.scope(here.page)
    found = {e.id: e for e in scope.entities() if not kinds or e.KIND in kinds}
    for kind in kinds:
        if kind in HEADS:
            found.update({head.id: head for head in manual.heads(HEADS[kind])})
    for name, entity in found.items():
        if not here.is_own(entity):
            yield Choice(name, "id", length, short_facts(manual, entity, scope))


def _step_ids(desk: Desk, here: Here, before: str) -> Iterator[Choice]:
    for numbered in steps_seen(desk.manual, here.page):
        if numbered.step.id:
            detail = f"{numbered.number}. {numbered.step.title}"
            yield Choice(numbered.step.id, "id", _begun(before), detail)


def _words(words: Iterable[str], before: str) -> Iterator[Choice]:
    length = len(before.lstrip())
    yield from (Choice(word, "word", length) for word in words)


def _begun(before: str) -> int:
    """How much of an id stands before the cursor."""
    match = _ID_BEFORE.search(before)
    return len(match[0]) if match else 0
