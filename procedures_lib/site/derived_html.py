"""The derived blocks as HTML, each from its values."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from procedures_lib.site.html import (
    cell_html,
    element,
    facts_html,
    list_html,
    plain_table,
    signal_html,
    table_html,
)
from procedures_lib.tables.closing import close_up, handover
from procedures_lib.tables.hazards import hazards_met
from procedures_lib.tables.parts import parts_list
from procedures_lib.tables.preparation import preparation
from procedures_lib.tables.tools import tool_list
from procedures_lib.tables.torque import torque_table
from procedures_lib.tables.uses import step_links

if TYPE_CHECKING:
    from collections.abc import Callable

    from procedures_lib.manual.shop import Shop
    from procedures_lib.site.html import Anchors, Href
    from procedures_lib.tables.hazards import MetHazard
    from procedures_lib.tables.uses import Uses

    Renderer = Callable[[Uses, Shop, Href, Anchors], tuple[str, str]]


def _torque_table(uses: Uses, shop: Shop, href: Href, anchors: Anchors) -> tuple[str, str]:
    table = torque_table(uses, shop)
    return table_html(table.without_empty_columns(), href, anchors), plain_table(table)


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
        parts.append(_fold("Supplies", list_html(escape(name) for name in prepared.supplies)))
    plain = "\n".join(f"{label}: {text}" for label, text in facts)
    return element("div", "".join(parts), class_="preparation"), plain


def hazards_html(uses: Uses, href: Href) -> str:
    """Return the hazards that a procedure meets, gravest first."""
    return "".join(_met(met, href) for met in hazards_met(uses))


def _met(met: MetHazard, href: Href) -> str:
    hazard = met.hazard
    where = cell_html(step_links(met.steps), href)
    box = signal_html(hazard.signal, hazard.name, [hazard.harm, hazard.avoid])
    if not where:
        return box
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
    sheet = handover(uses)
    plain = "\n".join(f"{label}: {text}" for label, text in sheet.lines)
    return element("div", facts_html(sheet.lines), class_="handover"), plain


RENDERERS: dict[str, Renderer] = {
    "preparation": _preparation,
    "torque-table": _torque_table,
    "parts-list": _parts_list,
    "tool-list": _tool_list,
    "close-up": _close_up,
    "handover": _handover,
}
"""The derived blocks about a procedure, by name."""
