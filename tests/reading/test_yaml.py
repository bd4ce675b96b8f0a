"""The YAML of blocks: text with lines, nothing guessed, and what is refused."""

from __future__ import annotations

import pytest

from procedures_lib.language.reading.block_yaml import compose
from procedures_lib.language.reading.page import Scalar, Tree
from tests.helpers import content_from, only_slip, slips_of, summary


def lines_of(tree: Tree) -> object:
    """The tree with each text as (text, line)."""
    if isinstance(tree, Scalar):
        return (str(tree), tree.line)
    if isinstance(tree, list):
        return [lines_of(item) for item in tree]
    return {(str(key), key.line): lines_of(value) for key, value in tree.items()}


def block(yaml: str, name: str = "parts") -> str:
    return f"# T\n\n```{{{name}}}\n{yaml}\n```\n"  # the YAML begins on line 4


@pytest.mark.parametrize(
    "text", ["010", "1:30", "no", "on", "~", "null", "1e3", "0x1F", "2026-09-14"]
)
def test_nothing_is_guessed(text: str) -> None:
    assert compose(f"number: {text}", "page.md", 1).tree == {"number": text}


def test_every_key_and_item_has_its_line() -> None:
    yaml = "a:\n  - one\n  - {b: two,\n     c: [three,\n        four]}\nd: 'five'\ne: |\n  six\n"
    tree = compose(yaml, "page.md", 10).tree
    assert tree is not None
    assert lines_of(tree) == {
        ("a", 10): [
            ("one", 11),
            {("b", 12): ("two", 12), ("c", 13): [("three", 13), ("four", 14)]},
        ],
        ("d", 15): ("five", 15),
        ("e", 16): ("six\n", 16),
    }


def test_an_empty_block_is_no_error() -> None:
    assert compose("", "page.md", 1).tree is None
    assert slips_of(block("# only a comment")) == []


@pytest.mark.parametrize(
    ("yaml", "line", "message", "hint"),
    [
        ("a: {name: A", 4, "broken YAML", "close every bracket"),
        ("a: {name: A}}", 4, "broken YAML", "close every bracket"),
        ('a: {name: "A}', 4, "broken YAML", "close every bracket"),
        ("a: {b: [x, y\n\nc: {name: C}", 4, "broken YAML", "close every bracket"),
        ("a:\n  b: [x,\n      y\n  c: 1", 7, "broken YAML", "in quotes"),
        ("a:\n  b: 'x\n  c: 1\n  d: 2", 5, "broken YAML", "in quotes"),
        ("a: {b: 1,\n    c: 2\n    d: 3}", 6, "broken YAML", "in quotes"),
        ("a: {b: 1,\n    c: 2, d: e: 3}", 5, "broken YAML", "in quotes"),
        ("a:\n  name: A: B", 5, "broken YAML", "in quotes"),
        ("a:\n\tname: A", 5, "broken YAML", "spaces, not with a tab"),
        ("a:\n  name: A\n name: B", 6, "broken YAML", "in quotes"),
        ("a: &x {name: A}", 4, "the anchor `&x` is not read here", "write the value out"),
        ("a: {name: *x}", 4, "the alias `*x` is not read here", "write the value out"),
        ("a: !!python/object:os.system {name: A}", 4, "the tag", "remove it"),
        ("? {a: b}\n: {name: A}", 4, "a key must be one word or phrase", "name the key"),
        ("a: {name: A}\n---\nb: {name: B}", 5, "a second YAML document begins", "remove the `---`"),
        ('a: {name: "A\\0"}', 4, "a text holds a control character", "without escapes"),
        ("a: {name: `A`}", 4, "broken YAML", "in quotes"),
        ("a: {name: @A}", 4, "broken YAML", "in quotes"),
        ("[a, b]", 4, "a parts block holds `key: value` lines only", "write a mapping"),
        ("just words", 4, "a parts block holds `key: value` lines only", "write a mapping"),
    ],
)
def test_refused(yaml: str, line: int, message: str, hint: str) -> None:
    found = only_slip(block(yaml))
    assert (found.check, found.place.line) == ("unreadable-block", line)
    assert message in found.message
    assert hint in found.hint


def test_a_broken_entry_does_not_hide_the_others() -> None:
    text = block(
        "a: {name: A}\nb: {name: B, held-by: [x\nc:\n  name: C\nd: {name: 'D}\ne: {nmae: E}"
    )
    assert summary(slips_of(text)) == [
        (5, "unreadable-block"),
        (8, "unreadable-block"),
        (9, "unknown-field"),
    ]
    content = content_from(text)
    assert [entity.id for entity in content.entities] == ["a", "c", "e"]
    assert content.lost == {"b", "d"}


def test_entries_right_alone_and_wrong_together_are_still_a_finding() -> None:
    found = only_slip(block("- a\nb: {name: B}"))
    assert found.check == "unreadable-block"


def test_a_duplicate_key_names_both_lines_and_the_first_holds() -> None:
    text = block("a: {name: A}\nb: {name: B}\na: {name: C}")
    found = only_slip(text)
    assert (found.check, found.place.line) == ("duplicate-key", 6)
    assert found.message == "`a` stands twice in this block (first on line 4)"
    assert [place.line for place in found.related] == [4]
    assert found.hint == "keep one of the two; the first is used meanwhile"
    names = [getattr(entity, "name", "") for entity in content_from(text).entities]
    assert names == ["A", "B"]


def test_a_duplicate_field_inside_an_entity() -> None:
    found = only_slip(block("a:\n  name: A\n  number: 1\n  name: B"))
    assert (found.check, found.place.line) == ("duplicate-key", 7)


def test_an_alias_bomb_is_refused_at_once() -> None:
    lines = ["a0: &a0 [x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]" for n in range(1, 30)]
    found = slips_of(block("\n".join(lines)))
    assert {f.check for f in found} == {"unreadable-block"}
    assert found[0].place.line == 4


def test_nesting_is_bounded() -> None:
    found = only_slip(block("a: " + "[" * 30 + "]" * 30))
    assert (found.check, found.place.line) == ("unreadable-block", 4)
    assert (found.message, found.hint) == ("nested too deep", "at most 20 levels")
    assert only_slip(block("a: " + "[" * 50_000)).check == "unreadable-block"


def test_many_duplicates_are_found_in_linear_time() -> None:
    keys = "\n".join(f"k{n}: x" for n in range(20_000))
    assert len(compose(f"{keys}\n{keys}", "page.md", 1).findings) == 20_000
