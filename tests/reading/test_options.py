"""Options above the body of a text block: `:key:` lines or a `---` header."""

from __future__ import annotations

import pytest

from procedures_lib.language.reading.page import Block
from tests.helpers import page_from, slips_of, summary


def step(inside: str) -> Block:
    page = page_from(f":::{{step}} Title\n{inside}\n:::\n")
    assert page.findings == ()
    return page.blocks[0]


@pytest.mark.parametrize(
    ("inside", "data", "body", "body_line"),
    [
        ("Body.", None, "Body.", 2),
        (":do: lower vehicle\nBody.", {"do": "lower vehicle"}, "Body.", 3),
        (
            ":do: lower vehicle\n:time: 5 min\n\nBody.",
            {"do": "lower vehicle", "time": "5 min"},
            "Body.",
            5,
        ),
        ("  :do: lower vehicle\nBody.", {"do": "lower vehicle"}, "Body.", 3),
        (":tools: [a, b]", {"tools": ["a", "b"]}, "", 4),
        (":id:\nBody.", {"id": ""}, "Body.", 3),
        (
            "---\ndo:\n  - lower vehicle\n---\nBody.\n\nMore.",
            {"do": ["lower vehicle"]},
            "Body.\n\nMore.",
            6,
        ),
        ("---\n---\nBody.", None, "Body.", 4),
        ("\n---\ntime: 5 min\n---\n\n\nBody.", {"time": "5 min"}, "Body.", 8),
        ("Body.\n\n:time: 5 min", None, "Body.\n\n:time: 5 min", 2),
        ("Body.\n\n---\n\nMore.", None, "Body.\n\n---\n\nMore.", 2),
        (":when: a=b and not c=d\nBody.", {"when": "a=b and not c=d"}, "Body.", 3),
    ],
)
def test_options(inside: str, data: object, body: str, body_line: int) -> None:
    block = step(inside)
    assert block.data == data
    assert (block.body, block.body_line) == (body, body_line)


def test_an_inner_block_right_after_the_opening_is_no_option() -> None:
    page = page_from("::::{step} Title\n:::{warning} Hot\n:hazard: x\nHot.\n:::\n::::\n")
    assert page.blocks[0].data is None
    assert page.blocks[0].blocks[0].data == {"hazard": "x"}


def test_a_header_that_is_never_closed() -> None:
    text = "# T\n\n```{common} c\n```\n\n:::{step} Title\n---\ndo: lower vehicle\n:::\n"
    assert summary(slips_of(text)) == [(6, "unreadable-block")]


def test_a_broken_option_does_not_hide_the_others() -> None:
    text = "```{common} c\n```\n:::{step} Title\n---\ntime: {\ndo: [lift x]\nid: Bad Id\n---\n:::\n"
    assert [f for f in summary(slips_of(text)) if f[1] != "unknown-id"] == [
        (5, "unreadable-block"),
        (7, "bad-id"),
    ]


def test_findings_in_options_point_to_their_lines() -> None:
    head = "```{common} c\n```\n"
    colons = head + ":::{step} Title\n:do: lower vehicle\n:tmie: 5 min\n:time: 5 mm\nBody.\n:::\n"
    assert summary(slips_of(colons)) == [(5, "unknown-field"), (6, "wrong-dimension")]
    header = (
        head + ":::{step} Title\n---\ndo:\n  - lower vehicle\n  - lowre vehicle\n---\nBody.\n:::\n"
    )
    assert summary(slips_of(header)) == [(7, "unknown-verb")]


def test_a_derived_block_holds_options_only() -> None:
    text = "```{common} c\n```\n\n```{torque-table}\n:when: a=b\n\nText.\n```\n"
    found = [f for f in slips_of(text) if f.check == "unknown-field"]
    assert [(f.place.line, f.hint) for f in found] == [(7, "move the text out of the block")]
