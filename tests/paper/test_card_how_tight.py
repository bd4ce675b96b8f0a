"""Every form of `tighten` on a job card, for all cars and for one."""

from __future__ import annotations

import re

import pytest

from procedures_lib.fronts.paper import card_pdf
from procedures_lib.fronts.paper.card import Card, make_card
from procedures_lib.language.variants import ALWAYS, read_condition
from tests.axle import NO_TORQUE, PAGE, axle_manual
from tests.paper.pdf_text import pages_of


def card(when: str = "", page: str = PAGE) -> Card:
    manual = axle_manual(page)
    (plan,) = manual.plans()
    return make_card(manual, plan, read_condition(when) if when else ALWAYS)


def plain(text: str) -> str:
    return re.sub(r"\s+", " ", text)


def nuts(made: Card) -> list[tuple[str, str]]:
    return [(plain(each.stages), each.only) for each in made.joints if each.id == "hub-nut"]


def test_each_torque_with_its_cars() -> None:
    assert nuts(card()) == [
        ("250 N·m (184 lbf·ft)", "axle=long"),
        ("120 N·m (89 lbf·ft), then +60°", "axle=short"),
    ]
    assert [choice.option for choice in card().head.choices] == ["axle"]
    assert [row.when for row in card().closing.tight.rows if row.when] == [
        "axle=long",
        "axle=short",
    ]


def test_one_torque_for_one_car() -> None:
    assert nuts(card("axle=short")) == [("120 N·m (89 lbf·ft), then +60°", "")]
    assert [plain(text) for text in card("axle=long").closing.rechecks] == [
        "Hub nut: 250 N·m (184 lbf·ft), after 100 km (62 mi)"
    ]


@pytest.mark.parametrize(
    "said",
    [
        "250 N·m (184 lbf·ft)",
        "until 1 to 1 1/2 teeth show",
        "see axle sheet, page 4",
        "20 N·m (15 lbf·ft) or next slot",
        "50 % = 30 N·m (22 lbf·ft)",
        "only: axle=short",
        "Drawing 1. Flange bolts, stage 1: 10 N·m (89 lbf·in) (only top, bottom).",
    ],
)
def test_what_is_printed(said: str) -> None:
    assert said in plain(" ".join(pages_of(card_pdf(card(), "a4"))))


def test_drawings_of_a_joint_that_differs_name_their_cars() -> None:
    page = PAGE.replace(
        "kind: nut\n  thread: M24",
        "kind: nut\n  positions: {left: [0, 0]}\n  order: [left]\n  thread: M24",
    )
    captions = [plain(each.caption) for each in card(page=page).drawings]
    assert [text for text in captions if "Hub nut" in text] == [
        "Drawing 1. Hub nut (only axle=long): 250 N·m (184 lbf·ft). Seen from the side the tool is"
        " on; the page does not say where the car's front lies.",
        "Drawing 2. Hub nut (only axle=short): 120 N·m (89 lbf·ft), then +60°. Seen from the side"
        " the tool is on; the page does not say where the car's front lies.",
    ]
    details = [" ".join(each.details) for each in card(page=page).joints if each.id == "hub-nut"]
    assert ["drawing 1" in text for text in details] == [True, False]


def test_no_torque_is_said() -> None:
    (screw,) = (each for each in card(page=NO_TORQUE).joints if each.id == "cap-screw")
    assert screw.stages == "no torque given"
