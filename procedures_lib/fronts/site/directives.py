"""The directives: each takes the block that the reader found in its place, and renders it."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape
from typing import TYPE_CHECKING, Any

from docutils import nodes
from sphinx.util import logging

from procedures_lib.fronts.site.block_directive import BlockDirective, context_of, fragment
from procedures_lib.fronts.site.files import card_link_html
from procedures_lib.fronts.site.gain_html import gain_report_html
from procedures_lib.fronts.site.head_html import (
    car_html,
    head_html,
    job_html,
    only_for,
    procedure_facts,
    vehicle_of,
)
from procedures_lib.fronts.site.html import (
    applies_html,
    element,
    fold_html,
    plain_table,
    table_html,
)
from procedures_lib.fronts.site.landing import finder_html
from procedures_lib.fronts.site.nodes import Boxed, Fragment
from procedures_lib.fronts.site.state import Site
from procedures_lib.fronts.site.table_html import RENDERERS
from procedures_lib.fronts.site.work_directives import (
    BackOutDirective,
    CommonStepsDirective,
    DerivedDirective,
    HandoverDirective,
    OpenItemsDirective,
    OrderDrawingDirective,
    PictureDirective,
    StepDirective,
)
from procedures_lib.fronts.tables.definitions import definition_table, expect_table
from procedures_lib.fronts.tables.gain_report import gain_report
from procedures_lib.fronts.tables.procedure_tables import visit_table
from procedures_lib.judging.checks.mentions import steps_on
from procedures_lib.language.entities.builder import COLLECTIONS, HEADS
from procedures_lib.language.entities.dyno_session import DynoSession
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.work import Job, Procedure, Rule, Signal
from procedures_lib.language.reading.block_kinds import BLOCK_KINDS, SIGNAL_WORDS, Body
from procedures_lib.language.reading.page import Block
from procedures_lib.manual.names import name_of
from procedures_lib.walk.visit import combine

if TYPE_CHECKING:
    from sphinx.application import Sphinx


_logger = logging.getLogger(__name__)


class HeadDirective(BlockDirective):
    """The head block of a page."""

    def render(self, block: Block) -> list[nodes.Node]:
        entity = self._entity(block)
        if entity is None:
            return []
        html = head_html(entity, self.scope(), self.site.manual, self.links().href, self.anchors)
        return self.with_car(entity, html + self.card(entity))

    def card(self, entity: Entity) -> str:
        """The way to the card of a procedure, where the site has cards."""
        if not self.config.procedures_cards or not isinstance(entity, Procedure):
            return ""
        return card_link_html(self.site, self.site.manual.plan(entity), self.env.docname)

    def with_car(self, entity: Entity, html: str, plain: str = "") -> list[nodes.Node]:
        """Below the place where the page's car is chosen, with what the page's frame is told."""
        place, told = self._car(entity)
        if not place:
            return fragment(html, plain)
        return [Fragment("", html=place + html, plain=plain, car=told)]

    def _car(self, entity: Entity) -> tuple[str, dict[str, str]]:
        """The place, with what a procedure tells the scripts; what the frame is told."""
        vehicle = vehicle_of(entity, self.site.manual)
        self.shown.note_entity(vehicle.id if vehicle else "")
        plan = self.plan(entity.id) if isinstance(entity, Procedure) else None
        if plan is not None:
            self.shown.note("shop")
            self.shown.note("earlier", entity.id)
        facts = {"only": only_for(entity, plan)}
        facts |= procedure_facts(plan, self.site.shop) if plan else {}
        told = {"vehicle": vehicle.id if vehicle else "", "only": facts["only"]}
        return car_html(vehicle, facts), told | {"procedure": facts.get("procedure", "")}

    def _entity(self, block: Block) -> Entity | None:
        found = self.site.manual.entities_on(self.page).get(str(block.argument))
        for name in ("vehicle", "kit", "procedure"):
            self.shown.note_entity(str(getattr(found, name, "") or ""))
        if found is not None and hasattr(found, "fits"):
            self.shown.note_entity(str(found.fits.vehicle))
        return found


class JobDirective(HeadDirective):
    """A visit: its procedures in one order, with the time that it saves."""

    def render(self, block: Block) -> list[nodes.Node]:
        job = self.site.manual.head(Job, str(block.argument))
        visit = combine(self.site.manual, job) if job else None
        if job is None or visit is None:
            return []
        plans = [self.plan(name) for name in visit.order]
        titles = {plan.head.id: plan.title for plan in plans if plan}
        self.shown.note("visit", job.id)
        html = job_html(visit, titles, self.links().href, self.anchors)
        return self.with_car(job, html, plain_table(visit_table(visit, titles)))


class CollectionDirective(BlockDirective):
    """A data block of parts, connections, openings, fasteners, fluids or hazards."""

    def render(self, block: Block) -> list[nodes.Node]:
        kind = COLLECTIONS[block.name]
        lines = range(block.place.line, block.end + 1)
        entities = [e for e in self.content_read.entities
                    if isinstance(e, kind) and e.place.line in lines]  # fmt: skip
        table = definition_table(block.name, entities, self.scope())
        html = table_html(table, self.links().href, self.anchors)
        return fragment(html, plain_table(table))


class ExpectDirective(BlockDirective):
    """Double entry: what a source prints beside what the block says."""

    def render(self, block: Block) -> list[nodes.Node]:
        for expect in self.content_read.expects:
            if expect.place == block.place:
                table = expect_table(expect, self.scope())
                html = table_html(table, self.links().href, self.anchors)
                folded = fold_html(expect.source, html, "fold table-fold double-entry")
                return fragment(folded, plain_table(table))
        return []


class SignalDirective(BlockDirective):
    """A signal word after ANSI Z535.6, with the writer's own message."""

    def render(self, block: Block) -> list[nodes.Node]:
        when = next((str(s.when) for s in self._signals(block) if s.place == block.place), "")
        word = element("p", block.name.upper(), class_="signal-word")
        title = element("p", escape(str(block.argument)), class_="signal-title")
        cars = f' data-when="{escape(when)}"' if when else ""
        opening = f'<aside class="signal signal-{block.name}"{cars}>{word}'
        opening += (title if block.argument else "") + applies_html(when, "p")
        node = Boxed("", before=opening, after="</aside>")
        self.inside(block, node)
        return [node]

    def _signals(self, block: Block) -> Iterator[Signal]:
        """What the reader made of the signal words on the page that a block stands on."""
        content = self.site.manual.contents[block.place.page]
        yield from content.signals
        yield from (signal for step in steps_on(content) for signal in step.signals)


