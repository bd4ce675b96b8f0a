"""The directives: each takes the block that the reader found in its place, and renders it."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from html import escape
from typing import TYPE_CHECKING, Any, ClassVar

from docutils import nodes
from docutils.statemachine import StringList
from sphinx.util import logging
from sphinx.util.docutils import SphinxDirective

from procedures_lib.fronts.site.context import Context, MismatchError, Run, context_of
from procedures_lib.fronts.site.drawing_html import gain_report_html, order_figure
from procedures_lib.fronts.site.files import file_link_html
from procedures_lib.fronts.site.head_html import (
    car_html,
    finder_html,
    head_html,
    job_html,
    procedure_facts,
    step_attributes,
    vehicle_of,
)
from procedures_lib.fronts.site.html import Anchors, Href, element, plain_table, table_html
from procedures_lib.fronts.site.marks import ChangeMarks
from procedures_lib.fronts.site.nodes import Boxed, Fragment, Links
from procedures_lib.fronts.site.rebuild import Shown, shown_on
from procedures_lib.fronts.site.state import Site
from procedures_lib.fronts.site.step_html import (
    note_related,
    open_after,
    open_fold_html,
    open_list_html,
    step_after,
    step_before,
    way_html,
)
from procedures_lib.fronts.site.table_html import (
    RENDERERS,
    handover_html,
    hazards_html,
    torque_table_html,
)
from procedures_lib.judging.checks.walks import can_walk
from procedures_lib.judging.records import step_keys
from procedures_lib.language.entities.base import Entity
from procedures_lib.language.entities.builder import COLLECTIONS, HEADS
from procedures_lib.language.entities.car import Fastener
from procedures_lib.language.entities.content import Content
from procedures_lib.language.entities.dyno_session import DynoSession
from procedures_lib.language.entities.work import DerivedOptions, Job, Procedure
from procedures_lib.language.reading.block_kinds import BLOCK_KINDS, SIGNAL_WORDS, Body
from procedures_lib.language.reading.page import Block
from procedures_lib.language.variants import ALWAYS
from procedures_lib.manual import NumberedStep, Plan, Scope
from procedures_lib.view.definitions import definition_table, expect_table
from procedures_lib.view.gain_report import gain_report, handover_lines
from procedures_lib.view.uses import uses_of
from procedures_lib.view.visit import visit_table
from procedures_lib.walk.open_items import OpenAfter, OpenItem
from procedures_lib.walk.visit import combine
from procedures_lib.walk.walk import Walk, walk
from procedures_lib.walk.way_back import ways_from

if TYPE_CHECKING:
    from sphinx.application import Sphinx


_logger = logging.getLogger(__name__)


class BlockDirective(SphinxDirective):
    """What all blocks share: the reader's block in place of Sphinx's own reading of it."""

    has_content = True
    optional_arguments = 1
    final_argument_whitespace = True
    site: ClassVar[Site]

    def run(self) -> list[nodes.Node]:
        """Render the block that stands here."""
        self.context: Context = context_of(self.env, self.site.manual)
        self.page = f"{self.env.docname}.md"
        self.shown: Shown = shown_on(self.env, self.site, self.env.docname)
        self.anchors = Anchors(self.context.anchors)
        argument = self.arguments[0].strip() if self.arguments else ""
        try:
            block = self.context.runs[-1].take(self.name, argument)
        except MismatchError as error:
            text = f"{error}: blocks from `include` or a substitution are not read"
            _logger.warning(text, location=self.get_location(), type="procedures",
                            subtype="unseen-text")  # fmt: skip
            if error.block is None:
                return []
            block = error.block
        return self.render(block)

    def render(self, block: Block) -> list[nodes.Node]:
        """Return the nodes of a block."""
        raise NotImplementedError

    @property
    def content_read(self) -> Content:
        """What the reader made of this page."""
        return self.site.manual.contents[self.page]

    def scope(self) -> Scope:
        """What the page can see; each look-up is noted as shown."""
        return self.context.once(("scope",), self.shown.scope)

    def links(self) -> Links:
        """The links of this page."""
        make = partial(Links, self.site.manual, self.env.docname, self.scope())
        return self.context.once(("links",), make)

    def plan(self, name: str = "") -> Plan | None:
        """The procedure that a block here is about, its look-ups noted as shown."""
        return self.context.once(("plan", name), partial(self._plan, name))

    def marks(self, plan: Plan) -> ChangeMarks:
        """The marks of what has changed in a procedure since the revision that the build names."""
        self.shown.note("changed", plan.head.id)
        return ChangeMarks(self.site.manual, plan.head.id)

    def _plan(self, name: str) -> Plan | None:
        plan = self.site.manual.plan_of_page(self.page, name)
        if plan is None:
            return None
        for entity in (plan.head, plan.kit, plan.vehicle):
            if entity is not None:
                self.shown.note_entity(entity.id)
        for through in plan.common_heads:
            self.shown.note("steps", through)
        return replace(plan, scope=self.scope())

    def open_after(self, plan: Plan, step: int) -> list[OpenItem]:
        """What is open after a step; nothing where the procedure can't be carried out."""
        walked = self.walk_of(plan)
        if walked is None:
            return []
        make = partial(OpenAfter, walked.run, walked.begun)
        return self.context.once(("open after", plan.head.id), make).items(step, walked.run.all)

    def walk_of(self, plan: Plan) -> Walk | None:
        """The walk of a procedure; None where it can't be carried out."""
        return self.context.once(("walk", plan.head.id), partial(self._walk, plan))

    def _walk(self, plan: Plan) -> Walk | None:
        if not isinstance(plan.head, Procedure) or not can_walk(self.site.manual, plan):
            return None
        own = self.site.manual.plan(plan.head)
        note_related(own, self.shown)
        walked = walk(own, self.site.manual)
        return None if walked.unsure else walked

    def plain(self) -> tuple[Scope, Href]:
        """Scope and links that note nothing: for what has been noted as a whole."""
        scope = self.site.manual.scope(self.page)
        make = partial(Links, self.site.manual, self.env.docname, scope)
        return scope, self.context.once(("plain links",), make).href

    def inside(self, block: Block, into: nodes.Element) -> None:
        """Render the MyST text of a block into a node."""
        lines = block.body.split("\n")
        offset = block.body_line - block.place.line - 1
        self.state.nested_parse(StringList(lines, block.place.page), offset, into)


