"""The derived blocks as HTML, and what stands behind a joint's torque."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from html import escape

from procedures_lib.engineering.quantities.conversion import TORQUE_UNITS
from procedures_lib.engineering.tightening import StageKind
from procedures_lib.engineering.tightening.verdict_words import note_rows, note_summary
from procedures_lib.fronts.site.html import (
    Anchors,
    Href,
    More,
    applies_html,
    cell_html,
    element,
    facts_html,
    fold_html,
    no_more,
    plain_table,
    signal_html,
    table_html,
)
from procedures_lib.fronts.tables.plain_words import prose
from procedures_lib.fronts.tables.procedure_tables import (
    car_facts,
    check_in_table,
    handover_cars,
    handover_lines,
    parts_list,
    protection_text,
    supply_text,
    table_of_tests,
    tight_table,
    tool_list,
    tool_table,
    torque_table,
)
from procedures_lib.fronts.tables.table import Column, Row, step_links
from procedures_lib.fronts.tables.words import (
    recheck_text,
    stage_major_text,
    work_facts,
    wrench_rows,
)
from procedures_lib.language.entities.car import Fastener
from procedures_lib.language.entities.work import Rule
from procedures_lib.manual.names import name_of
from procedures_lib.manual.shop import Shop
from procedures_lib.view.closing import closing, handover
from procedures_lib.view.joint import JointView, joints, verdict_on
from procedures_lib.view.preparation import ProtectionView, SupplyView, preparation
from procedures_lib.view.step import MetHazard, MetRule, hazards_met
from procedures_lib.view.uses import Uses

Renderer = Callable[[Uses, Shop, Href, Anchors], tuple[str, str]]


def joint_html(summary: str, rows: Iterable[tuple[str, str]]) -> str:
    """Return what stands behind a joint's torque as one line that unfolds, without any script."""
    return fold_html(summary, facts_html(rows, "joint-facts"), "joint-note")


def _behind(fastener: Fastener, shop: Shop) -> str:
    """How a joint was judged, and its wrenches; "" for one that can't be judged."""
    verdict = verdict_on(fastener)
    if verdict is None:
        return ""
    return joint_html(note_summary(verdict), (*note_rows(verdict), *wrench_rows(fastener, shop)))


def _worked(fastener: Fastener) -> str:
    working = stage_major_text(fastener)
    return f" {element('small', escape(working))}" if working else ""


def _room_to_tick(fastener: Fastener) -> str:
    """A box for what is looked at and not measured, "" where there is nothing such."""
    looked_at = any(stage.kind is StageKind.UNTIL for stage in fastener.tighten)
    return f" {element('span', '☐', class_='to-tick', aria_hidden='true')}" if looked_at else ""


def torque_table_html(
    uses: Uses, shop: Shop, href: Href, anchors: Anchors, marks: More = no_more
) -> tuple[str, str]:
    """Return the torque table; ``marks`` stand in its cells before what unfolds.

    How a group is taken through its stages stands below its torque in N·m, and how the joint was
    judged in the cell of its thread.
    """
    table = torque_table(uses, shop)
    fasteners = {(row.anchor, row.when): joint.fastener
                 for row, joint in zip(table.rows, joints(uses), strict=True)}  # fmt: skip

    def more(row: Row, column: Column) -> str:
        fastener = fasteners[row.anchor, row.when]
        working = ""
        if column.key == TORQUE_UNITS[0]:
            working = _room_to_tick(fastener) + _worked(fastener)
        behind = _behind(fastener, shop) if column.key == "thread" else ""
        return marks(row, column) + working + behind

    shown = table.without_empty_columns()
    return table_html(shown, href, anchors, more=more), plain_table(table)


def _parts_list(uses: Uses, _shop: Shop, href: Href, anchors: Anchors) -> tuple[str, str]:
    table = parts_list(uses)
    return table_html(table.without_empty_columns(), href, anchors), plain_table(table)


def _tool_list(uses: Uses, shop: Shop, href: Href, anchors: Anchors) -> tuple[str, str]:
    table = tool_list(uses, shop)
    return table_html(table, href, anchors), plain_table(table)


def _preparation(uses: Uses, shop: Shop, href: Href, anchors: Anchors) -> tuple[str, str]:
    prepared = preparation(uses, shop)
    work = work_facts(prepared)
    facts = [*car_facts(prepared), *work]
    parts = [facts_html(facts, sums=(label for label, _ in work))]
    parts += [_met(met, href) for met in prepared.hazards]
    parts += [_met_rule(met, uses, href) for met in prepared.rules]
    if prepared.check_in:
        table = check_in_table(prepared.check_in).without_empty_columns()
        parts.append(fold_html("Kit check-in", table_html(table, href, anchors)))
    parts.append(fold_html("Tools", table_html(tool_table(prepared.tools), href, anchors)))
    if prepared.protection:
        listed = "".join(map(_worn, prepared.protection))
        parts.append(fold_html("Protective equipment", element("ul", listed)))
    if prepared.supplies:
        listed = "".join(map(_supply, prepared.supplies))
        parts.append(fold_html("Supplies", element("ul", listed)))
    plain = "\n".join(f"{label}: {text}" for label, text in facts)
    return element("div", "".join(parts), class_="preparation"), plain


