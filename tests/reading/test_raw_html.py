"""HTML on a page: found wherever it can stand, while comments, code and plain signs are not."""

from __future__ import annotations

import pytest

from procedures_lib.language.reading.reader import read_page


def raw(text: str) -> list[int]:
    """The lines on which the reader finds HTML."""
    page = read_page(text.encode(), "page.md")
    return [found.place.line for found in page.findings if found.check == "raw-html"]


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("# T\n\n<script>alert(1)</script>\n", 3),
        ("# T\n\nTwo\nlines <b>bold</b>\n", 4),
        ("# T <img src=x onerror=alert(1)>\n", 1),
        ("# T\n\n- item\n- <i>x</i>\n", 4),
        ("# T\n\n> <div>\n", 3),
        ("# T\n\n| a |\n|---|\n| <u>x</u> |\n", 5),
        ("# T\n\n<?php echo 1 ?>\n", 3),
        ("# T\n\n<!DOCTYPE html>\n", 3),
        ("# T\n\n<![CDATA[x]]>\n", 3),
        ("# T\n\n<!-- a --><script>1</script>\n", 3),
        ("# T\n\n<!--> <script>1</script> -->\n", 3),  # a browser's comment ends at `<!-->`
        ("# T\n\n<!-- a --!> <script>1</script> -->\n", 3),  # and at `--!>`
        ("# T\n\n```{raw} html\nx\n```\n", 3),
        ("# T\n\n```{eval-rst}\n.. raw:: html\n```\n", 3),
        ("# T\n\n```{role} html(raw)\n:format: html\n```\n", 3),
        ("# T\n\n```{meta}\n:refresh: 0\n```\n", 3),
        ("# T\n\n:::{note}\n<b>x</b>\n:::\n", 4),
        ("# T\n\n:::{note} <b>x</b>\ny\n:::\n", 3),
        ("# T\n\n:::{step} Lift <b>it</b>\nx\n:::\n", 3),
        ("# T\n\n[x](javascript:alert(1))\n", 3),
        ("# T\n\n[x]( JavaScript:alert(1))\n", 3),
        ("# T\n\n[x]: vbscript:x\n", 3),
        ("# T\n\n[x](java&#115;cript:alert(1))\n", 3),
        ("# T\n\n[x](java%73cript:alert(1))\n", 3),
        ("# T\n\n![x](data:text/html,x)\n", 3),
        ("# T\n\n| a |\n|---|\n| [x](javascript:1) |\n", 5),
        ("# T\n\n<javascript:alert(1)>\n", 3),
        ("# T\n\n```{image} javascript:1\n```\n", 3),
    ],
)
def test_html_is_found_where_it_stands(text: str, line: int) -> None:
    assert raw(text) == [line] * len(raw(text))
    assert raw(text)


@pytest.mark.parametrize(
    "text",
    [
        "# T\n\n<!-- a comment, with <b>tags</b> in it -->\n",
        "# T\n\nText <!-- here --> and on.\n",
        "# T\n\n<!--\nmany\nlines\n-->\n",
        "# T\n\n`<b>` and ``<script>``\n",
        "# T\n\n```html\n<b>x</b>\n```\n",
        "# T\n\n    <b>indented code</b>\n",
        "# T\n\n```{code-block} html\n<b>x</b>\n```\n",
        "# T\n\nless than: 3 < 4, x < y and a > b\n",
        "# T\n\n<https://example.org> and <a.b@example.org>\n",
        "# T\n\n[javascript](page.md) and the word javascript: a language\n",
        "# T\n\n{part}`a <b>`\n",
    ],
)
def test_what_is_no_html_is_left_alone(text: str) -> None:
    assert raw(text) == []
