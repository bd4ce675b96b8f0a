"""Roles and visible words, with their lines."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from procedures_lib.language.reading import page_notes
from procedures_lib.language.reading.page import HIDDEN, Prose
from procedures_lib.language.reading.page_notes import PageNotes, Run
from procedures_lib.language.reading.shortcuts import barred
from tests.helpers import page_from


def roles_in(text: str) -> list[tuple[str, str, int]]:
    page = page_from(text)
    blocks = [block for block in page.walk() if block.roles]
    roles = [*page.roles, *(role for block in blocks for role in block.roles)]
    return [(role.name, str(role.target), role.target.line) for role in roles]


def words_in(text: str) -> list[tuple[str, int]]:
    return [(prose.text, prose.line) for prose in page_from(text).prose]


@pytest.mark.parametrize(
    "text",
    [
        "Go {part}`a`.",
        "**Bold {part}`a`**.",
        "[link {part}`a`](other.md)",
        "| x |\n|---|\n| {part}`a` |",
        "> quoted {part}`a`",
        "- item\n  - {part}`a`",
        "term {part}`a`\n: said",
        "term\n: {part}`a`",
        "## Heading {part}`a`",
        "[^1]: Note {part}`a`",
        ":::{note}\n{part}`a`\n:::",
        ":::{admonition} Title {part}`a`\n:::",
        ":::{step} Title {part}`a`\n:::",
        ":::{warning} Title {part}`a`\n:::",
        "{part}``a``",
        "{part}` a `",
    ],
)
def test_a_role(text: str) -> None:
    assert [(name, target) for name, target, _ in roles_in(text)] == [("part", "a")]


@pytest.mark.parametrize(
    "text",
    [
        "`` {part}`a` ``",
        "\\{part}`a`",
        "<!-- {part}`a` -->",
        "```\n{part}`a`\n```",
        "x\n\n    {part}`a`",
    ],
)
def test_no_role(text: str) -> None:
    assert roles_in(text) == []


def test_roles_in_prose_of_several_lines() -> None:
    text = (
        "First `code\nthat runs on` then {part}`a`\n"
        "and {q}`19\nmm` and <b\nclass=x> then\n{part}`b`, [link](\nx.md) {part}`c`\n"
    )
    assert roles_in(text) == [
        ("part", "a", 2),
        ("q", "19 mm", 3),
        ("part", "b", 6),
        ("part", "c", 7),
    ]


def test_roles_in_lists_quotations_and_tables_of_several_lines() -> None:
    text = """
        - one
          {part}`a`
        - two

          > three
          > {part}`b`

        | x | y |
        |---|---|
        | 1 | {part}`c` |
        | 2 | {part}`d` |
        """
    assert roles_in(text) == [
        ("part", "a", 2),
        ("part", "b", 6),
        ("part", "c", 10),
        ("part", "d", 11),
    ]


def test_roles_in_the_body_of_a_step() -> None:
    text = (
        "# T\n\n:::{step} Take off\n---\ntime: 5 min\n---\n\nOne\n{part}`a` and\n{part}`b`.\n:::\n"
    )
    assert roles_in(text) == [("part", "a", 9), ("part", "b", 10)]


def test_code_roles_and_html_are_hidden_from_the_words() -> None:
    assert words_in("Turn `12 N·m` and {q}`19 mm` <span title='5 N·m'>now</span>.") == [
        ("Turn \ufffc and \ufffc now.", 1)
    ]


def test_a_comment_in_html_is_no_prose() -> None:
    assert words_in("Before.\n\n<!-- 12 N·m -->\n\nAfter <!-- 3 N·m --> all.") == [
        ("Before.", 1),
        ("After  all.", 5),
    ]


def test_link_targets_are_no_prose() -> None:
    assert words_in("See [the sheet](sheet-12mm.pdf).") == [("See the sheet.", 1)]


def test_words_keep_their_line_breaks() -> None:
    (text, line), *_ = words_in("Intro `x\ny`\n12 N·m\n")
    assert line + text.count("\n", 0, text.index("12")) == 3


_PIECES = [
    "{part}",
    "{a",
    "{",
    "}",
    "`",
    "``",
    "a",
    " ",
    "\n",
    "b c",
    "(",
    "]",
    "1 N·m",
    ".",
    "\\",
    "*",
]


def noted(text: str, line: int) -> tuple[Run, PageNotes]:
    run, notes = Run(), PageNotes("page.md", [])
    notes.inline(text, line, run)
    return run, notes


@given(st.lists(st.sampled_from(_PIECES), max_size=14).map("".join))
def test_roles_and_code_read_the_same_without_the_parser(text: str) -> None:
    quick, notes = noted(text, 5)
    with barred():
        parsed, parsed_notes = noted(text, 5)
    assert (notes.findings, notes.pointers) == (parsed_notes.findings, parsed_notes.pointers)
    assert [(role, role.target.line) for role in quick.roles] == [
        (role, role.target.line) for role in parsed.roles
    ]
    if "`" in text and "*" not in text:
        assert quick.prose == parsed.prose


def test_roles_and_code_alone_need_no_parser(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(page_notes, "inline_tokens", lambda _: pytest.fail("parsed"))
    run, notes = noted("Pull {part}`a\nb`,\nthen `x`. {q}` c `", 3)
    assert (notes.findings, notes.pointers) == ([], [])
    assert [(role.name, role.target, role.target.line) for role in run.roles] == [
        ("part", "a b", 3),
        ("q", "c", 5),
    ]
    assert run.prose == [Prose(f"Pull {HIDDEN}\n,\nthen {HIDDEN}. {HIDDEN}", 3)]
