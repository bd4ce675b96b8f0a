"""The parser of pages on the site: MyST's, with the closed list of what a page may bring in force.

It lets through what ``reading/allow_list.toml`` lets through, whatever the syntax, and
whatever the settings of the site say: a plain ``sphinx-build`` is held to it as well.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache, partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar
from urllib.parse import unquote

from docutils import nodes
from myst_parser.config.main import MdParserConfig
from myst_parser.mdit_to_docutils.base import token_line
from myst_parser.mdit_to_docutils.sphinx_ import SphinxRenderer
from myst_parser.parsers.mdit import create_md_parser
from myst_parser.parsers.sphinx_ import MystParser
from sphinx.transforms.post_transforms import SphinxPostTransform
from sphinx.util import logging

from procedures_lib.fronts.site.nodes import Boxed, Fragment
from procedures_lib.fronts.site.state import Site
from procedures_lib.judging.checks.links import DEEPEST
from procedures_lib.judging.checks.publishing import file_fault
from procedures_lib.language.reading.allow_list import (
    DIRECTIVES,
    SCHEMES,
    Fault,
    address_fault,
    block_faults,
    coloured,
    is_path,
    language_faults,
    role_fault,
    settings_above,
)
from procedures_lib.language.reading.directive import directive_faults
from procedures_lib.language.reading.markdown import raw_in_html
from procedures_lib.language.reading.reader import DEEPEST_BLOCKS
from procedures_lib.manual.folder import ENDING, folder_links

if TYPE_CHECKING:
    from markdown_it import MarkdownIt
    from markdown_it.tree import SyntaxTreeNode
    from sphinx.application import Sphinx
    from sphinx.config import Config


_OPEN = '<div class="wide-table" role="group" aria-label="Table" tabindex="0">'


class FramedTables(SphinxPostTransform):
    """Puts each table of a page in a frame that the keyboard can reach, to scroll it."""

    default_priority = 900
    formats = ("html",)

    def run(self, **_kwargs: Any) -> None:
        """Frame the tables of one page."""
        for table in list(self.document.findall(nodes.table)):
            frame = Boxed("", before=_OPEN, after="</div>")
            table.replace_self(frame)
            frame += table


def add_wide_tables(app: Sphinx) -> None:
    """Register the frames."""
    app.add_post_transform(FramedTables)


_logger = logging.getLogger(__name__)

SYNTAX = ("colon_fence", "deflist")
"""What of MyST's own syntax is read beside CommonMark, as the reader reads it."""

_KINDS = (
    "blockquote", "bullet_list", "code_block", "code_inline", "colon_fence", "dl", "em", "fence",
    "footnote_ref", "footnote_reference", "front_matter", "hardbreak", "heading", "hr",
    "html_block", "html_inline", "image", "inline", "link", "list_item", "myst_block_break",
    "myst_line_comment", "myst_role", "myst_target", "ordered_list", "paragraph", "softbreak",
    "strong", "table", "text",
)  # fmt: skip
"""The kinds of token that are rendered: those of this syntax."""

_DIRECTIVE = re.compile(r"\{\S+\}$")
_GLOB = re.compile(r"[*?\[\]]")
_HARMLESS = ("misc.highlighting_failure", "toc.not_included")
"""What Sphinx need not warn of: an odd code example is shown as plain text, and the checks tell of
pages that no contents lead to."""


@cache
def syntax() -> MdParserConfig:
    """Return MyST's settings for every page of every manual."""
    return MdParserConfig(
        enable_extensions=set(SYNTAX),
        heading_anchors=DEEPEST,
        url_schemes=dict.fromkeys(SCHEMES),
    )