class RuleDirective(BlockDirective):
    """A rule, with its source."""

    def render(self, block: Block) -> list[nodes.Node]:
        rule = self.scope().of(Rule, str(block.argument))
        if rule is None:
            return []
        name = self.anchors.attribute(f"definition:{rule.id}")
        title = element("p", escape(name_of(rule, self.scope())), class_="rule-title")
        source = f"Source: {escape(rule.source)}" if rule.source else ""
        after = element("p", source, class_="rule-source") if source else ""
        node = Boxed("", before=f'<aside class="rule"{name}>{title}', after=f"{after}</aside>")
        self.inside(block, node)
        return [node]


class GainReportDirective(BlockDirective):
    """The result of a dyno session."""

    def render(self, block: Block) -> list[nodes.Node]:
        session = self.site.manual.head(DynoSession, str(block.argument))
        if session is None:
            return []
        self.shown.note("session", session.id)
        report = gain_report(self.site.manual, session)
        return fragment(*gain_report_html(report, self.links().href, self.anchors))


class FinderDirective(BlockDirective):
    """The cards of the landing page."""

    def render(self, block: Block) -> list[nodes.Node]:
        del block
        self.shown.note("heads")
        html, pages = finder_html(self.site.manual)
        for page in pages:
            self.shown.note("card", page)
        return fragment(html)


