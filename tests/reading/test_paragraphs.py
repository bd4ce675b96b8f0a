"""Plain paragraphs are told without the Markdown parser as they are with it (markdown-it-py)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from procedures_lib.language.reading.markdown import block_tokens
from procedures_lib.language.reading.reader import read_page
from procedures_lib.language.reading.shortcuts import plain_paragraphs

_STARTS = ["Pull", "a", "é", "Ω", "ª", "1.", "- ", "* ", "#", ">", "=", "---", "+++", ":", "~", "|"]
_STARTS += [
    "[a]: ",
    "[^a]: ",
    "(a)=",
    "<b>",
    "`",
    "```",
    ":::",
    "%",
    "{a}",
    "$$",
    "\\",
    "&",
    "\x0b",
]
_LINE = st.builds(
    "{}{}{}".format,
    st.sampled_from(["", "", "", " ", "    ", "\t", "\xa0"]),
    st.sampled_from([*_STARTS, "Words", "words", "Torque"]),
    st.text(alphabet="a |:-=`{}[]()*_<>\\\x85\u2028\x0c", max_size=8),
)
_TEXT = st.lists(_LINE | st.sampled_from(["", " ", "\t", "Words.", "It clicks."]), max_size=6)


def with_the_parser(text: str) -> list[tuple[int, str]]:
    """The paragraphs as the parser finds them; there must be nothing else."""
    tokens = block_tokens(text)
    assert {token.type for token in tokens} <= {"paragraph_open", "inline", "paragraph_close"}
    assert {token.level for token in tokens} <= {0, 1}
    return [
        (token.map[0], token.content) for token in tokens if token.type == "inline" and token.map
    ]


@given(_TEXT.map("\n".join))
def test_paragraphs_are_the_parsers(text: str) -> None:
    found = plain_paragraphs(text)
    if found is not None:
        assert found == with_the_parser(text)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("", []),
        ("It clicks home.\n", [(0, "It clicks home.")]),
        ("\n \nOne\ntwo\n\t\nThree {part}`a`  \n", [(2, "One\ntwo"), (5, "Three {part}`a`")]),
        ("Über\n\nΩ", [(0, "Über"), (2, "Ω")]),
        ("{part}`a` and\n“b”\n\n'c'", [(0, "{part}`a` and\n“b”"), (3, "'c'")]),
    ],
)
def test_plain_text_needs_no_parser(text: str, found: list[tuple[int, str]]) -> None:
    assert plain_paragraphs(text) == found == with_the_parser(text)


@pytest.mark.parametrize(
    "text",
    ["# A", "- a", "1. a", "a\n---", "a\n: b", "a\n b", "> a", "[a]: b", "a\n\n    b", "(a)="],
)
def test_all_else_is_left_to_the_parser(text: str) -> None:
    assert plain_paragraphs(text) is None


def test_a_very_long_text_keeps_its_lines() -> None:
    page = read_page(("Words.\n\n" * 200_000).encode(), "page.md")
    assert len(page.prose) == 200_000
    assert page.prose[-1].line == 399_999