def fragment(html: str, plain: str = "") -> list[nodes.Node]:
    """Return finished HTML as a node; nothing for none."""
    return [Fragment("", html=html, plain=plain)] if html else []


class HeadDirective(BlockDirective):
    """The head block of a page."""

    def render(self, block: Block) -> list[nodes.Node]:
        entity = self._entity(block)
        if entity is None:
            return []
        html = head_html(entity, self.scope(), self.site.manual, self.links().href, self.anchors)
        return fragment(self.car(entity) + html)

    def car(self, entity: Entity) -> str:
        """The place where the page's car is chosen, with what a procedure tells the scripts."""
        vehicle = vehicle_of(entity, self.site.manual)
        self.shown.note_entity(vehicle.id if vehicle else "")
        plan = self.plan(entity.id) if isinstance(entity, Procedure) else None
        if plan is not None:
            self.shown.note("shop")
        return car_html(vehicle, procedure_facts(plan, self.site.shop) if plan else None)

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
        return fragment(self.car(job) + html, plain_table(visit_table(visit, titles)))


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
                html = table_html(table, self.links().href, self.anchors, expect.source)
                return fragment(html, plain_table(table))
        return []


class StepDirective(BlockDirective):
    """A step, numbered in its procedure."""

    def render(self, block: Block) -> list[nodes.Node]:
        plan = self.plan_with(block)
        if plan is None:
            return []
        own = self.context.once(
            ("own steps", plan.head.id),
            lambda: {n.step.place.line: n for n in plan.steps if n.through is None},
        )
        numbered = own[block.place.line]
        return [*self.hazards_before(numbered, plan), self.step_node(numbered, plan)]

    def plan_with(self, block: Block) -> Plan | None:
        """The procedure or common head on this page that the step or common steps stand under."""
        heads = self.context.once(
            ("heads",),
            lambda: {
                step.place.line: head for head, steps in self.content_read.steps for step in steps
            },
        )
        entity = self.site.manual.entities_on(self.page).get(heads.get(block.place.line, ""))
        if entity is None:
            return None
        return self.plan(entity.id if isinstance(entity, Procedure) else "")

    def hazards_before(self, first: NumberedStep, plan: Plan) -> list[nodes.Node]:
        """The hazards that a procedure meets, before step 1 of a page without a preparation."""
        prepared = any(d.block.name == "preparation" for d in self.content_read.derived)
        if first.number != 1 or prepared or not isinstance(plan.head, Procedure):
            return []
        uses = self.context.once(("uses", plan.head.id, ""), partial(uses_of, plan, ALWAYS))
        return fragment(hazards_html(uses, self.links().href))

    def told(self, numbered: NumberedStep, plan: Plan) -> str:
        """What the scripts are told of a step."""
        keys = self.context.once(("step keys", plan.head.id), partial(step_keys, plan))
        walked = self.walk_of(plan) is not None
        return step_attributes(numbered, plan, keys[numbered.number - 1], walked=walked)

    def step_node(self, numbered: NumberedStep, plan: Plan) -> nodes.Element:
        """Return a step with its prose rendered inside."""
        told, level = self.told(numbered, plan), self.state.memo.section_level + 1
        before = step_before(numbered, plan, self.anchors, told, level)
        before += self.marks(plan).step(numbered.number)
        items = self.open_after(plan, numbered.number) if numbered.step.actions else []
        fold = open_fold_html(items, *self.plain(), self.context.once(("open items",), dict))
        after = step_after(numbered, plan, self.links().href, fold)
        node = Boxed("", before=before, after=after)
        self.inside(numbered.step.block, node)
        return node


