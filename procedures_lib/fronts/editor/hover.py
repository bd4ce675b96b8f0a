"""The facts of what stands at a place of a page, as Markdown: the same that its table shows."""

from __future__ import annotations

from collections.abc import Iterator

from procedures_lib.fronts.editor.desk import Desk
from procedures_lib.fronts.editor.fields import field_of
from procedures_lib.fronts.editor.id_places import STEP, IdPlace, id_places
from procedures_lib.fronts.editor.things import Thing, meant, word_at
from procedures_lib.fronts.tables.definitions import definition_table
from procedures_lib.fronts.tables.words import tight_text
from procedures_lib.language.entities.builder import COLLECTIONS
from procedures_lib.language.entities.car import Fastener, Vehicle
from procedures_lib.language.entities.entity import Entity, note_on
from procedures_lib.language.entities.hazard import BUILTIN_HAZARDS
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.verbs import VERBS
from procedures_lib.language.entities.work import Common, Procedure, Rule
from procedures_lib.language.reading.word_places import Word
from procedures_lib.manual import Manual, Scope
from procedures_lib.manual.names import name_of

_BLOCK_OF = {model.KIND: block for block, model in COLLECTIONS.items()}


def hover(desk: Desk, page: str, line: int, column: int) -> str:
    """Return the facts of the id, verb or field at a place, "" where there is none."""
    word = word_at(desk, page, line, column)
    if word is None:
        return ""
    for at in id_places(word):
        if at.line == line and at.column <= column <= at.end:
            return "\n\n".join(_of_id(desk.manual, page, at))
    return _of_word(word, line, column)


def short_facts(manual: Manual, entity: Entity, scope: Scope) -> str:
    """Return the name of an entity, with how tight it has to be."""
    name = _called(manual, entity, scope)
    tight = tight_text(entity) if isinstance(entity, Fastener) and entity.how_tight else ""
    return f"{name}: {tight}" if tight else name


def _called(manual: Manual, entity: Entity, scope: Scope) -> str:
    if isinstance(entity, Procedure | Common):
        return manual.plan(entity).title
    return name_of(entity, scope)


def _of_id(manual: Manual, page: str, at: IdPlace) -> Iterator[str]:
    thing = meant(manual, page, at)
    if thing is not None:
        yield from _of_thing(manual, page, thing)
    elif at.id in BUILTIN_HAZARDS and "hazard" in (at.kinds or ("hazard",)):
        known = BUILTIN_HAZARDS[at.id]
        yield f"**{known.name}** — hazard of the library `{known.id}`"
        yield f"{known.signal}: {known.harm} {known.avoid}"
    elif len(at.kinds) == 1:
        yield f"No page that can be seen from here describes the {at.kinds[0]} `{at.id}`."


def _of_thing(manual: Manual, page: str, thing: Thing) -> Iterator[str]:
    if thing.step is not None:
        yield f"**Step {thing.number}: {thing.step.title}** — `{thing.id}`"
        if thing.step.actions:
            yield "\n".join(f"- {action}" for action in thing.step.actions)
    elif thing.entity is not None:
        scope = manual.scope(page)
        yield f"**{_called(manual, thing.entity, scope)}** — {thing.kind} `{thing.id}`"
        facts = list(_facts(thing.entity, scope))
        if facts:
            yield "\n".join(f"- {label}: {text}" for label, text in facts)
    yield f"Described on {thing.place}"


def _facts(entity: Entity, scope: Scope) -> Iterator[tuple[str, str]]:
    kind = getattr(entity, "kind", "")
    if kind and entity.KIND not in {kind, "connection"}:
        yield "Kind", str(kind)
    if entity.KIND in _BLOCK_OF:
        table = definition_table(_BLOCK_OF[entity.KIND], [entity], scope)
        for column, cell in zip(table.columns, table.rows[0].cells, strict=True):
            if column.key != "name":
                yield column.label, cell.text
    else:
        yield from _of_head(entity)
    if when := str(getattr(entity, "when", "")):
        yield "When", when


def _of_head(entity: Entity) -> Iterator[tuple[str, str]]:
    match entity:
        case Vehicle():
            if entity.years:
                yield "Years", str(entity.years)
            for option, values in entity.options:
                yield option, ", ".join(values)
        case Kit():
            yield "Fits", str(entity.fits.vehicle)
            yield "In the box", f"{len(entity.contents)} items"
        case Procedure():
            yield "Vehicle", str(entity.vehicle)
            if entity.kit:
                yield "Kit", str(entity.kit)
            yield "Revision", entity.revision
        case Rule():
            yield "Says", " ".join(entity.text.split())
            if entity.source:
                yield "Source", entity.source


def _of_word(word: Word, line: int, column: int) -> str:
    field = field_of(word)
    if field is None:
        return ""
    if word.use == "key" and not field.within:
        return f"`{field.name}`: {note_on(field.model, field.name)}"
    if word.block == STEP and field.name == "do":
        name = word.text.split(maxsplit=1)[0] if word.text.strip() else ""
        at = word.offset(line, column)
        if name in VERBS and at is not None and at <= len(name):
            verb = VERBS[name]
            kinds = f" ({', '.join(sorted(verb.kinds))})" if verb.kinds else ""
            return f"`{name}`{kinds}: {verb.does}"
    return ""
