"""Pages at random, all the way to the site: what the checks let pass builds, and is harmless.

A page is made of headings, paragraphs, lists, tables, links, roles, footnotes, code, HTML,
directives with options, and settings above it: most as they should be, some as they may not be.
"""

from __future__ import annotations

import io
import re
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from hypothesis import strategies as st
from sphinx.application import Sphinx
from sphinx.util.docutils import docutils_namespace, patch_docutils

from procedures_lib.findings import Level
from procedures_lib.judging.checks import check_manual
from procedures_lib.language.reading.allow_list import DIRECTIVES, LANGUAGES, ROLES, SETTINGS
from procedures_lib.language.reading.block_kinds import BLOCK_KINDS, ROLE_NAMES
from procedures_lib.manual import Manual
from tests.hostile.attacks import HTML, READING, SPELLINGS
from tests.hostile.trying import harm_in, write
from tests.hostile.trying import together as no_attack

if TYPE_CHECKING:
    from collections.abc import Callable

PARTED = "\n=====\n"
"""Stands between the pages of an example."""

_FOREIGN = (
    "include", "raw", "csv-table", "list-table", "math", "only", "class", "table", "index",
    "literalinclude", "rubric", "topic", "sidebar", "glossary", "hlist", "button-link",
    "figure-md", "eval-rst", "contents", "wibble", "NOTE", "tab-set-code",
)  # fmt: skip
_WORDS = (
    "Lift the lid", "two bolts", "A", "ü — ß", "x < y & z", "10 mm", "`code`", "*em*", "**b**",
    "a\\\nb", "a  \nb", "&amp;", "\\*", "<!-- c -->", "![alt](p.png)", "{kbd}`Ctrl`", "[", "](",
    "!", "1. x", "`", "``a`b``", "http://bare.example/x", "a_b_c", "|", "$x$", "{{ x }}", "'q'",
    '"q"', "<", "{", "}`", "# no", "\u200b", "%", "---", ":::", "\\[x](y)", "&#60;b&#62;", "^^^",
)  # fmt: skip
_GOOD_TARGETS = (
    "index.md", "harmless.md", "/harmless.md", "#page", "/index.md#manual", "mailto:a@b.example",
    "https://web.example/a?b=c&d", "https://web.example/#%20x", "t.csv", "/t.csv", "<index.md>",
    'index.md "title"', "./harmless.md", "../docs/index.md",
)  # fmt: skip
_TARGETS = (
    "a0001.md", "/a0000.md", "a0002.md#part", "#part", "#label", "#nowhere", "../t.csv", "p.png",
    "missing.md", "missing.png", "", "?x", "a b.md", ".", "..", "a0000", "harmless.md#nowhere",
    *SPELLINGS.values(),
)  # fmt: skip
_VALUES = (
    "", "true", "1", "2", "9", "60%", "320px", "left", "center", "words here", "a: b", "# x", '"q"',
    "'q", "[a]", "{a: b}", "&a x", "*a", "|", ">", "javascript:alert(1)", "- x", "10", "0", "-1",
    "sd-d-none",
)  # fmt: skip
_ODD_LINES = (
    "(label)=\n## Part", "(label)=", "[^a]: Note.", "[^b]: Note\n\n    more", ":::plain\nx\n:::",
    "[y]: https://web.example", "[z]: a0000.md", "Setext\n======", "##", "####### x", "[^c]:",
)  # fmt: skip
_LINES = (
    "term\n: what", "---", "***", "+++", "% comment", "    code", "> quote", ":::\nbox\n:::",
    "a | b\n-|-", "1. a\n2. b", "- [ ] x", "* * *", "Setext\n------", "[x]", "~~~\ncode\n~~~",
    "> - a\n>   > b", "a\n: b\n\n  c", "| a |\n|:-:|\n| 1 | 2 |", "Some words[^n]",
)  # fmt: skip


