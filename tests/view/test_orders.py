"""The orders of a joint by stage, and what is said of them."""

from __future__ import annotations

import pytest

from procedures_lib.fronts.tables.words import stage_major_text
from procedures_lib.language.entities.car import Fastener
from procedures_lib.view.joint import order_of, order_of_stage, order_text, orders_by_stage
from tests.helpers import entity_from

SQUARE = "{ul: [0, 9], ur: [9, 9], lr: [9, 0], ll: [0, 0]}"
CROSS = ("ur", "ll", "lr", "ul")


def joint(tighten: str, order: str = "", positions: str = SQUARE, count: int = 4) -> Fastener:
    said = f"\n  count: {count}\n  tighten: {tighten}"
    said += f"\n  order: {order}" if order else ""
    said += f"\n  positions: {positions}" if positions else ""
    entity = entity_from(f"```{{fasteners}}\nj:\n  kind: bolt{said}\n```\n", "j")
    assert isinstance(entity, Fastener)
    return entity


def test_one_order_for_all_stages() -> None:
    bolts = joint("[snug, 10 N·m, +45°]", "[ul, lr, ur, ll]")
    assert orders_by_stage(bolts) == [((1, 2, 3), ("ul", "lr", "ur", "ll"))]
    assert order_text(bolts) == "ul, lr, ur, ll"


def test_a_stage_with_an_order_of_its_own_by_names_and_by_word() -> None:
    bolts = joint(
        "[snug, {stage: 10 N·m, order: cross}, {stage: +45°, order: [ul, lr, ur, ll]}]",
        "[ul, ur, lr, ll]",
    )
    assert order_of(bolts) == ("ul", "ur", "lr", "ll")
    assert [order_of_stage(bolts, stage) for stage in bolts.tighten] == [
        ("ul", "ur", "lr", "ll"),
        CROSS,
        ("ul", "lr", "ur", "ll"),
    ]
    assert [stages for stages, _ in orders_by_stage(bolts)] == [(1,), (2,), (3,)]
    assert order_text(bolts) == (
        "ul, ur, lr, ll; stage 2: cross: ur, ll, lr, ul; stage 3: ul, lr, ur, ll"
    )


def test_stages_that_go_alike_stand_together() -> None:
    bolts = joint("[snug, {stage: 10 N·m, order: [ul, lr, ur, ll]}, +45°]", "cross")
    assert orders_by_stage(bolts) == [((1, 3), CROSS), ((2,), ("ul", "lr", "ur", "ll"))]


def test_a_word_without_positions_names_nobody() -> None:
    bolts = joint("10 N·m", "cross", positions="")
    assert (order_of(bolts), order_text(bolts)) == ((), "cross")


def test_a_joint_without_an_order() -> None:
    assert orders_by_stage(joint("10 N·m")) == [((1,), ())]
    assert order_text(joint("10 N·m")) == ""


@pytest.mark.parametrize(
    ("tighten", "count", "said"),
    [
        ("[10 N·m, 20 N·m]", 4, "Every bolt through stage 1 before stage 2."),
        ("[hand, 10 N·m, +45°]", 4, "Every bolt through stage 1 before stage 2, and so on."),
        ("[10 N·m]", 4, ""),
        ("[10 N·m, 20 N·m]", 1, ""),
    ],
)
def test_each_stage_goes_all_round_before_the_next(tighten: str, count: int, said: str) -> None:
    assert stage_major_text(joint(tighten, positions="", count=count)) == said