class PageRenderer(SphinxRenderer):
    """Renders the tokens of a page; what is not allowed is left out, and told."""

    def __init__(self, parser: MarkdownIt, site: Site) -> None:
        super().__init__(parser)
        self.site = site
        self._depth = 0
        self.rules = {f"render_{kind}": getattr(self, f"render_{kind}") for kind in _KINDS}

    @property
    def page(self) -> str:
        """The page's name as the manual has it."""
        return f"{self.sphinx_env.docname}{ENDING}"

    def run_directive(
        self, name: str, first_line: str, content: str, position: int, *args: Any, **options: Any
    ) -> list[nodes.Element]:
        """Run a directive of the page language or of the closed list."""
        if self._refuse(self._directive_faults(name, first_line.strip(), content), position):
            return []
        if name == "toctree" and self._leads_astray(position, content):
            return []
        first_line, content = _as_shown(name, first_line, content)
        self._depth += 1
        try:
            return super().run_directive(name, first_line, content, position, *args, **options)
        finally:
            self._depth -= 1

    def _directive_faults(self, name: str, argument: str, content: str) -> list[Fault]:
        faults = list(block_faults(name))
        if self._depth > DEEPEST_BLOCKS:
            said = "blocks stand too deep inside one another"
            faults.append(Fault(0, "unreadable-block", said, "flatten"))
        if name in DIRECTIVES:
            faults += directive_faults(name, argument, content)
            if DIRECTIVES[name].argument == "picture" and not faults:
                faults += self._file_faults(argument, picture=True)
        return faults

    def _leads_astray(self, position: int, content: str) -> bool:
        """Whether contents lead to nothing or back; Sphinx is told to read the page again."""
        lines = range(position, position + content.count("\n") + 2)
        astray = self.site.leads_astray(self.page, lines)
        if astray:
            self.sphinx_env.note_reread()
        return astray

    def render_myst_role(self, token: SyntaxTreeNode) -> None:
        """Render a role of the page language or of the closed list."""
        if not self._refuse(_some(role_fault(token.meta["name"])), token_line(token, 0)):
            super().render_myst_role(token)

    def render_front_matter(self, token: SyntaxTreeNode) -> None:
        """Take the settings above the page that it may make."""
        if self._depth or self.current_node is not self.document:
            fault = Fault(0, "wrong-shape", "what begins with `---` here is taken for settings", "")
            self._refuse([fault], token_line(token, 0))
            return
        settings = settings_above(token.content)
        self._refuse(settings.faults, token_line(token, 0))
        self.sphinx_env.metadata[self.sphinx_env.docname].update(settings.values)

    def render_html_inline(self, token: SyntaxTreeNode) -> None:
        """Leave HTML out; a comment is no fault."""
        self.render_html_block(token)

    def render_html_block(self, token: SyntaxTreeNode) -> None:
        """Leave HTML out; a comment is no fault."""
        tag = raw_in_html(token.content)
        faults = [Fault(0, "raw-html", f"HTML on the page: `{tag}`", "")] if tag else []
        self._refuse(faults, token_line(token, 0))

    def render_hr(self, token: SyntaxTreeNode) -> None:
        """Render a rule wherever it stands; docutils would have it between paragraphs only."""
        self.current_node.append(Fragment("", html="<hr>", plain="\n"))

    def render_hardbreak(self, token: SyntaxTreeNode) -> None:
        """Render a line's end that is kept, without the raw text that MyST writes for it."""
        self.current_node.append(Fragment("", html="<br>", plain="\n"))

    def render_colon_fence(self, token: SyntaxTreeNode) -> None:
        """Render a box; what is named after its colons is a directive."""
        if token.info.strip() and not token.info.strip().startswith("{"):
            fault = Fault(0, "unknown-block", f"`{token.info.strip()}` is no block here", "")
            self._refuse([fault], token_line(token, 0))
            return
        super().render_colon_fence(token)

    def render_fence(self, token: SyntaxTreeNode) -> None:
        """Render a code example or a directive."""
        language = (token.info.split() or [""])[0]
        faults = [] if _DIRECTIVE.match(language) else language_faults(language)
        if not self._refuse(faults, token_line(token, 0)):
            if token.token is not None and not _DIRECTIVE.match(language):
                token.token.info = coloured(language)
            super().render_fence(token)

    def render_link(self, token: SyntaxTreeNode) -> None:
        """Render a link to a web page, a page of the manual, or a file that may be published."""
        address = unquote(str(token.attrGet("href") or ""))
        path = address.partition("#")[0]
        faults = _some(address_fault(address))
        if not faults and path and is_path(address) and not path.endswith(ENDING):
            faults = self._file_faults(path)
        if self._refuse(faults, token_line(token, 0)):
            self.render_children(token)
        else:
            super().render_link(token)

    def render_image(self, token: SyntaxTreeNode) -> None:
        """Render a picture that lies below the manual's folder."""
        path = unquote(str(token.attrGet("src") or ""))
        faults = _some(address_fault(path, picture=True))
        if self._refuse(faults or self._file_faults(path, picture=True), token_line(token, 0)):
            return
        token.attrs["src"] = path
        super().render_image(token)

    def _file_faults(self, target: str, picture: bool = False) -> list[Fault]:
        fault = file_fault(Path(self.sphinx_env.srcdir), self.page, target, picture)
        return [Fault(0, *fault)] if fault else []

    def _refuse(self, faults: Iterable[Fault], line: int) -> bool:
        """Tell what is wrong, unless the checks have told so of this page; whether there is any."""
        found = list(faults)
        if not self.site.tells_of(self.page):
            for fault in found:
                where = (self.sphinx_env.docname, line + fault.line)
                _logger.warning("%s (%s)", fault.message, fault.hint, location=where,
                                type="procedures", subtype=fault.check)  # fmt: skip
        return bool(found)


