"""The derived blocks as HTML, and what stands behind a joint's torque."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from functools import reduce
from html import escape
from operator import or_

from procedures_lib.fronts.site.html import (
    Anchors,
    Href,
    More,
    applies_html,
    cell_html,
    element,
    facts_html,
    list_html,
    no_more,
    plain_table,
    signal_html,
    table_html,
)
from procedures_lib.manual.shop import Shop
from procedures_lib.view.closing import close_up, handover
from procedures_lib.view.joint import (
    TORQUE_UNITS,
    joints,
    stage_major_text,
    torque_table,
    wrench_rows,
)
from procedures_lib.view.joint_notes import JointNote, joint_note
from procedures_lib.view.preparation import IN_KIT, parts_list, preparation, tool_list
from procedures_lib.view.step import MetHazard, hazards_met
from procedures_lib.view.table import Column, Row
from procedures_lib.view.uses import Uses, step_links

Renderer = Callable[[Uses, Shop, Href, Anchors], tuple[str, str]]


class Workings:
    """The words for each joint of a torque table, to stand below its stages in N·m."""

    def __init__(self, uses: Uses) -> None:
        self._said = {f"fastener:{each.id}": stage_major_text(each) for each in joints(uses)}

    def __call__(self, row: Row, column: Column) -> str:
        """Return what to add to a cell, "" for nothing."""
        said = self._said.get(row.anchor, "") if column.key == TORQUE_UNITS[0] else ""
        return f" {element('small', escape(said))}" if said else ""


class JointNotes:
    """The notes of a torque table's joints, each to stand in the cell of its thread."""

    def __init__(self, uses: Uses, shop: Shop) -> None:
        self._notes = {
            f"fastener:{fastener.id}": replace(
                note, rows=(*note.rows, *wrench_rows(fastener, shop))
            )
            for fastener in joints(uses)
            if (note := joint_note(fastener)) is not None
        }

    def __call__(self, row: Row, column: Column) -> str:
        """Return what to add to the cell of a row: its note, or nothing."""
        note = self._notes.get(row.anchor) if column.key == "thread" else None
        return joint_html(note) if note else ""


def joint_html(note: JointNote) -> str:
    """Return a note as one line that unfolds, without any script."""
    summary = element("summary", escape(note.summary))
    return element("details", summary + facts_html(note.rows, "joint-facts"), class_="joint-note")


def torque_table_html(
    uses: Uses, shop: Shop, href: Href, anchors: Anchors, marks: More = no_more
) -> tuple[str, str]:
    """Return the torque table; ``marks`` stand in its cells before what unfolds."""
    table = torque_table(uses, shop)
    shown = table.without_empty_columns()
    notes, workings = JointNotes(uses, shop), Workings(uses)

    def more(row: Row, column: Column) -> str:
        return marks(row, column) + workings(row, column) + notes(row, column)

    return table_html(shown, href, anchors, more=more), plain_table(table)


def _parts_list(uses: Uses, _shop: Shop, href: Href, anchors: Anchors) -> tuple[str, str]:
    table = parts_list(uses)
    return table_html(table.without_empty_columns(), href, anchors), plain_table(table)


def _tool_list(uses: Uses, shop: Shop, href: Href, anchors: Anchors) -> tuple[str, str]:
    table = tool_list(uses, shop)
    return table_html(table, href, anchors), plain_table(table)


def _preparation(uses: Uses, shop: Shop, href: Href, anchors: Anchors) -> tuple[str, str]:
    prepared = preparation(uses, shop)
    untimed = prepared.steps - prepared.timed
    time = prepared.time_text + (f", and {untimed} steps without a time" if untimed else "")
    facts = [*prepared.facts, ("Steps", str(prepared.steps)), ("Time", time),
             ("People", str(prepared.people))]  # fmt: skip
    parts = [facts_html(facts)]
    parts += [_met(met, href) for met in prepared.hazards]
    if prepared.check_in.rows:
        table = prepared.check_in.without_empty_columns()
        parts.append(_fold("Kit check-in", table_html(table, href, anchors)))
    parts.append(_fold("Tools", table_html(prepared.tools, href, anchors)))
    if prepared.supplies:
        parts.append(_fold("Supplies", _supplies(prepared.supplies, uses)))
    plain = "\n".join(f"{label}: {text}" for label, text in facts)
    return element("div", "".join(parts), class_="preparation"), plain


def _supplies(names: tuple[str, ...], uses: Uses) -> str:
    """The supplies, each with the cars on which it is used."""
    found = ""
    for name in names:
        plain = name.removesuffix(IN_KIT)
        conditions = [n.when for n in uses.steps if plain in n.step.supplies]
        when = str(reduce(or_, conditions, conditions[0])) if conditions else ""
        found += element("li", escape(name) + applies_html(when), data_when=when)
    return element("ul", found)


def hazards_html(uses: Uses, href: Href) -> str:
    """Return the hazards that a procedure meets, gravest first."""
    return "".join(_met(met, href) for met in hazards_met(uses))


def _met(met: MetHazard, href: Href) -> str:
    hazard = met.hazard
    where = cell_html(step_links(met.steps), href)
    box = signal_html(hazard.signal, hazard.name, [hazard.harm, hazard.avoid])
    if not where:
        return box
    when = str(reduce(or_, (step.when for step in met.steps)))
    if when:
        box = box.replace("<aside ", f'<aside data-when="{escape(when)}" ', 1)
    steps = element("p", f"Step{'s' if len(met.steps) > 1 else ''} {where}", class_="signal-steps")
    return box.removesuffix("</aside>") + steps + "</aside>"


def _fold(title: str, inner: str) -> str:
    summary = element("summary", escape(title))
    return f'<details class="fold">{summary}{inner}</details>'


def _close_up(uses: Uses, _shop: Shop, href: Href, anchors: Anchors) -> tuple[str, str]:
    closing = close_up(uses)
    parts = [table_html(closing.tight, href, anchors, closing.tight.caption)]
    if closing.tests.rows:
        parts.append(table_html(closing.tests, href, anchors, closing.tests.caption))
    if closing.rechecks:
        parts.append(element("p", "Re-checks due", class_="list-title"))
        parts.append(list_html(map(escape, closing.rechecks)))
    plain = "\n".join([plain_table(closing.tight), plain_table(closing.tests), *closing.rechecks])
    return element("div", "".join(parts), class_="close-up"), plain


def _handover(uses: Uses, _shop: Shop, _href: Href, _anchors: Anchors) -> tuple[str, str]:
    return handover_html(uses)


def handover_html(uses: Uses, gains: Iterable[tuple[str, str]] = ()) -> tuple[str, str]:
    """Return the customer's sheet; ``gains`` are its lines about dyno sessions."""
    sheet = handover(uses, gains)
    plain = "\n".join(f"{label}: {text}" for label, text in sheet.lines)
    return element("div", facts_html(sheet.lines), class_="handover"), plain


RENDERERS: dict[str, Renderer] = {
    "preparation": _preparation,
    "torque-table": torque_table_html,
    "parts-list": _parts_list,
    "tool-list": _tool_list,
    "close-up": _close_up,
    "handover": _handover,
}
"""The derived blocks about a procedure, by name."""
