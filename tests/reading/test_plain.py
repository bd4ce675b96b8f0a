"""MyST text to plain paragraphs: what a reader of the page sees, without the markup."""

from __future__ import annotations

import pytest

from procedures_lib.language.reading import inline_text as plain
from procedures_lib.language.reading.inline_text import paragraphs
from tests.exports.demo import demo


def texts(body: str) -> list[str]:
    return [
        "".join(f"<{w.role} {w.text}>" if w.role else w.text for w in paragraph)
        for paragraph in paragraphs(body)
    ]


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        ("One line\nand the next.\n\nA second.", ["One line and the next.", "A second."]),
        ("A hard  \nbreak", ["A hard\nbreak"]),
        ("Turn {fastener}`lid-bolts` to {torque}`lid-bolts`.",
         ["Turn <fastener lid-bolts> to <torque lid-bolts>."]),
        ("*Soft* and **loud**, `code`, [words](there.md)", ["Soft and loud, code, words"]),
        ("![a picture of it](x.png)", ["a picture of it"]),
        ("<b>bold</b> and 3 < 4 &amp; \\*", ["bold and 3 < 4 & *"]),
        ("- one\n- two\n  more", ["• one", "• two more"]),
        ("1. first\n2. second", ["1. first", "2. second"]),
        ("| a | b |\n|---|---|\n| 1 | 2 |", ["a | b", "1 | 2"]),
        ("> said", ["said"]),
        ("```text\nkept  lines\nso\n```", ["kept  lines\nso"]),
        (":::{note}\nInside.\n:::", ["Inside."]),
        (":::{admonition} Title\n:class: tip\nInside.\n:::", ["Inside."]),
        ("::::{warning} Hot\nNot here.\n::::\n\nBelow.", ["Below."]),
        ("```{order-drawing} lid-bolts\n```\nBelow.", ["Below."]),
        ("", []),
    ],
)  # fmt: skip
def test_paragraphs(body: str, expected: list[str]) -> None:
    assert texts(body) == expected


def test_plain_bodies_are_read_as_the_parser_reads_them() -> None:
    bodies = [n.step.block.body for plan in demo().plans() for n in plan.steps]
    bodies += ["a\n b\n\n\nc ", " a  b", "a\n\n  \nb", "a\n  - b", "a\n   b", "x  \ny", "a \nb"]
    simple = 0
    for body in bodies:
        slow = tuple(part for part in plain._paragraphs(body, 0) if part)
        assert paragraphs(body) == slow
        simple += not plain._BLOCK_MARK.search(body.strip("\n"))
    assert simple > 100


def test_boxes_in_boxes_end_somewhere() -> None:
    deep = "Inside."
    for n in range(30):
        deep = f"{':' * (n + 3)}{{note}}\n{deep}\n{':' * (n + 3)}"
    assert texts(deep) == []
