"""What all directives share: where Sphinx stands on the page, and the reader's block there."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from functools import partial
from typing import TYPE_CHECKING, Any, ClassVar, TypeVar

from docutils import nodes
from docutils.statemachine import StringList
from sphinx.util import logging
from sphinx.util.docutils import SphinxDirective

from procedures_lib.fronts.site.change_marks import ChangeMarks
from procedures_lib.fronts.site.html import Anchors, Href
from procedures_lib.fronts.site.nodes import Fragment, Links
from procedures_lib.fronts.site.rebuild import Shown, shown_on
from procedures_lib.fronts.site.state import Site
from procedures_lib.fronts.site.step_html import note_related
from procedures_lib.judging.checks.walks import can_walk
from procedures_lib.language.entities.work import Content, Procedure
from procedures_lib.language.reading.page import Block
from procedures_lib.manual import Manual, Plan, Scope
from procedures_lib.view.step import StepView
from procedures_lib.walk.open_items import OpenAfter, OpenItem
from procedures_lib.walk.walk import Walk, walk

if TYPE_CHECKING:
    from sphinx.environment import BuildEnvironment


T = TypeVar("T")

_KEY = "procedures_context"


class MismatchError(Exception):
    """Sphinx and the reader disagree; ``block`` is the one that was meant, if it was found."""

    def __init__(self, message: str, block: Block | None) -> None:
        super().__init__(message)
        self.block = block


class Run:
    """Blocks still to come, in the order of the page."""

    def __init__(self, blocks: Iterable[Block]) -> None:
        self._blocks = list(blocks)
        self._next = 0

    def take(self, name: str, argument: str) -> Block:
        """Return the next block, which must be the one named; raises :class:`MismatchError`.

        After a mismatch the run goes on behind the block that was meant, if there is one, so that
        one odd block is reported once and not with all that follow.
        """
        left = self._blocks[self._next :]
        for n, block in enumerate(left):
            if (block.name, str(block.argument)) == (name, argument):
                self._next += n + 1
                if n:
                    raise MismatchError(
                        f"Sphinx did not meet {{{left[0].name}}} on line {left[0].place.line}",
                        block,
                    )
                return block
        raise MismatchError(f"the reader did not find {{{name}}} here", None)

    def rest(self) -> list[Block]:
        """The blocks that have not been taken."""
        return self._blocks[self._next :]


@dataclass(slots=True)
class Context:
    """One page while Sphinx reads it.

    ``runs`` are the blocks still to come, innermost run last: common steps bring in a run of
    their own. ``step`` is the one that is being rendered. ``anchors`` are those that the page has
    used; ``kept`` is what was made for one block and serves the next, by name.
    """

    runs: list[Run]
    step: StepView | None = None
    anchors: set[str] = field(default_factory=set)
    kept: dict[tuple[str, ...], Any] = field(default_factory=dict)

    def once(self, key: tuple[str, ...], make: Callable[[], T]) -> T:
        """Return what is kept under a key, made the first time it is asked for."""
        if key not in self.kept:
            self.kept[key] = make()
        found: T = self.kept[key]
        return found


def context_of(env: BuildEnvironment, manual: Manual) -> Context:
    """Return the context of the page that is being read."""
    found = env.temp_data.get(_KEY)
    if isinstance(found, Context):
        return found
    content = manual.contents.get(f"{env.docname}.md")
    made = Context([Run(content.page.walk() if content else ())])
    env.temp_data[_KEY] = made
    return made


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
