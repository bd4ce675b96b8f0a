"""A torque, stage or order that changes asks for a new revision, and for a word on its source."""

from __future__ import annotations

import pytest

from procedures_lib.judging.compare import Group, Harm, compare
from procedures_lib.judging.compare.review import REVIEW, next_letter
from tests.compare.small import BOX, CAR, COVER, VENT, after, edited
from tests.helpers import manual_from

TORQUE = (BOX, "tighten: 3 N·m", "tighten: 4 N·m")
REVISED = (BOX, "revision: A", "revision: B")
SOURCED = (BOX, "sheet, page 2", "sheet, page 2, second issue")


def asked(*edits: tuple[str, str, str]) -> list[tuple[str, str]]:
    """What is asked about after some edits: (place, name)."""
    return [(str(f.place), f.check) for f in after(*edits).findings]


def test_a_kit_with_another_torque() -> None:
    assert asked(TORQUE) == [
        ("kits/vent.md:6", "changed-without-revision"),
        ("kits/vent.md:25", "changed-without-source"),
        ("procedures/fit-vent.md:6", "changed-without-revision"),
    ]
    new = (VENT, "revision: B", "revision: C")
    assert asked(TORQUE, REVISED, new) == [("kits/vent.md:25", "changed-without-source")]
    assert asked(TORQUE, SOURCED, new) == [("kits/vent.md:6", "changed-without-revision")]
    assert asked(TORQUE, REVISED, SOURCED) == [
        ("procedures/fit-vent.md:6", "changed-without-revision")
    ]
    assert asked(TORQUE, REVISED, SOURCED, new) == []


def test_a_kit_without_any_revision() -> None:
    found = after(TORQUE, SOURCED, (BOX, "revision: A\n", "")).findings
    assert [(f.check, str(f.place)) for f in found] == [
        ("changed-without-revision", "kits/vent.md:3"),
        ("changed-without-revision", "procedures/fit-vent.md:6"),
    ]
    assert "it has no revision" in found[0].message
    assert "`revision: B`" in found[0].hint


NEW = ((COVER, "revision: A", "revision: B"), (VENT, "revision: B", "revision: C"))


def test_a_torque_of_a_car_asks_every_procedure_that_prints_it() -> None:
    change = (CAR, "[hand, 8 N·m]", "[hand, 9 N·m]")
    assert asked(change) == [
        ("procedures/fit-vent.md:6", "changed-without-revision"),
        ("procedures/renew-cover.md:5", "changed-without-revision"),
        ("vehicles/mule.md:30", "changed-without-source"),
    ]
    assert asked(change, *NEW) == [("vehicles/mule.md:30", "changed-without-source")]
    assert asked((CAR, "20 N·m, +60°", "20 N·m, +70°"), NEW[0], SIDE) == []


SIDE = (CAR, "+70°]\n  source: Mule sheet 1", "+70°]\n  source: Mule sheet 3")


@pytest.mark.parametrize(
    ("before", "now"),
    [
        ("count: 4", "count: 5"),
        ("condition: dry\n  positions", "condition: oiled\n  positions"),
        ("head: hex 10 mm", "head: hex 10 mm\n  reuse: false"),
        ("thread: M6x1.0", "thread: M6x0.75"),
    ],
)
def test_what_else_a_procedure_prints_of_a_joint_asks_for_its_revision(
    before: str, now: str
) -> None:
    change = (CAR, before, now)
    assert {check for _, check in asked(change)} == {"changed-without-revision"}
    assert asked(change, *NEW) == []


def test_a_fluid_asks_the_procedures_that_fill_it() -> None:
    oil = "oil: {name: Axle oil, kind: oil, quantity: 2 L, spec: GL-5}"
    fluids = f"```{{fluids}}\n{oil}\n```\n\n```{{parts}}"
    base = ((CAR, "```{parts}", fluids), (COVER, "- fit cover", "- fit cover\n  - fill oil"))
    new = edited(*base, (CAR, "spec: GL-5", "spec: GL-4"))
    found = compare(manual_from(edited(*base)), manual_from(new))
    assert [(str(f.place), f.check) for f in found.findings] == [
        ("procedures/renew-cover.md:5", "changed-without-revision")
    ]
    assert [(each.group, each.harm) for each in found.changes] == [(Group.SAFETY, Harm.DAMAGES)]


