"""The stages of a joint as HTML: each with its figure, what turns the fastener, and the setting."""

from __future__ import annotations

from html import escape

from procedures_lib.engineering.quantities.units import unbroken
from procedures_lib.fronts.site.html import element
from procedures_lib.fronts.site.nodes import amount_html
from procedures_lib.fronts.tables.words import (
    stage_figures,
    stage_major_text,
    stage_tools,
    tight_text,
)
from procedures_lib.language.entities.car import Fastener
from procedures_lib.manual.shop import Shop
from procedures_lib.view.joint import StageView, joint_tools, order_text, stage_views
from procedures_lib.view.step import ActionView, Thing


def stages_html(action: ActionView, thing: Thing, shop: Shop, when: str, *, named: bool) -> str:
    """Return the stages that an action takes a thing through, "" where it tightens nothing.

    ``when`` are the cars that they are for, ``named`` tells to say whose stages they are.
    """
    fastener = thing.entity
    if action.verb != "tighten" or not isinstance(fastener, Fastener):
        return ""
    name = element("p", escape(thing.name), class_="stages-of") if named else ""
    listed = [_stage(each, fastener, shop) for each in stage_views(fastener, shop, action.stage)]
    if not listed:
        figure = element("strong", escape(tight_text(fastener)), class_="figure")
        listed = [element("li", element("p", figure, class_="stage-figure"), class_="stage")]
    stages = element("ol", "".join(listed))
    working = "" if action.stage else stage_major_text(fastener)
    order = order_text(fastener)
    notes = [working, f"Order: {order}." if order else ""]
    told = "".join(element("p", escape(note), class_="stages-note") for note in notes if note)
    return element(
        "div", name + stages + told, class_="stages", data_joint=fastener.id,
        data_name=thing.name, data_when=when,
    )  # fmt: skip


def _stage(view: StageView, fastener: Fastener, shop: Shop) -> str:
    tools = [tool.name for tool in joint_tools(fastener, shop) if not tool.stage]
    wrench, setting = stage_tools(view, fastener)
    spans = [element("span", escape(unbroken(text))) for text in (*tools, wrench) if text]
    if setting:
        spans.append(element("strong", escape(setting), class_="stage-setting"))
    told = element("p", " ".join(spans), class_="stage-tools") if spans else ""
    return element("li", _figure(view) + told, class_="stage", data_stage=str(view.stage))


def _figure(view: StageView) -> str:
    """The figure of a stage, large, with the same in another unit beside it."""
    figures = stage_figures(view.what)
    lead, other = figures.pop(next(iter(figures)))
    if not figures:
        return element("p", element("strong", escape(lead), class_="figure"), class_="stage-figure")
    large = {unit: figure for unit, (figure, _) in figures.items()}
    small = {unit: beside for unit, (_, beside) in figures.items()}
    shown = element("strong", amount_html(escape(lead), large), class_="figure")
    return element("p", f"{shown} {amount_html(escape(other), small)}", class_="stage-figure")
