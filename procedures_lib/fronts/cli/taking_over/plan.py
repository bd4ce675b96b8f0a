"""What a run would do: which page each list goes to, and what it brings there."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from procedures_lib.fronts.cli.arguments import Folders, relative
from procedures_lib.fronts.cli.new import FOLDERS
from procedures_lib.fronts.cli.taking_over.actions import Things
from procedures_lib.fronts.cli.taking_over.draft import (
    ID_BLOCKS,
    Changes,
    Placed,
    compared,
    placed_in,
    with_changes,
)
from procedures_lib.fronts.cli.taking_over.entries import Entry, Taken, entries_of
from procedures_lib.fronts.cli.taking_over.names import id_from
from procedures_lib.fronts.cli.taking_over.pages import USUAL, new_page
from procedures_lib.fronts.cli.taking_over.source import Source
from procedures_lib.fronts.cli.taking_over.step_list import Instruction
from procedures_lib.fronts.cli.taking_over.steps import taken_steps, title_of
from procedures_lib.fronts.cli.taking_over.tables import Left, Table
from procedures_lib.fronts.cli.terminal import Refused
from procedures_lib.language.entities.builder import HEADS
from procedures_lib.language.entities.field_types import kebab
from procedures_lib.language.entities.work import Procedure
from procedures_lib.language.reading.page_text import LARGEST
from procedures_lib.manual import Manual
from procedures_lib.manual.folder import is_inside
from procedures_lib.manual.names import humanised

_LONGEST = 120


@dataclass(frozen=True, slots=True)
class Draft:
    """A page as it is and as it would be; ``old`` is None for one that is not there."""

    path: Path
    old: bytes | None
    text: str
    changes: Changes

    @property
    def held(self) -> tuple[tuple[Placed, Entry], ...]:
        """Entries that both the list and somebody on the page have changed."""
        return self.changes.held

    @property
    def too_large(self) -> bool:
        """Whether no page may be as large as this."""
        return len(self.text.encode()) > LARGEST


@dataclass(frozen=True, slots=True)
class Plan:
    """What a run would do, and the rows that it leaves."""

    source: Source
    pages: tuple[Draft, ...]
    taken: tuple[Entry, ...]
    left: tuple[Left, ...]


def plan_of(
    source: Source, target: tuple[str, str] | None, manual: Manual, folders: Folders
) -> Plan:
    """Return what a run would do; :class:`Refused` for a page that can't be written to."""
    left: list[Left] = [each for table in source.tables for each in table.left]
    if source.steps:
        left += source.steps.left
    by_page: dict[tuple[str, str], list[Table]] = {}
    for table in source.tables:
        by_page.setdefault(_page_for(table.kind, target, source), []).append(table)
    if source.steps:
        by_page.setdefault(_page_for("steps", target, source), [])
    pages: list[Draft] = []
    taken: list[Entry] = []
    for (kind, name), tables in by_page.items():
        found = _taken(source, tables, (kind, name), manual, folders)
        left += found.left
        taken += found.entries
        if found.entries:
            draft = _draft(kind, name, found.entries, source, manual, folders)
            left += _there(draft)
            pages.append(draft)
    return Plan(source, tuple(pages), tuple(taken), tuple(left))


def _there(draft: Draft) -> Iterator[Left]:
    """Yield the rows of which all stands on the page already, from elsewhere."""
    page, changes = relative(draft.path), draft.changes
    known = [*changes.new, *changes.same, *(e for _, e in (*changes.changed, *changes.held))]
    rows = {(entry.where, entry.row) for entry in known}
    for entry in changes.there:
        if (entry.where, entry.row) not in rows:
            why = f"`{entry.name}` stands on {page} already, from elsewhere: compare the two"
            yield Left(entry.where, entry.row, why)