class CommonStepsDirective(StepDirective):
    """The steps of a common page, in their place in this procedure."""

    def render(self, block: Block) -> list[nodes.Node]:
        plan = self.plan_with(block)
        if plan is None:
            return []
        made: list[nodes.Node] = []
        for numbered in plan.steps:
            if numbered.through is not None and numbered.through.place == block.place:
                made += self.hazards_before(numbered, plan)
                inner = (one for child in numbered.step.block.blocks for one in child.walk())
                self.context.runs.append(Run(inner))
                made.append(self.step_node(numbered, plan))
                self.context.runs.pop()
        return made


class SignalDirective(BlockDirective):
    """A signal word after ANSI Z535.6, with the writer's own message."""

    def render(self, block: Block) -> list[nodes.Node]:
        word = element("p", block.name.upper(), class_="signal-word")
        title = element("p", escape(str(block.argument)), class_="signal-title")
        opening = f'<aside class="signal signal-{block.name}">{word}'
        node = Boxed("", before=opening + (title if block.argument else ""), after="</aside>")
        self.inside(block, node)
        return [node]


class DerivedDirective(BlockDirective):
    """A block about a procedure that the library fills."""

    def render(self, block: Block) -> list[nodes.Node]:
        plan = self.plan(str(block.argument))
        if plan is None:
            return []
        self.shown.note("shop")
        when = self.given(block).when
        uses = self.context.once(("uses", plan.head.id, str(when)), partial(uses_of, plan, when))
        render = RENDERERS[block.name]
        around = (uses, self.site.shop, self.links().href, self.anchors)
        if block.name == "torque-table":
            html, plain = torque_table_html(*around, self.marks(plan).row)
        else:
            html, plain = render(*around)
        link = (
            ""
            if str(when)
            else file_link_html(block.name, plan, self.env.docname, self.config.procedures_cards)
        )
        return fragment(html + link if html else "", plain)

    def given(self, block: Block) -> DerivedOptions:
        """The options that the reader found on the block."""
        for derived in self.content_read.derived:
            if derived.block.place == block.place:
                return derived.options
        return DerivedOptions()