def _some(fault: Fault | None) -> list[Fault]:
    return [] if fault is None else [fault]


def _as_shown(name: str, first_line: str, content: str) -> tuple[str, str]:
    """Return what stands on a directive's first line and below it, as MyST takes it best."""
    allowed = DIRECTIVES.get(name)
    if allowed and allowed.argument == "language":
        return coloured(first_line.strip()), content
    if allowed and allowed.needs == "either" and not first_line.startswith(":"):
        return "", f"{first_line}\n{content}"  # all of it is the body
    return first_line, content


class PageParser(MystParser):
    """Parses pages for one build."""

    site: ClassVar[Site]

    def parse(self, inputstring: str, document: nodes.document) -> None:
        """Parse a page; settings of MyST, above the page or in ``conf.py``, change nothing."""
        parser = create_md_parser(syntax(), partial(PageRenderer, site=self.site))
        parser.options["document"] = document
        parser.render(inputstring)


def add_parser(app: Sphinx, site: Site) -> None:
    """Have every page read by this parser, and files and raw text kept out of reach."""
    app.add_source_parser(type("PageParser", (PageParser,), {"site": site}), override=True)
    app.connect("config-inited", _only_pages, priority=900)
    app.connect("builder-inited", _closed, priority=800)


def _only_pages(app: Sphinx, config: Config) -> None:
    """Have Sphinx read MyST pages only, and look for them nowhere but in the manual's folder."""
    links = [_GLOB.sub("?", name) for name in folder_links(Path(app.srcdir))]
    config.exclude_patterns = [*config.exclude_patterns, *links]
    config.source_suffix = {ENDING: "markdown"}
    config.locale_dirs = []  # files below the manual's folder would replace its sentences
    config.figure_language_filename = "{root}{ext}"
    config.suppress_warnings = [*config.suppress_warnings, *_HARMLESS]


def _closed(app: Sphinx) -> None:
    """Switch docutils' file insertion and raw text off, and MyST to the one syntax."""
    app.env.settings.update(file_insertion_enabled=False, raw_enabled=False)
    app.env.myst_config = syntax()  # type: ignore[attr-defined]