def test_a_car_has_no_revision_its_source_is_asked_for() -> None:
    change = (CAR, "[hand, 8 N·m]", "[hand, 9 N·m]")
    assert asked(change, *NEW) == [("vehicles/mule.md:30", "changed-without-source")]
    assert asked(change, *NEW, (CAR, "hand, 9 N·m]\n  source: Mule sheet 1, 2021",
                          "hand, 9 N·m]\n  source: Mule sheet 1, 2023")) == []  # fmt: skip


@pytest.mark.parametrize(
    "row",
    [
        "cover-bolts: hand, 9 N·m",
        "cover-bolts: 80 lbf·in",
    ],
)
def test_a_row_of_double_entry_that_changed_with_it_confirms_the_source(row: str) -> None:
    change = (CAR, "[hand, 8 N·m]", "[hand, 9 N·m]")
    assert asked(change, *NEW, (COVER, "cover-bolts: hand, 8 N·m", row)) == []


def test_a_row_about_another_joint_does_not() -> None:
    change = (CAR, "[hand, 8 N·m]", "[hand, 9 N·m]")
    row = (COVER, "cover-bolts: hand, 8 N·m", "cover-bolts: hand, 8 N·m\nside-bolt: 20 N·m, +60°")
    assert asked(change, row, *NEW) == [("vehicles/mule.md:30", "changed-without-source")]


def test_a_source_taken_away_confirms_nothing() -> None:
    found = after(
        TORQUE, REVISED, NEW[1], (BOX, "  source: Vent maker's sheet, page 2\n", "")
    ).findings
    assert [f.check for f in found] == ["changed-without-source"]
    assert "names no source" in found[0].message


def test_a_joint_on_the_page_of_its_procedure() -> None:
    """The procedure's own revision is asked for, not that of a kit it has nothing from."""
    joint = (
        "```{fasteners}\nrag-screw: {kind: screw, condition: dry, tighten: 2 N·m, source: Bench}\n"
        "```\n\n```{torque-table}"
    )
    base = (
        (COVER, "```{torque-table}", joint),
        (COVER, "- fit cover", "- fit cover\n  - tighten rag-screw"),
    )
    old = manual_from(edited(*base))
    new = manual_from(
        edited(*base, (COVER, "2 N·m, source: Bench", "3 N·m, source: Bench 2026-09-14"))
    )
    assert [(f.check, str(f.place)) for f in compare(old, new).findings] == [
        ("changed-without-revision", "procedures/renew-cover.md:5")
    ]


@pytest.mark.parametrize(
    ("page", "before", "now"),
    [
        (COVER, "- tighten side-bolt", "- tighten side-bolt stage 1"),
        (COVER, "  - tighten side-bolt\n", ""),
        (VENT, "  - tighten vent-screws\n", ""),
    ],
)
def test_stages_that_a_step_leaves_out(page: str, before: str, now: str) -> None:
    assert [check for _, check in asked((page, before, now))] == ["changed-without-revision"]
    revised = (
        (page, "revision: A", "revision: B")
        if page == COVER
        else (page, "revision: B", "revision: C")
    )
    assert asked((page, before, now), revised) == []


@pytest.mark.parametrize(
    ("page", "before", "now"),
    [
        (CAR, "head: hex 10 mm", "head: hex 13 mm"),
        (BOX, "name: Vent screws", "name: Screws of the vent"),
        (COVER, "Lift it off.", "Lift."),
        (COVER, "time: 5 min", "time: 6 min"),
        (BOX, "tighten: 3 N·m", "tighten: 3 Nm"),
    ],
)
def test_other_changes_ask_for_nothing(page: str, before: str, now: str) -> None:
    assert asked((page, before, now)) == []


def test_one_finding_a_head_however_many_joints() -> None:
    found = after(TORQUE, (BOX, "```\n", "```\n")).findings
    assert sum(f.check == "changed-without-revision" for f in found) == 2
    assert [str(place) for place in found[0].related] == ["kits/vent.md:24"]


def test_the_names_are_kebab_case_and_explained() -> None:
    assert all(name == name.lower() and " " not in name and about for name, about in REVIEW.items())


@pytest.mark.parametrize(
    ("revision", "after_it"),
    [("A", "B"), ("", "B"), ("7", "8"), ("C1", "…"), ("2.c", "2.d"), ("Z", "…")],
)
def test_the_revision_that_comes_next(revision: str, after_it: str) -> None:
    assert next_letter(revision) == after_it