class PageExampleDirective(BlockDirective):
    """A page shown as text, with what the checks say of it."""

    def render(self, block: Block) -> list[nodes.Node]:
        literal = nodes.literal_block(block.body, block.body, language="markdown")
        finds = next(
            (s.options.finds for s in self.content_read.samples if s.block.place == block.place), ()
        )
        said = "Finds " + ", ".join(map(str, finds)) if finds else "No findings"
        caption = f"{escape(str(block.argument))}: {said}" if block.argument else said
        figure = '<figure class="page-example">', element("figcaption", caption) + "</figure>"
        lines = block.body.count("\n") + 1
        before, after = _folded(f"{caption}, {lines} lines") if lines > _LONG else figure
        node = Boxed("", before=before, after=after)
        node += literal
        return [node]


_LONG = 60
"""An example of more lines unfolds: what is said after it would be screens away."""


def _folded(caption: str) -> tuple[str, str]:
    """What stands around a fold of sphinx-design; it needs no script."""
    title = element("span", caption, class_="sd-summary-text")
    summary = element("summary", title, class_="sd-summary-title sd-card-header")
    opening = '<details class="sd-dropdown sd-card sd-mb-3 page-example">'
    return f'{opening}{summary}<div class="sd-summary-content sd-card-body">', "</div></details>"


_SPECIAL: dict[str, type[BlockDirective]] = {
    "job": JobDirective,
    "expect": ExpectDirective,
    "rule": RuleDirective,
    "step": StepDirective,
    "common-steps": CommonStepsDirective,
    "open-items": OpenItemsDirective,
    "back-out": BackOutDirective,
    "order-drawing": OrderDrawingDirective,
    "picture": PictureDirective,
    "handover": HandoverDirective,
    "gain-report": GainReportDirective,
    "find-procedure": FinderDirective,
    "page-example": PageExampleDirective,
}


def _class_for(name: str) -> type[BlockDirective] | None:
    if name in _SPECIAL:
        return _SPECIAL[name]
    if name in HEADS:
        return HeadDirective
    if name in COLLECTIONS:
        return CollectionDirective
    if name in SIGNAL_WORDS:
        return SignalDirective
    if BLOCK_KINDS[name].body is Body.DERIVED and name in RENDERERS:
        return DerivedDirective
    return None


def add_blocks(app: Sphinx, site: Site) -> None:
    """Register a directive for every block of the language."""
    for name in BLOCK_KINDS:
        base = _class_for(name)
        if base is not None:
            members: dict[str, Any] = {"site": site}
            bound = type(base.__name__, (base,), members)
            app.add_directive(name, bound, override=True)
    app.connect("doctree-read", _all_taken(site))
    app.connect("html-page-context", _tell_frame)


def _tell_frame(
    _app: Sphinx, _page: str, _name: str, context: dict[str, Any], doctree: nodes.document | None
) -> None:
    """Tell the page's frame its car: the vehicle, the cars that it is only for, its procedure."""
    found = doctree.findall(Fragment) if doctree is not None else ()
    cars = [node["car"] for node in found if "car" in node]
    context["page_car"] = cars[0] if cars else None
    context["page_followed"] = any(car["procedure"] for car in cars)


def _all_taken(site: Site) -> Any:
    """Return the handler that reports blocks which the reader found and Sphinx did not meet."""

    def check(app: Sphinx, _doctree: nodes.document) -> None:
        context = context_of(app.env, site.manual)
        for block in context.runs[0].rest():
            _logger.warning(
                "{%s} stands here for the reader, but Sphinx did not meet it",
                block.name,
                location=(app.env.docname, block.place.line),
                type="procedures",
                subtype="unseen-text",
            )

    return check