class OpenItemsDirective(DerivedDirective):
    """What is open after the step named, or after the step above."""

    def render(self, block: Block) -> list[nodes.Node]:
        plan = self.plan(str(block.argument))
        if plan is None:
            return []
        after = self._after(block, plan)
        walked = self.walk_of(plan)
        title = f"Open after step {after}"
        if walked is None:
            inner = "<p>Not known: what the checks find on this page comes first.</p>"
        elif items := open_after(walked, after, self.given(block).when):
            inner = open_list_html(items, *self.plain())
        else:
            inner = "<p>Nothing.</p>"
        html = element("p", title, class_="list-title") + inner
        return fragment(element("div", html), title)

    def _after(self, block: Block, plan: Plan) -> int:
        named = self.given(block).after
        if named is not None:
            return plan.step_number(str(named)) or 0
        above = [
            n.number
            for n in plan.steps
            if (n.through or n.step).place.page == block.place.page
            and (n.through or n.step).place.line < block.place.line
        ]
        return max(above, default=0)


class BackOutDirective(OpenItemsDirective):
    """The way back to a car that can leave, from the step named or the step above."""

    def render(self, block: Block) -> list[nodes.Node]:
        plan = self.plan(str(block.argument))
        walked = self.walk_of(plan) if plan else None
        if plan is None or walked is None:
            return []
        after = self._after(block, plan)
        ways = ways_from(walked, after, self.given(block).when)
        for name in {move.thing for each in ways for move in each.way.moves}:
            self.shown.note_entity(name)
        html = way_html(ways, after, walked.plan)
        return fragment(html, f"The way back after step {after}")


class OrderDrawingDirective(BlockDirective):
    """The tightening order as a drawing."""

    def render(self, block: Block) -> list[nodes.Node]:
        scope = self.scope()
        fastener = scope.of(Fastener, str(block.argument))
        return fragment(*order_figure(fastener, scope)) if fastener else []


class HandoverDirective(DerivedDirective):
    """The customer's sheet, with what the dyno sessions of the procedure found."""

    def render(self, block: Block) -> list[nodes.Node]:
        plan = self.plan(str(block.argument))
        if plan is None:
            return []
        self.shown.note("results", plan.head.id)
        uses = uses_of(plan, self.given(block).when)
        return fragment(*handover_html(uses, handover_lines(self.site.manual, plan.head.id)))


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
        return fragment(finder_html(self.site.manual, self.links().href))


class PageExampleDirective(BlockDirective):
    """A page shown as text, with what the checks say of it."""

    def render(self, block: Block) -> list[nodes.Node]:
        literal = nodes.literal_block(block.body, block.body, language="markdown")
        finds = next(
            (s.options.finds for s in self.content_read.samples if s.block.place == block.place), ()
        )
        said = "Finds " + ", ".join(map(str, finds)) if finds else "No findings"
        caption = f"{escape(str(block.argument))}: {said}" if block.argument else said
        before = '<figure class="page-example">'
        after = element("figcaption", caption) + "</figure>"
        node = Boxed("", before=before, after=after)
        node += literal
        return [node]


_SPECIAL: dict[str, type[BlockDirective]] = {
    "job": JobDirective,
    "expect": ExpectDirective,
    "step": StepDirective,
    "common-steps": CommonStepsDirective,
    "open-items": OpenItemsDirective,
    "back-out": BackOutDirective,
    "order-drawing": OrderDrawingDirective,
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
