"""Which fences are blocks: the reader follows CommonMark and MyST."""

from __future__ import annotations

import pytest

from tests.helpers import content_from, page_from, slips_of

PARTS = "```{parts}\na: {name: A}\n```"


def ids_on(text: str) -> list[str]:
    return [entity.id for entity in content_from(text).entities]


def indented(text: str, by: str) -> str:
    return "\n".join(f"{by}{line}" for line in text.split("\n"))


@pytest.mark.parametrize(
    "text",
    [
        PARTS,
        "~~~{parts}\na: {name: A}\n~~~",
        ":::{parts}\na: {name: A}\n:::",
        "``````{parts}\na: {name: A}\n``````",
        "``` {parts}\na: {name: A}\n```",
        "   ```{parts}\na: {name: A}\n```",
        "Prose right above.\n" + PARTS,
        "- a list\n\n" + indented(PARTS, "  "),
        "1. a list\n   - in a list\n\n" + indented(PARTS, "     "),
        indented(PARTS, "> "),
        indented(indented(PARTS, "> "), "> "),
        "::::{note}\n" + PARTS + "\n::::",
        "::::{grid} 2\n:gutter: 2\n\n:::{grid-item}\n" + PARTS + "\n:::\n::::",
        ":::plain-box\n" + PARTS + "\n:::",
        ":::\n" + PARTS + "\n:::",
        "term\n: explained\n\n" + indented(PARTS, "  "),
        "[^1]: A footnote.\n\n" + indented(PARTS, "    "),
        "---\ntitle: front matter\n---\n\n" + PARTS,
        "<div>\n\n" + PARTS + "\n\n</div>",
    ],
)
def test_a_block(text: str) -> None:
    assert ids_on(text) == ["a"]
    refused = {"<div>": "raw-html", ":::plain-box": "unknown-block"}
    allowed = {check for sign, check in refused.items() if sign in text}
    assert {found.check for found in slips_of(text)} == allowed


# CommonMark 0.31.2: 4.4 indented code, 4.5 fenced code (examples 122 and 128: a longer fence holds
# a shorter one), 4.6 HTML blocks (a comment runs to its end), 6.1 code spans. MyST: `%` comments.
@pytest.mark.parametrize(
    "text",
    [
        "````md\n" + PARTS + "\n````",
        "~~~\n" + PARTS + "\n~~~",
        "<!--\n" + PARTS + "\n-->",
        "<!-- " + PARTS + " -->",
        "<pre>\n" + PARTS + "\n</pre>",
        "Indented:\n\n" + indented(PARTS, "    "),
        "Inline `` ```{parts} a: {name: A} ``` `` code.",
        indented(PARTS, "% "),
        "\\" + PARTS.replace("\n```", "\n\\```"),
        "````{code-block} md\n" + PARTS + "\n````",
        "````{page-example}\n" + PARTS + "\n````",
        "````{raw} html\n" + PARTS + "\n````",
    ],
)
def test_no_block(text: str) -> None:
    assert ids_on(text) == []
    assert {found.check for found in slips_of(text)} <= {"raw-html"}


def test_html_block_that_is_not_parted_by_a_blank_line_takes_the_opening_in() -> None:
    # CommonMark 0.31.2, 4.6, condition 6: the HTML block runs to the blank line.
    assert ids_on("<div>\n" + PARTS + "\n") == []


def test_code_examples_are_kept_with_their_lines_and_language() -> None:
    page = page_from("# T\n\n```python\nprint(1)\n```\n\n````\nplain\n````\n")
    assert [(f.language, f.text, f.line, f.end) for f in page.fences] == [
        ("python", "print(1)\n", 3, 5),
        ("", "plain\n", 7, 9),
    ]


def test_headings_and_title() -> None:
    page = page_from("Intro\n\nThe title\n=========\n\n## Part\n\n# Another\n")
    assert page.title == "The title"
    assert [(s.level, s.title, s.line) for s in page.sections] == [
        (1, "The title", 3),
        (2, "Part", 6),
        (1, "Another", 8),
    ]


@pytest.mark.parametrize(
    ("opening", "check", "hint"),
    [
        ("```{fastners}", "unknown-block", "did you mean `fasteners`?"),
        ("```{Parts}", "unknown-block", "did you mean `parts`?"),
        (":::{stepp} Go", "unknown-block", "did you mean `step`?"),
        ("```{wibble}", "unknown-block", "the blocks are listed in the writer's guide"),
        ("```parts", "unknown-block", "write ```{parts}"),
        ("```{ parts }", "unknown-block", "write ```{parts}"),
        (":::step Go", "unknown-block", "write :::{step}"),
        ("```{parts}x", "unreadable-block", "write ```{parts} x"),
        ("```{include} other.md", "unseen-text", "write the blocks on the page itself"),
        ("```{eval-rst}", "unseen-text", "write the page in MyST"),
        ("```{kit}", "missing-field", "write ```{kit} id"),
        ("```{parts} front", "unknown-field", "remove it"),
    ],
)
def test_a_wrong_opening(opening: str, check: str, hint: str) -> None:
    fence = opening[:3]
    found = [f for f in page_from(f"# T\n\n{opening}\n\n{fence}\n").findings if f.check == check]
    assert [f.place.line for f in found] == [3]
    assert found[0].hint.startswith(hint)
