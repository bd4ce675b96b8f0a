"""The directives of the work: steps, what is open after them, the blocks drawn from them."""

from __future__ import annotations

from functools import partial
from posixpath import dirname, relpath

from docutils import nodes
from sphinx.util import logging

from procedures_lib.fronts.site.block_directive import BlockDirective, Run, fragment
from procedures_lib.fronts.site.files import file_link_html
from procedures_lib.fronts.site.head_html import readings_by_joint, step_attributes
from procedures_lib.fronts.site.html import element, fold_html
from procedures_lib.fronts.site.nodes import Boxed
from procedures_lib.fronts.site.order_figure import order_figure
from procedures_lib.fronts.site.picture_html import PictureSource, picture_html
from procedures_lib.fronts.site.pictures import cache_of, pictures_by_page, site_pictures
from procedures_lib.fronts.site.step_html import (
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
    rule_html,
    torque_table_html,
)
from procedures_lib.fronts.tables.gain_report import gain_lines
from procedures_lib.fronts.tables.picture_words import picture_alternative
from procedures_lib.judging.checks.pictures import picture_file
from procedures_lib.judging.checks.publishing import PathFault
from procedures_lib.judging.records.readings import step_keys
from procedures_lib.language.entities.car import Fastener
from procedures_lib.language.entities.picture import Picture
from procedures_lib.language.entities.work import DerivedOptions, Procedure
from procedures_lib.language.reading.page import Block
from procedures_lib.language.variants import ALWAYS
from procedures_lib.manual import NumberedStep, Plan
from procedures_lib.manual.names import name_of
from procedures_lib.manual.picture_file import PictureError
from procedures_lib.view.picture import picture_view
from procedures_lib.view.step import step_view
from procedures_lib.view.uses import options_of, uses_of
from procedures_lib.walk.way_back import ways_from

_logger = logging.getLogger(__name__)


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
        view = step_view(numbered, plan)
        before = step_before(view, self.anchors, told, level)
        if view.rules:
            uses = self.context.once(("uses", plan.head.id, ""), partial(uses_of, plan, ALWAYS))
            before += "".join(rule_html(rule, uses, self.links().href) for rule in view.rules)
        before += self.marks(plan).step(numbered.number)
        items = self.open_after(plan, numbered.number) if numbered.step.actions else []
        fold = open_fold_html(items, *self.plain(), self.context.once(("open items",), dict))
        asked = readings_by_joint(numbered, plan)
        tightens = any(action.verb == "tighten" for action in view.actions)
        if tightens:
            self.shown.note("shop")
        shop = self.site.shop if tightens else None
        after = step_after(view, options_of(plan), asked, self.links().href, fold, shop)
        listed = numbered.number, numbered.step.title, str(view.when)
        node = Boxed("", before=before, after=after, step=listed)
        self.context.step = view
        self.inside(numbered.step.block, node)
        self.context.step = None
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
        link = "" if str(when) else file_link_html(block.name, plan, self.env.docname)
        return fragment(_folded(block.name, html + link) if html else "", plain)

    def given(self, block: Block) -> DerivedOptions:
        """The options that the reader found on the block."""
        for derived in self.content_read.derived:
            if derived.block.place == block.place:
                return derived.options
        return DerivedOptions()


_FOLDED = {
    "torque-table": "Torque table",
    "parts-list": "Parts list",
    "tool-list": "Tool list",
    "close-up": "Close-up list",
    "handover": "The customer's sheet",
}
"""The tables of a procedure, by the title under which they are folded away."""


def _folded(name: str, html: str) -> str:
    title = _FOLDED.get(name)
    return fold_html(title, html, "fold table-fold") if title else html


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
        if fastener is None:
            return []
        return fragment(*order_figure(fastener, name_of(fastener, scope)))


class PictureDirective(BlockDirective):
    """A picture, with what it shows marked in it."""

    def render(self, block: Block) -> list[nodes.Node]:
        scope = self.scope()
        picture = scope.of(Picture, str(block.argument))
        if picture is None:
            return []
        self.shown.note("picture", f"{picture.place.page} {picture.id}")
        view = picture_view(picture, scope, self.context.step)
        size, sources = self._files(picture)
        html = picture_html(view, size, sources, self.links().href)
        return fragment(html, picture_alternative(view))

    def _files(self, picture: Picture) -> tuple[tuple[int, int], list[PictureSource]]:
        """The picture's size, and its files on the site; what is wrong with it the checks tell."""
        file = picture_file(self.site.manual, picture)
        if file is None or isinstance(file, PathFault) or self.env.app.builder.format != "html":
            return (1, 1), []
        path, size = file
        try:
            made = site_pictures(cache_of(self.env.app), path, picture.id)
        except PictureError as error:
            _logger.warning("%s (%s)", error.message, error.hint, location=self.get_location(),
                            type="procedures", subtype=error.check)  # fmt: skip
            return (size.width, size.height), []
        shown = pictures_by_page(self.env).setdefault(self.env.docname, {})
        shown.update({each.path: str(each.kept) for each in made})
        here = dirname(self.env.docname) or "."
        sources = [PictureSource(relpath(e.path, here), e.width, e.height) for e in made]
        return (size.width, size.height), sources


class HandoverDirective(DerivedDirective):
    """The customer's sheet, with what the dyno sessions of the procedure found."""

    def render(self, block: Block) -> list[nodes.Node]:
        plan = self.plan(str(block.argument))
        if plan is None:
            return []
        self.shown.note("results", plan.head.id)
        uses = uses_of(plan, self.given(block).when)
        html, plain = handover_html(uses, gain_lines(self.site.manual, plan.head.id))
        return fragment(_folded(block.name, html), plain)