def mostly(good: st.SearchStrategy[str], odd: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
    """Draw what should be let pass, and one time in twelve what may not be."""
    return st.integers(0, 11).flatmap(lambda n: good if n else odd)


words = st.sampled_from(_WORDS)
targets = mostly(st.sampled_from(_GOOD_TARGETS), st.sampled_from(_TARGETS))
line = st.lists(words, min_size=1, max_size=4).map(" ".join)
one_line = line.map(lambda text: text.replace("\n", " "))
roles = mostly(st.sampled_from(list(ROLES)), st.sampled_from([*ROLE_NAMES, "raw", "math", "doc"]))
role = st.tuples(roles, words).map(lambda pair: f"{{{pair[0]}}}`{pair[1].replace('`', '')}`")
link = st.tuples(line, targets).map(lambda pair: f"[{pair[0]}]({pair[1]})")
picture = mostly(st.just("![words](p.png)"), targets.map(lambda target: f"![words]({target})"))
tag = st.sampled_from(list(HTML.values()))
inline = mostly(line | link | role | picture, tag | st.just("x[^a]"))
paragraph = st.lists(line | inline, min_size=1, max_size=3).map("\n".join)
heading = st.tuples(st.integers(1, 4), one_line).map(lambda pair: f"{'#' * pair[0]} {pair[1]}")
table = st.lists(inline | line, min_size=2, max_size=4).map(
    lambda cells: "| a | b |\n|---|---|\n" + "".join(f"| {c} | {c} |\n" for c in cells)
)
items = st.lists(paragraph, min_size=1, max_size=3).map(
    lambda parts: "\n".join("- " + part.replace("\n", "\n  ") for part in parts)
)
languages = mostly(st.sampled_from(["", "cpp", *LANGUAGES]), st.sampled_from(["{x", "<x>", "{}"]))
code = st.tuples(languages, line).map(lambda pair: f"```{pair[0]}\n{pair[1]}\n```")
hostile = st.sampled_from([text.replace("{out}", "/outside") for text in READING.values()])
plain = mostly(
    st.one_of(paragraph, heading, table, items, code, st.sampled_from(_LINES)),
    st.sampled_from(_ODD_LINES) | hostile,
)
option = st.tuples(
    st.sampled_from([
        "alt", "width", "open", "glob", "hidden", "maxdepth", "class", "name", "align", "selected",
        "gutter", "caption", "titlesonly", "target", "link",
    ]),
    st.sampled_from(_VALUES),
).map(lambda pair: f":{pair[0]}: {pair[1]}")  # fmt: skip
argument = st.one_of(st.just(""), line, targets, st.sampled_from(["p.png", "2", "1 2 2 3", "text"]))


def directive(body: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
    """A directive around other text, its options, argument and place as chance has it."""
    names = st.sampled_from([*DIRECTIVES, *DIRECTIVES, *DIRECTIVES, *_FOREIGN, *BLOCK_KINDS])
    options = st.lists(option, max_size=2).map("\n".join)
    fences = st.sampled_from(["````", ":::::", "~~~~", "```"])
    return st.tuples(fences, names, argument, options, body).map(_directive)


def _directive(parts: tuple[str, str, str, str, str]) -> str:
    fence, name, words_after, options, body = parts
    inner = "\n".join(part for part in (options, "", body) if part or not options)
    return f"{fence}{{{name}}} {words_after}".replace("\n", " ").rstrip() + f"\n{inner}\n{fence}"


def _boxed(parts: tuple[str, str, str]) -> str:
    name, words_after, body = parts
    longest = max([3, *(len(run) for run in re.findall(r":{3,}", body))]) + 1
    mark = ":" * longest
    return f"{mark}{{{name}}} {words_after}\n\n{body}\n{mark}"


def _members(outer: str, inner: str) -> Callable[[list[str]], str]:
    def made(parts: list[str]) -> str:
        within = "\n".join(_boxed((inner, "T", part)) for part in parts)
        return _boxed((outer, "", within))

    return made


def fitting(body: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
    """A directive as it should be, around other text."""
    several = st.lists(body, min_size=1, max_size=3)
    notes = st.sampled_from(["note", "tip", "hint", "seealso", "important", "attention"])
    titled = st.sampled_from(["admonition", "dropdown", "card"])
    contents = st.sampled_from([
        "```{toctree}\n:hidden:\n\nharmless\n```",
        "```{toctree}\n:caption: More\n:maxdepth: 2\n\nWords <https://web.example>\n```",
        "```{toctree}\n:glob:\n\nharm*\n```",
    ])  # fmt: skip
    return st.one_of(
        st.tuples(notes, st.just(""), body).map(_boxed),
        st.tuples(titled, one_line, body).map(_boxed),
        several.map(_members("tab-set", "tab-item")),
        several.map(_members("grid", "grid-item-card")),
        st.just("```{image} p.png\n:alt: What it shows\n```"),
        paragraph.map(lambda text: f"````{{figure}} p.png\n\n{text}\n````"),
        line.map(lambda text: f"````{{code-block}} json\n\n{text}\n````"),
        mostly(contents, targets.map(lambda target: f"```{{toctree}}\n\n{target}\n```")),
    )


block = st.recursive(
    plain, lambda inner: mostly(fitting(inner) | inner, directive(inner)), max_leaves=5
)
setting = st.tuples(
    st.sampled_from([*SETTINGS, "myst", "title", "html_meta"]),
    st.sampled_from(["true", "", "2", "x", "{a: b}", "[", "<script>"]),
).map(lambda pair: f"{pair[0]}: {pair[1]}")
above = mostly(
    st.sampled_from(["", "", "---\norphan: true\n---\n", "---\ntocdepth: 2\n---\n"]),
    st.lists(setting, min_size=1, max_size=2).map(
        lambda rows: "\n".join(["---", *rows, "---", ""])
    ),
)


def _page(parts: tuple[str, list[str], bool]) -> str:
    """A page whose headings leave no level out and whose footnotes are written, unless `loose`."""
    front, blocks, loose = parts
    text = "\n\n".join(blocks)
    if not loose:
        level, lines = 1, []
        for each in text.split("\n"):
            match = re.match(r"(#{1,6}) (.*)", each)
            level = min(len(match[1]), level + 1) if match else level
            lines.append(f"{'#' * level} {match[2]}" if match else each)
        text = "\n".join(lines)
        marks = sorted(set(re.findall(r"\[\^(\w)\](?!:)", text)))
        text += "".join(f"\n\n[^{mark}]: Note." for mark in marks if f"[^{mark}]:" not in text)
    return f"{front}# Page\n\n{text}\n"


loose = st.integers(0, 7).map(lambda n: not n)
page = st.tuples(above, st.lists(block, min_size=1, max_size=4), loose).map(_page)
manuals = st.lists(page, min_size=3, max_size=6).map(PARTED.join)


def silent_builds(text: str) -> None:
    """Whatever of these pages the checks are silent about builds without a warning or harm."""
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder)
        write(root, no_attack([]))
        docs = root / "project" / "docs"
        (docs / "t.csv").write_text("a,b\n1,2\n")
        for n, each in enumerate(text.split(PARTED)):
            (docs / f"a{n:04}.md").write_text(each, encoding="utf-8")
        keep_silent(docs)
        told = _warnings(root)
        assert told == ""
        harm = harm_in(root / "site")
        assert harm == {}


def keep_silent(docs: Path) -> int:
    """Remove the pages with errors, and those that then have some; return how many are left."""
    while True:
        manual = Manual.read(docs)
        errors = [found for found in check_manual(manual) if found.level is Level.ERROR]
        bad = {found.place.page for found in errors if found.place.page in manual.contents}
        if not errors:
            return len(manual.contents)
        assert bad, errors
        for name in bad - {"index.md"} or bad:
            (docs / name).unlink()


def _warnings(root: Path) -> str:
    """Build what is left as a plain build of Sphinx would, and return what it warns of."""
    conf, told = root / "project" / "conf", io.StringIO()
    with patch_docutils(str(conf)), docutils_namespace():
        app = Sphinx(root / "project" / "docs", conf, root / "site", root / "trees", "html",
                     status=None, warning=told)  # fmt: skip
        app.build()
    return told.getvalue()