def _worn(protection: ProtectionView) -> str:
    """What is worn, with the cars on which it is."""
    when = str(protection.when)
    text = escape(protection_text(protection))
    return element("li", text + applies_html(when), data_when=when)


def _supply(supply: SupplyView) -> str:
    """What is used up, with the cars on which it is."""
    when = str(supply.when)
    return element("li", escape(supply_text(supply)) + applies_html(when), data_when=when)


def hazards_html(uses: Uses, href: Href) -> str:
    """Return the hazards that a procedure meets, gravest first."""
    return "".join(_met(met, href) for met in hazards_met(uses))


def rule_html(rule: Rule, uses: Uses, href: Href, *, after: str = "", when: str = "") -> str:
    """Return a rule in plain words, its name linked to where it stands."""
    name, address = escape(name_of(rule, uses.plan.scope)), href(f"definition:{rule.id}")
    title = element("a", name, href=address) if address else name
    inner = element("p", title, class_="rule-title")
    inner += "".join(element("p", escape(text)) for text in prose(rule.text, uses)) + after
    return element("aside", inner, data_when=when, class_="rule")


def _met_rule(met: MetRule, uses: Uses, href: Href) -> str:
    return rule_html(met.rule, uses, href, after=_at_steps(met.steps, href), when=str(met.when))


def _at_steps(steps: tuple[int, ...], href: Href) -> str:
    """The steps at which something is shown again, linked."""
    where = cell_html(step_links(steps), href)
    several = "s" if len(steps) > 1 else ""
    return element("p", f"Step{several} {where}", class_="signal-steps") if where else ""


def _met(met: MetHazard, href: Href) -> str:
    hazard = met.hazard
    after = _at_steps(met.steps, href)
    lines = [hazard.harm, hazard.avoid]
    return signal_html(hazard.signal, hazard.name, lines, after=after, when=str(met.when))


def _close_up(uses: Uses, _shop: Shop, href: Href, anchors: Anchors) -> tuple[str, str]:
    last = closing(uses)
    tight, tests = tight_table(last), table_of_tests(last)
    rechecks = [recheck_text(joint) for joint in last.rechecks]
    boxes = {(row.cells[0].runs, row.when): _room_to_tick(joint.fastener)
             for row, joint in zip(tight.rows, last.joints, strict=True)}  # fmt: skip

    def more(row: Row, column: Column) -> str:
        return boxes[row.cells[0].runs, row.when] if column.key == "stages" else ""

    parts = [table_html(tight, href, anchors, tight.caption, more)]
    if tests.rows:
        parts.append(table_html(tests, href, anchors, tests.caption))
    if rechecks:
        parts.append(element("p", "Re-checks due", class_="list-title"))
        parts.append(element("ul", "".join(map(_recheck, last.rechecks))))
    if last.left_open:
        parts.append(element("p", "Handed on open", class_="list-title"))
        listed = (element("li", escape(each)) for each in last.left_open)
        parts.append(element("ul", "".join(listed)))
    plain = "\n".join([plain_table(tight), plain_table(tests), *rechecks, *last.left_open])
    return element("div", "".join(parts), class_="close-up"), plain


def _recheck(joint: JointView) -> str:
    return element("li", escape(recheck_text(joint)), data_when=str(joint.variant))


def _handover(uses: Uses, _shop: Shop, _href: Href, _anchors: Anchors) -> tuple[str, str]:
    return handover_html(uses)


def handover_html(uses: Uses, gains: Iterable[tuple[str, str]] = ()) -> tuple[str, str]:
    """Return the customer's sheet; ``gains`` are its lines about dyno sessions."""
    sheet = handover(uses)
    lines = handover_lines(sheet, gains)
    plain = "\n".join(f"{label}: {text}" for label, text in lines)
    return element("div", facts_html(lines, cars=handover_cars(sheet)), class_="handover"), plain


RENDERERS: dict[str, Renderer] = {
    "preparation": _preparation,
    "torque-table": torque_table_html,
    "parts-list": _parts_list,
    "tool-list": _tool_list,
    "close-up": _close_up,
    "handover": _handover,
}
"""The derived blocks about a procedure, by name."""
