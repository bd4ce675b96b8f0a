"""The parts list: from the kit, new from elsewhere, re-used, discarded, returned, supplies."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.entities.car import Connection, Fastener, Part
from procedures_lib.manual.names import humanised, name_of
from procedures_lib.tables.table import Cell, Column, Row, Table, cell, joined
from procedures_lib.tables.uses import made_once, step_links

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.entities.kit import ContentItem, Kit
    from procedures_lib.manual import NumberedStep, Scope
    from procedures_lib.tables.uses import Uses
    from procedures_lib.variants import Condition

_COLUMNS = (
    Column("name", "Name"),
    Column("what", "What happens"),
    Column("number", "Number"),
    Column("count", "Count"),
    Column("note", "Note"),
    Column("steps", "Steps"),
)
_OFF = ("remove", "disconnect")
_ON = ("fit", "start", "tighten", "connect", "seat")


@made_once
def parts_list(uses: Uses) -> Table:
    """Return the parts list of the steps that apply."""
    rows = (*_from_kit(uses), *_from_car(uses), *_supplies(uses))
    return Table("parts", "Parts list", _COLUMNS, rows)


def kit_check_in(uses: Uses) -> Table:
    """Return the packing list of the procedure's kit, to be counted when it arrives."""
    kit = uses.plan.kit
    items = [item for item in kit.contents if uses.applies(item.when)] if kit else []
    return _packing(items, uses.plan.scope)


def contents_table(kit: Kit, scope: Scope) -> Table:
    """Return all that is in a kit's box."""
    return _packing(list(kit.contents), scope)


def _packing(items: list[ContentItem], scope: Scope) -> Table:
    columns = tuple(c for c in _COLUMNS if c.key in {"name", "number", "count", "note"})
    rows = tuple(
        Row(
            (
                _item_name(item, scope),
                cell(item.number),
                cell(item.packed),
                _item_note(item, scope),
            ),
            f"item:{item.number}" if item.number else "",
            str(item.when),
        )
        for item in items
    )
    return Table("check-in", "Kit check-in", columns, rows)


def _from_kit(uses: Uses) -> Iterator[Row]:
    kit = uses.plan.kit
    for item in kit.contents if kit else ():
        if not uses.applies(item.when):
            continue
        steps = _steps(uses, item.what, *_ON)
        if item.supply:
            steps = step_links(n for n in uses.steps if item.supply in n.step.supplies)
        scope = uses.plan.scope
        yield _row("From the kit", _item_name(item, scope), item.number, item.packed,
                   _item_note(item, scope), steps, item.when)  # fmt: skip


def _from_car(uses: Uses) -> Iterator[Row]:
    kit = uses.plan.kit
    boxed = {item.what for item in kit.contents} if kit else set()
    returned = {str(name) for name in kit.returns} if kit else set()
    for name in uses.by_object:
        entity = uses.plan.scope.get(name)
        if not isinstance(entity, Part | Fastener | Connection) or name in boxed:
            continue
        if isinstance(entity, Connection) and not uses.of(name, "discard", "return"):
            continue
        what = _fate(entity, uses, returned)
        if what and uses.applies(entity.when):
            used = uses.of(name, *_OFF, *_ON, "discard", "return")
            steps = step_links(use.step for use in used)
            target = f"definition:{name}"
            yield _row(what, cell(name_of(entity, uses.plan.scope), target), entity.number,
                       str(entity.count), Cell(), steps,
                       uses.condition(entity.when, used))  # fmt: skip


def _fate(entity: Part | Fastener | Connection, uses: Uses, returned: set[str]) -> str:
    """What becomes of a thing that is on the car: re-used, discarded, returned or renewed."""
    name = entity.id
    if name in returned or uses.of(name, "return"):
        return "Returned to the customer"
    off, on = uses.of(name, *_OFF), uses.of(name, *_ON)
    if not isinstance(entity, Connection) and not entity.reusable and on:
        return "New every time, not in the kit"
    if uses.of(name, "discard"):
        return "Discarded"
    return "Re-used" if off and on else ""


def _supplies(uses: Uses) -> Iterator[Row]:
    kit = uses.plan.kit
    boxed = {item.supply for item in kit.contents} if kit else set()
    named: dict[str, list[NumberedStep]] = {}
    for step in uses.steps:
        for supply in step.step.supplies:
            if supply not in boxed:
                named.setdefault(supply, []).append(step)
    for supply, steps in named.items():
        yield Row((cell(supply), cell("Supplies"), Cell(), Cell(), Cell(), step_links(steps)))


def _row(
    what: str, name: Cell, number: str, count: str, note: Cell, steps: Cell, when: Condition
) -> Row:
    cells = (name, cell(what), cell(number), cell(count), note, steps)
    return Row(cells, f"item:{number}" if number else "", str(when))


def _steps(uses: Uses, name: str, *verbs: str) -> Cell:
    return step_links(use.step for use in uses.of(name, *verbs))


def _item_name(item: ContentItem, scope: Scope) -> Cell:
    if item.kind in {"supply", "paper", "tool"}:
        return cell(item.name or item.what)
    entity = scope.get(item.what)
    name = item.name or (name_of(entity, scope) if entity else humanised(item.what))
    return cell(name, f"definition:{item.what}" if entity else "")


def _item_note(item: ContentItem, scope: Scope) -> Cell:
    words = [cell(item.note)] if item.note else []
    if item.replaces:
        old = scope.get(item.replaces)
        name = name_of(old, scope) if old else humanised(item.replaces)
        target = f"definition:{item.replaces}" if old else ""
        words.append(joined([cell("replaces "), cell(name, target)], ""))
    if item.spare:
        words.append(cell("spare" if item.spare == item.count else f"{item.spare} of them spare"))
    return joined(words, "; ")
