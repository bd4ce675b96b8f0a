"""The last look at a page: what is known is let pass, anything else is told."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from procedures_lib.fronts.site.inspection import faults_in, is_known_address
from tests.site.building import CONF, SmallManual

if TYPE_CHECKING:
    from pathlib import Path


@pytest.mark.parametrize(
    "html",
    [
        "<p>Lift the lid</p>",
        '<a class="x" href="page.html#part">a &lt; b</a>',
        '<a href="https://web.example/?a=b&amp;c">x</a><a href="mailto:a@b.example">x</a>',
        '<img alt="A &quot;lid&quot;" src="_images/lid.png">',
        '<input type="radio" checked><details open><summary>x</summary></details>',
        "<!-- a comment -->",
        '<tr data-when="a=b" aria-label="x"></tr>',
    ],
)
def test_what_is_known_is_let_pass(html: str) -> None:
    assert list(faults_in(html)) == []


@pytest.mark.parametrize(
    ("html", "fault"),
    [
        ("<script>1</script>", "an element `script`"),
        ("<iframe></iframe>", "an element `iframe`"),
        ('<p onclick="x">', "an attribute `onclick`"),
        ('<p style="x">', "an attribute `style`"),
        ("<p onclick=x>", "a `<` that begins no element"),
        ("<p onclick='x'>", "a `<` that begins no element"),
        ("a <3", "a `<` that begins no element"),
        ('<a href="javascript:alert(1)">', "an address `javascript:alert(1)`"),
        ('<a href="java&#115;cript:alert(1)">', "an address `javascript:alert(1)`"),
        ('<a href=" &#1;javascript:1">', "an address"),
        ('<a href="//evil.example">', "an address"),
        ('<img src="https://evil.example/x.png">', "an address `https://evil.example/x.png`"),
        ('<img src="data:image/png;base64,x">', "an address"),
    ],
)
def test_anything_else_is_told(html: str, fault: str) -> None:
    assert any(told.startswith(fault) for told in faults_in(html))


def test_addresses() -> None:
    assert is_known_address("a/b.html?x=1:2#c:d", host=False)
    assert not is_known_address("HTTPS://web.example", host=True)
    assert not is_known_address("/\\evil.example", host=True)


def test_a_page_that_something_spoils_is_not_shown(tmp_path: Path) -> None:
    conf = (
        CONF
        + """
from docutils import nodes

def setup(app):
    def spoil(app, doctree):
        if app.env.docname == "page":
            doctree += nodes.raw("", "<script>alert(1)</script>", format="html")
    def again(app, doctree, docname):
        if docname == "other":
            doctree += nodes.raw("", "<script>alert(2)</script>", format="html")
    app.connect("doctree-read", spoil)
    app.connect("doctree-resolved", again)
"""
    )
    pages = {"index.md": "# Index\n\n```{toctree}\n:glob:\n\n*\n```\n",
             "page.md": "# Page\n\nWords\n", "other.md": "# Other\n\nWords\n"}  # fmt: skip
    result = SmallManual(tmp_path / "m", conf, pages).build()
    assert "a piece `raw` that no page may hold" in result.warnings
    assert "the page would show an element `script`" in result.warnings
    assert "Words" in result.page("page")
    assert "This page is not shown" in result.page("other")
    for name in ("page", "other"):
        assert "alert(" not in result.page(name)
