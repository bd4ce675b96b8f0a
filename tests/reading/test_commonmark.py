"""CommonMark's own examples go through the reader: no crash, and no block where it has none.

The examples are those of the CommonMark specification 0.30 (its ``spec.json``), as the Debian
package ``golang-github-yuin-goldmark-dev`` carries them; ``.ci/run`` installs it.
"""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import pytest
from markdown_it import MarkdownIt

from procedures_lib.language.reading.reader import read_page

SPEC = Path("/usr/share/gocode/src/github.com/yuin/goldmark/_test/spec.json")
FENCE = "```{parts}\ncover: {name: Cover}\n```\n"
REFUSED = frozenset(
    {"unreadable-block", "raw-html", "unknown-block", "foreign-address", "stands-twice",
     "broken-link", "foreign-setting", "wrong-shape", "unknown-word"}
)  # fmt: skip
"""What pages may not bring of what CommonMark allows."""


@pytest.fixture(scope="module")
def examples() -> list[dict[str, Any]]:
    """All examples: their Markdown, and the HTML that it stands for."""
    if not SPEC.is_file():
        if os.environ.get("CI"):
            pytest.fail(f"{SPEC} is missing: install golang-github-yuin-goldmark-dev")
        pytest.skip("CommonMark's examples are not on this machine (DEVELOPERS.md says how)")
    found: list[dict[str, Any]] = json.loads(SPEC.read_text(encoding="utf-8"))
    return found


def test_there_are_all_of_them(examples: list[dict[str, Any]]) -> None:
    assert len(examples) == 652  # CommonMark 0.30


def test_no_example_is_a_block_of_the_page_language(examples: list[dict[str, Any]]) -> None:
    for example in examples:
        page = read_page(example["markdown"].encode(), "page.md")
        assert [block.name for block in page.walk()] == [], example
        assert {f.check for f in page.findings} <= REFUSED, example


def test_code_fences_are_those_that_commonmark_sees(examples: list[dict[str, Any]]) -> None:
    """Fences on the page itself, in its order; those in quotes and lists are the reader's too."""
    parser = MarkdownIt("commonmark")
    for example in examples:
        tokens = parser.parse(example["markdown"])
        fences = [token for token in tokens if token.type == "fence"]
        assert example["html"].count("<pre><code") >= len(fences)
        page = read_page(example["markdown"].encode(), "page.md")
        assert len(page.fences) == len(fences), example


def test_a_block_after_an_example_is_found_where_commonmark_sees_a_fence(
    examples: list[dict[str, Any]],
) -> None:
    parser = MarkdownIt("commonmark")
    for example in examples:
        text = f"{example['markdown']}\n\n{FENCE}"
        infos = [token.info for token in parser.parse(text) if token.type == "fence"]
        page = read_page(text.encode(), "page.md")
        assert [block.name for block in page.walk()] == ["parts"] * infos.count("{parts}"), example
