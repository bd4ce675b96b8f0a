"""MyST text to plain paragraphs: what a reader of the page sees, without the markup."""

from __future__ import annotations

import pytest

from procedures_lib.language.reading.paragraphs import paragraphs
from procedures_lib.language.reading.shortcuts import barred, plain_paragraphs
from tests.demo import demo


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
    with barred():
        parsed = [paragraphs(body) for body in bodies]
    assert [paragraphs(body) for body in bodies] == parsed
    assert sum(plain_paragraphs(body) is not None for body in bodies) > 100


def test_boxes_in_boxes_end_somewhere() -> None:
    deep = "Inside."
    for n in range(30):
        deep = f"{':' * (n + 3)}{{note}}\n{deep}\n{':' * (n + 3)}"
    assert texts(deep) == []
