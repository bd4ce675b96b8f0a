"""Every form of `tighten` in tables, steps, prose, second looks, and for one car alone."""

from __future__ import annotations

import pytest

from procedures_lib.fronts.tables.definitions import definition_table, expect_table
from procedures_lib.fronts.tables.plain_words import prose
from procedures_lib.fronts.tables.procedure_tables import tight_table, tool_list, torque_table
from procedures_lib.fronts.tables.words import NO_TORQUE as NOT_GIVEN
from procedures_lib.fronts.tables.words import doings, recheck_text, tight_text
from procedures_lib.language.entities.car import Fastener
from procedures_lib.manual.shop import Shop
from procedures_lib.view.closing import closing
from procedures_lib.view.step import steps_in
from procedures_lib.view.uses import Cars
from tests.axle import NO_TORQUE, PAGE, axle_manual, axle_uses
from tests.helpers import findings_of

FLANGE = "10 N·m (only top, bottom), then 50 % = 30 N·m, then 60 N·m, then stretch 0.12–0.18 mm"
TIGHT = {
    "Boot clamp": "until 1 to 1 1/2 teeth show",
    "Cap screw": "see axle sheet, page 4",
    "Pin nut": "20 N·m or next slot, then back off at most 1/4 turn",
    "Flange bolts": FLANGE,
}


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


def torques(when: str = "", page: str = PAGE) -> list[tuple[str, str, str]]:
    records = torque_table(axle_uses(when, page), Shop()).records()
    return [(row["fastener"], plain(row["N·m"]), row["when"]) for row in records]


def done(when: str = "", page: str = PAGE) -> list[str]:
    uses = axle_uses(when, page)
    cars = Cars(uses.plan, uses.when)
    return [plain(each.text) for view in steps_in(uses) for each in doings(view, uses, cars)]


def test_the_page_is_clean() -> None:
    assert findings_of(PAGE) == []


def test_the_torque_table_has_a_row_for_each_condition() -> None:
    assert [row for row in torques() if row[0] == "Hub nut"] == [
        ("Hub nut", "250 N·m", "axle=long"),
        ("Hub nut", "120 N·m, then +60°", "axle=short"),
    ]
    assert {name: said for name, said, when in torques() if not when} == TIGHT


def test_for_one_car_there_is_one_torque() -> None:
    assert [row for row in torques("axle=short") if row[0] == "Hub nut"] == [
        ("Hub nut", "120 N·m, then +60°", "axle=short")
    ]
    assert "Tighten Hub nut: 120 N·m (89 lbf·ft), then +60°" in done("axle=short")


def test_a_step_says_each_torque_with_its_cars() -> None:
    assert [line for line in done() if "Hub nut:" in line] == [
        "Tighten Hub nut: 250 N·m (184 lbf·ft) (only: axle=long)",
        "Tighten Hub nut: 120 N·m (89 lbf·ft), then +60° (only: axle=short)",
    ]
    assert "Tighten Boot clamp: until 1 to 1 1/2 teeth show" in done()


def test_a_stage_is_that_of_the_cars_that_have_it() -> None:
    page = PAGE.replace("  - tighten hub-nut\n", "  - tighten hub-nut stage 2\n")
    assert [line for line in done(page=page) if "Hub nut:" in line] == [
        "Tighten Hub nut: stage 2: +60° (only: axle=short)"
    ]


def test_prose_says_what_the_cars_asked_about_have() -> None:
    def of(when: str) -> str:
        uses = axle_uses(when)
        return plain(" ".join(prose(uses.steps[1].step.block.body, uses)))

    assert of("").startswith(
        "The nut takes axle=long: 250 N·m (184 lbf·ft); axle=short: 120 N·m (89 lbf·ft), then +60°,"
    )
    assert of("axle=long").startswith("The nut takes 250 N·m (184 lbf·ft), the bolts")
    assert "the clamp until 1 to 1 1/2 teeth show." in of("")


def test_the_last_checks_and_second_looks() -> None:
    last = closing(axle_uses())
    rows = [(row["joint"], row["when"]) for row in tight_table(last).records()]
    assert [row for row in rows if row[0] == "Hub nut"] == [
        ("Hub nut", "axle=long"),
        ("Hub nut", "axle=short"),
    ]
    assert [plain(recheck_text(joint)) for joint in last.rechecks] == [
        "Hub nut: 250 N·m (184 lbf·ft), after 100 km (62 mi) (only axle=long)",
        "Hub nut: 120 N·m (89 lbf·ft), then +60°, after 100 km (62 mi) (only axle=short)",
    ]
    (one,) = closing(axle_uses("axle=long")).rechecks
    assert plain(recheck_text(one)) == "Hub nut: 250 N·m (184 lbf·ft), after 100 km (62 mi)"


def test_tools_are_those_of_every_condition() -> None:
    def tools(when: str) -> list[str]:
        return [plain(row["tool"]) for row in tool_list(axle_uses(when), Shop()).records()]

    assert {"torque wrench for 250 N·m", "torque wrench for 120 N·m"} <= set(tools(""))
    assert "torque wrench for 250 N·m" not in tools("axle=short")
    assert {"torque wrench for 20 N·m", "torque wrench for 30 N·m"} <= set(tools(""))


def test_a_tool_of_some_cars_says_of_which() -> None:
    def cars(when: str) -> dict[str, str]:
        rows = tool_list(axle_uses(when), Shop()).records()
        return {plain(row["tool"]): row["when"] for row in rows}

    every = cars("")
    assert every["torque wrench for 250 N·m"] == "axle=long"
    assert every["torque wrench for 120 N·m"] == "axle=short"
    assert set(cars("axle=long").values()) == {""}


def test_definitions_and_double_entry_say_all_of_it() -> None:
    page = PAGE.replace(
        "```{procedure}",
        '```{expect} Axle sheet\nhub-nut: {"axle=long": 184 lbf·ft}\n```\n\n```{procedure}',
    )
    manual = axle_manual(page)
    scope = manual.scope("page.md")
    table = definition_table("fasteners", scope.all(Fastener), scope)
    nut = next(row for row in table.records() if row["name"] == "Hub nut")
    assert plain(nut["stages"]) == (
        "axle=long: 250 N·m (184 lbf·ft); axle=short: 120 N·m (89 lbf·ft), then +60°"
    )
    (row,) = expect_table(manual.contents["page.md"].expects[0], scope).records()
    assert (plain(row["printed"]), plain(row["block"])) == (
        "axle=long: 184 lbf·ft",
        "axle=long: 250 N·m; axle=short: 120 N·m, +60°",
    )


def test_a_joint_without_torque_is_in_the_table_and_says_so() -> None:
    assert ("Cap screw", NOT_GIVEN, "") in torques(page=NO_TORQUE)
    assert f"Tighten Cap screw: {NOT_GIVEN}" in done(page=NO_TORQUE)


@pytest.mark.parametrize("kind", ["clip", "tie", "rivet"])
def test_what_takes_no_torque_is_no_joint(kind: str) -> None:
    page = NO_TORQUE.replace("kind: screw}", f"kind: {kind}}}")
    assert "Cap screw" not in [name for name, _, _ in torques(page=page)]
    assert "Tighten Cap screw" in done(page=page)
    assert findings_of(page, "no-torque") == []
    fastener = axle_manual(page).scope("page.md").of(Fastener, "cap-screw")
    assert fastener is not None
    assert tight_text(fastener) == ""
