"""The parser of the site: the closed list holds for a plain build too, whatever conf.py says."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.site.building import CONF, Built, SmallManual

if TYPE_CHECKING:
    from pathlib import Path

OPEN = (
    CONF
    + """
myst_enable_extensions = ["colon_fence", "deflist", "substitution", "html_image", "attrs_block",
                          "attrs_inline", "dollarmath", "html_admonition"]
myst_substitutions = {"run": "{{ env.srcdir }}"}
myst_url_schemes = {"https": {"url": "javascript:alert({{uri}})"}}
myst_html_meta = {"refresh": "0;url=https://evil.example"}
myst_fence_as_directive = ["raw", "include"]
myst_all_links_external = True
source_suffix = {".md": "markdown", ".rst": "restructuredtext", ".txt": "restructuredtext"}
locale_dirs = ["locales"]
"""
)
"""Settings that open all that MyST can open."""


def built(tmp_path: Path, text: str, conf: str = OPEN, **files: str) -> Built:
    """Build a manual of an index and one page."""
    pages = {"index.md": "# Index\n\n```{toctree}\npage\n```\n", "page.md": f"# Page\n\n{text}\n"}
    manual = SmallManual(tmp_path / "m", conf, pages)
    for name, content in files.items():
        manual.write(name.replace("_", "."), content)
    return manual.build()


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("{{ run }} and {{ 7 * 7 }}", "{{ 7 * 7 }}"),
        ("$x$", "$x$"),
        ("[x](https://web.example)", 'href="https://web.example"'),
        ("{.evil}\nwords", "{.evil}"),
        ("www.bare.example", "www.bare.example"),
    ],
)
def test_syntax_that_conf_switches_on_stays_text(tmp_path: Path, text: str, shown: str) -> None:
    result = built(tmp_path, text)
    assert shown in result.page("page")
    assert result.warnings == ""


def test_what_conf_opens_stays_shut(tmp_path: Path) -> None:
    result = built(tmp_path, "<img src=x onerror=alert(1)>\n\n```raw html\n<b>x</b>\n```")
    html = result.page("page")
    assert "onerror" not in html
    assert "&lt;b&gt;x&lt;/b&gt;" in html
    assert "javascript:" not in html
    assert "evil.example" not in html


def test_only_pages_of_the_manual_are_read(tmp_path: Path) -> None:
    result = built(tmp_path, "Words", evil_rst="Evil\n====\n", more_txt="More\n====\n")
    assert result.read == ["index", "page"]
    assert not (result.html / "evil.html").exists()


def test_a_page_that_changed_since_it_was_checked_is_held_to_the_list(tmp_path: Path) -> None:
    """The renderer judges by itself: here the checks never saw what it is given."""
    conf = (
        CONF
        + """
def setup(app):
    def worse(app, name, source):
        if name == "page":
            source[0] = "# Page\\n\\n```{include} /etc/hostname\\n```\\n\\n{raw}`x` <b>y</b>\\n"
    app.connect("source-read", worse)
"""
    )
    result = built(tmp_path, "Words", conf)
    assert "is not read by the checks" in result.warnings
    assert "there is no role {raw}" in result.warnings
    assert "HTML on the page" in result.warnings
    assert "<b>" not in result.page("page")


def test_a_line_that_is_kept_and_a_rule_are_shown(tmp_path: Path) -> None:
    result = built(tmp_path, "one\\\ntwo\n\n---")
    assert result.warnings == ""
    assert "one<br>" in result.page("page")
    assert "<hr>" in result.page("page")


def test_contents_in_a_circle_are_told_and_left_out(tmp_path: Path) -> None:
    result = built(tmp_path, "```{toctree}\nindex\n```")
    assert "index.md → page.md → index.md" in result.warnings
    assert "page.md:4" in result.warnings
    assert "Page" in result.page("page")


def test_code_in_a_language_that_is_not_coloured_is_shown_plain(tmp_path: Path) -> None:
    result = built(tmp_path, "```csharp\nx\n```\n\n```json\n{no json\n```")
    assert result.warnings == ""
    assert "highlight-csharp" not in result.page("page")
    assert "highlight-json" in result.page("page")