def _page_for(kind: str, target: tuple[str, str] | None, source: Source) -> tuple[str, str]:
    if target is not None:
        if kebab(target[1]) != target[1] or len(target[1]) > _LONGEST:
            raise Refused(f"{target[1]!r} is no id: small letters and digits, joined with hyphens.")
        return target
    return USUAL.get(kind, "vehicle"), id_from(source.stem) or "taken-over"


def _taken(
    source: Source,
    tables: Sequence[Table],
    page: tuple[str, str],
    manual: Manual,
    folders: Folders,
) -> Taken:
    kind, name = page
    head = manual.head(HEADS[kind], name)
    own = _ids_on(head.place.page, manual) if head else set()
    known = {(old.where, old.read): old.name for old in _placed(kind, name, manual, folders)}
    seen = {each.id for each in manual.scope(head.place.page).entities()} - own if head else set()
    entries: list[Entry] = []
    left: list[Left] = []
    for table in tables:
        if table.kind == "steps" and kind == "procedure":
            found = _steps_of(table, _things(kind, name, manual))
        else:
            found = entries_of(table, kind, seen | {each.name for each in entries}, known)
        entries += found.entries
        left += found.left
    if source.steps and kind != "procedure":
        why = "steps stand on a procedure: give --to procedure ID"
        left += [Left(source.file, step.number, why) for step in source.steps.steps]
    elif source.steps:
        found = taken_steps(source.steps.steps, _things(kind, name, manual), source.file)
        entries += found.entries
        left += found.left
    return Taken(tuple(entries), tuple(left))


def _placed(kind: str, name: str, manual: Manual, folders: Folders) -> Iterator[Placed]:
    """Yield the entries of an earlier run that have ids."""
    head = manual.head(HEADS[kind], name)
    if head is not None:
        text = (folders.pages / head.place.page).read_text("utf-8-sig")
        yield from (each for each in placed_in(text) if each.block in ID_BLOCKS)


def _ids_on(page: str, manual: Manual) -> set[str]:
    return {entity.id for entity in manual.contents[page].entities}


def _steps_of(table: Table, things: Things) -> Taken:
    steps, left = [], []
    for row, _ in table.rows:
        cell = table.cell(row, "step")
        if cell.text:
            steps.append(Instruction(row.number, [cell.text]))
        else:
            left.append(Left(table.sheet.where, row.number, cell.doubt or "it has no words"))
    found = taken_steps(steps, things, table.sheet.where)
    return Taken(found.entries, (*found.left, *left))


def _things(kind: str, name: str, manual: Manual) -> Things:
    """The things that a procedure can see; those of all cars for one that is begun."""
    head = manual.head(HEADS[kind], name)
    if isinstance(head, Procedure) and manual.head(HEADS["vehicle"], str(head.vehicle)):
        return Things(manual.scope(head.place.page).entities())
    return Things(each for content in manual.contents.values() for each in content.entities)


def _draft(
    kind: str,
    name: str,
    entries: Collection[Entry],
    source: Source,
    manual: Manual,
    folders: Folders,
) -> Draft:
    head = manual.head(HEADS[kind], name)
    if head is not None:
        path = folders.pages / head.place.page
        if not is_inside(folders.pages, path):
            raise Refused(f"{relative(path)} is a link that leads out of the manual: not written.")
        old = path.read_bytes()
        text = old.decode("utf-8-sig").replace("\r\n", "\n")
        changes = compared(entries, text, _ids_on(head.place.page, manual))
        return Draft(path, old, with_changes(text, changes) if changes.any else text, changes)
    path = folders.pages / FOLDERS[kind] / f"{name}.md"
    if path.exists() or manual.is_lost(name):
        raise Refused(f"{relative(path)} is there, and its head can't be read: mend it first.")
    said = title_of(source.steps.title) if source.steps and kind == "procedure" else ""
    title = said or humanised(name)
    first, last = new_page(kind, name, title, any(each.block == "kit" for each in entries))
    changes = compared(entries, first, ())
    return Draft(path, None, with_changes(first, changes) + last, changes)
