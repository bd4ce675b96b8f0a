"""The Markdown parser of the reader, set as MyST-Parser is on the site; fences and HTML.

Comments are no HTML here. A comment ends where a browser ends it (WHATWG HTML, 13.2.5.43 to
13.2.5.52): at ``-->`` or ``--!>``, and ``<!-->`` and ``<!--->`` are whole ones.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache
from typing import TYPE_CHECKING, Any

from markdown_it import MarkdownIt
from markdown_it.rules_block import make_fence_rule
from markdown_it.rules_inline import autolink, backtick, html_inline, image, link
from mdit_py_plugins.deflist import deflist_plugin
from mdit_py_plugins.footnote import footnote_plugin
from mdit_py_plugins.front_matter import front_matter_plugin
from mdit_py_plugins.myst_blocks import myst_block_plugin
from mdit_py_plugins.myst_role import myst_role_plugin
from mdit_py_plugins.myst_role.index import myst_role

if TYPE_CHECKING:
    from markdown_it.rules_inline import StateInline
    from markdown_it.token import Token

    Rule = Callable[[StateInline, bool], bool]


POINTING = frozenset({"link_open", "image", "footnote_ref"})
"""Inline tokens that lead away from where they stand."""


@cache
def _parser() -> MarkdownIt:
    """The parser, whose settings never change after it is made."""
    md = MarkdownIt("commonmark").enable("table")
    md.use(front_matter_plugin).use(myst_block_plugin).use(myst_role_plugin)
    md.use(footnote_plugin, inline=False, move_to_end=False, always_match_refs=True)
    md.use(deflist_plugin)
    md.block.ruler.before(
        "fence",
        "colon_fence",
        make_fence_rule(markers=(":",), token_type="colon_fence", exact_match=False),  # noqa: S106
        {"alt": ["paragraph", "reference", "blockquote", "list", "footnote_def"]},
    )
    for name, rule in (
        ("myst_role", myst_role),
        ("backticks", backtick),
        ("html_inline", html_inline),
    ):
        md.inline.ruler.at(name, _located(rule))
    for name, rule in (("link", link), ("image", image), ("autolink", autolink)):
        md.inline.ruler.at(name, _begun(rule))
    notes = next(rule for rule in md.inline.ruler.__rules__ if rule.name == "footnote_ref")
    md.inline.ruler.at("footnote_ref", _begun(notes.fn))
    setattr(md, "validateLink", _any_address)  # noqa: B010 - a hook of the parser, set on the object
    return md.disable("inline")


def _any_address(_url: str) -> bool:
    """Take every address for one: which are allowed is judged in ``allow_list.py``, and said."""
    return True


def _located(rule: Rule) -> Rule:
    """Have a rule's tokens say where they stand: ``start`` and ``end`` in ``meta``."""

    def located(state: StateInline, silent: bool) -> bool:
        start, before = state.pos, len(state.tokens)
        matched = rule(state, silent)
        if matched and not silent and len(state.tokens) > before:
            state.tokens[-1].meta.update(start=start, end=state.pos)
        return matched

    return located


def _begun(rule: Rule) -> Rule:
    """Have the token that leads away say where it begins: ``begins`` in ``meta``."""

    def begun(state: StateInline, silent: bool) -> bool:
        start, before = state.pos, len(state.tokens)
        matched = rule(state, silent)
        if matched and not silent:
            for token in state.tokens[before:]:
                if token.type in POINTING:
                    token.meta = {**token.meta, "begins": start}
                    break
        return matched

    return begun


def block_tokens(text: str, definitions: dict[str, Any] | None = None) -> list[Token]:
    """Parse the block structure; inline text stays unparsed in the ``inline`` tokens.

    ``definitions`` takes what the text defines for links: ``references`` by label, and
    ``duplicate_refs``.
    """
    return _parser().parse(text, definitions)


def inline_tokens(text: str) -> list[Token]:
    """Parse one run of inline text; roles, code and HTML say where they stand (``_located``)."""
    tokens: list[Token] = []
    md = _parser()
    md.inline.parse(text, md, {}, tokens)
    return tokens


_LINE = re.compile(r" {0,3}(`{3,}|~{3,}|:{3,})\s*(.*)$")
_NAMED = re.compile(r"\{([^\s}]+)\}")


class Fenced:
    """A fence from line ``line`` to line ``end`` of a page, with all that stands inside it."""

    def __init__(self, token: Token, line: int, end: int, last: str) -> None:
        """Take the token, the page's lines it spans, and the text of the last of them."""
        self.line = line
        self.end = end
        self.info = token.info
        self.content = token.content
        self.markup = token.markup
        mark = last.strip().lstrip("> ")
        fit = set(mark) == {self.markup[0]} and len(mark) >= len(self.markup)
        self.closed = end > line and fit

    def opening_inside(self) -> int | None:
        """Return the first content line (from 0) that opens a block which this fence can't hold.

        A block inside another needs a shorter fence: one as long ends the outer one too early, so
        that the outer one was left open. Lines of a code example inside do not count.
        """
        code = ""
        for n, text in enumerate(self._lines()):
            match = _LINE.match(text)
            if not match:
                continue
            mark, rest = match.groups()
            if code:
                code = "" if mark.startswith(code) and not rest else code
            elif mark[0] == self.markup[0] and len(mark) >= len(self.markup):
                if _NAMED.match(rest):
                    return n
            elif mark[0] != ":" and not _NAMED.match(rest):
                code = mark
        return None

    def name_inside(self, line: int) -> str:
        """Return the name of the block that a content line opens."""
        match = _NAMED.search(self._lines()[line])
        return match[1] if match else ""

    def before(self, line: int) -> str:
        """Return the content above a content line."""
        return "\n".join(self._lines()[:line])

    def rest(self, line: int) -> str:
        """Return the content from a content line on, with the line that closed the fence."""
        return "\n".join([*self._lines()[line:], *([self.markup] if self.closed else [])])

    def _lines(self) -> list[str]:
        return self.content.removesuffix("\n").split("\n")


_COMMENT = re.compile(r"<!--(?:-?>|.*?--!?>)", re.DOTALL)
_TAG = re.compile(r"<[^\s<>]{0,40}")


def raw_in_html(html: str) -> str:
    """Return what stands in a piece of HTML besides comments: its first tag, "" for nothing."""
    rest = _COMMENT.sub("", html)
    found = _TAG.search(rest)
    return found[0] if found else ""
