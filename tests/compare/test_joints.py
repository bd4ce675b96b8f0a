"""Torques, angles, stages and orders: what changed, by how much, and who works on it."""

from __future__ import annotations

from fractions import Fraction

import pytest

from procedures_lib.engineering.tightening import read_stages
from procedures_lib.judging.compare import Group, Use, compare
from procedures_lib.judging.compare.entity_changes import note_of, per_cent, topic_of
from tests.compare.small import BOX, CAR, after, edited, only, plain, told
from tests.helpers import manual_from

BOLTS = "tighten: [hand, 8 N·m]"
SIDE = "tighten: [20 N·m, +60°]"


def test_a_torque_is_said_once_with_all_who_use_it() -> None:
    change = only(after((CAR, BOLTS, "tighten: [hand, 10 N·m]")))
    assert (change.group, change.topic, change.thing.id) == (Group.JOINTS, "torque", "cover-bolts")
    assert (plain(change.old), plain(change.new)) == ("hand, 8 N·m", "hand, 10 N·m")
    assert plain(change.note) == "stage 2 +25 %"
    assert change.used == (Use("fit-vent", (1,)), Use("renew-cover", (4,)))
    assert change.kits == ("vent-kit",)
    assert str(change.place) == "vehicles/mule.md:29"
    assert str(change.was) == "vehicles/mule.md:29"


def test_the_writers_own_figures_are_shown() -> None:
    change = only(after((CAR, BOLTS, "tighten: [hand, 71 lbf·in]")))
    assert plain(change.new) == "hand, 71 lbf·in"


@pytest.mark.parametrize(
    ("before", "now", "topic", "note"),
    [
        (BOLTS, "tighten: [hand, 8 N·m, 9 N·m]", "stages", "2 stages → 3 stages"),
        (SIDE, "tighten: [20 N·m, +90°]", "angle", "stage 2 +50 %"),
        (SIDE, "tighten: [25 N·m, +90°]", "stages", "stage 1 +25 %, stage 2 +50 %"),
        (SIDE, "tighten: [20 ± 1 N·m, +60°]", "torque", "stage 1 tolerance only"),
        (SIDE, "tighten: [20 N·m, back off 60°]", "stages", "2 stages → 2 stages"),
        (BOLTS, "tighten: {stage: 8 N·m, order: [d, c, b, a]}", "stages", "2 stages → 1 stage"),
        ("order: [a, c, b, d]", "order: [a, b, c, d]", "order", "order only"),
        ("order: [a, c, b, d]", "order: cross", "order", "order only"),
    ],
)
def test_what_of_a_joint_changed(before: str, now: str, topic: str, note: str) -> None:
    change = only(after((CAR, before, now)))
    assert (change.group, change.topic, plain(change.note)) == (Group.JOINTS, topic, note)


def test_a_stage_with_another_order_of_its_own() -> None:
    first = read_stages(["8 N·m"])
    second = tuple(type(stage)(stage.kind, stage.amount, ("b", "a")) for stage in first)
    assert topic_of(first, second) == "order"


def test_a_joint_that_gets_or_loses_its_torque() -> None:
    change = only(after((CAR, f"  {BOLTS}\n", "")))
    assert (change.topic, str(change.act), change.new) == ("torque", "dropped", "")
    assert only(after((CAR, "  source: Mule sheet 1, 2021\n  when", "  when"))).topic == "source"


@pytest.mark.parametrize(
    "now",
    ["tighten: [hand,  8 Nm]", "tighten:\n    - hand\n    - 8 N·m", "tighten: [hand, 8 N·m] # dry"],
)
def test_another_spelling_is_no_change(now: str) -> None:
    assert after((CAR, BOLTS, now)).changes == ()


def test_the_same_amount_in_another_unit_is_said_and_asks_for_nothing() -> None:
    inches, feet = (
        manual_from(edited((BOX, "tighten: 3 N·m", f"tighten: {text}")))
        for text in ("24 lbf·in", "2 lbf·ft")
    )
    comparison = compare(inches, feet)
    change = only(comparison)
    assert change.same
    assert change.note == "the same, written otherwise"
    assert comparison.findings == ()


@pytest.mark.parametrize(
    ("before", "now", "group", "topic"),
    [
        ("count: 4", "count: 5", Group.SAFETY, "count"),
        ("thread: M6x1.0", "thread: M6x0.75", Group.SAFETY, "thread"),
        ('class: "8.8"\n  head: hex 10', 'class: "10.9"\n  head: hex 10', Group.SAFETY, "class"),
        ("condition: dry\n  positions", "condition: oiled\n  positions", Group.SAFETY, "condition"),
        ("condition: dry\n  positions", "condition: dry\n  reuse: false\n  positions", Group.SAFETY,
         "reuse"),
        ("when: transmission=manual", "when: transmission=automatic", Group.CARS, "when"),
        ("c: [90, 60]", "c: [90, 61]", Group.NUMBERS, "positions"),
        ("name: Cover bolts", "name: Lid bolts", Group.PAPERS, "name"),
        ("years: 2018-2022", "years: 2018-2023", Group.CARS, "years"),
        ("[manual, automatic]", "[manual, automatic, none]", Group.CARS, "options transmission"),
        ("kind: plug", "kind: hose", Group.THINGS, "kind"),
    ],
)  # fmt: skip
def test_other_fields_and_their_groups(before: str, now: str, group: Group, topic: str) -> None:
    change = only(after((CAR, before, now)))
    assert (change.group, change.topic) == (group, topic)


def test_a_joint_added_or_dropped_says_all_of_it() -> None:
    joint = (
        '\ncap-nut: {kind: nut, thread: M8x1.25, class: "8", condition: dry, tighten: 12 N·m}\n```'
    )
    end = "  when: transmission=manual\n```"
    comparison = after((CAR, end, end.removesuffix("\n```") + joint))
    assert told(comparison) == [
        ("joint", "cap-nut", "added", "", "1 × nut, M8x1.25, 8, 12 N·m, dry")
    ]
    assert comparison.findings == ()


def test_the_change_in_per_cent_is_that_of_the_torques_in_newton_metres() -> None:
    """1 lbf·in = 0.112 984 8 N·m, 1 lbf·ft = 1.355 818 N·m (NIST SP 811, B.8)."""
    for old, new, factor in (("8 N·m", "80 lbf·in", 80 * 0.1129848 / 8),
                             ("35 lbf·in", "35 lbf·ft", 1.355818 / 0.1129848)):  # fmt: skip
        note = note_of(read_stages([old]), read_stages([new]))
        assert plain(note) == f"{100 * (factor - 1):+,.0f} %"


@pytest.mark.parametrize(
    ("share", "text"),
    [
        (Fraction(1, 10), "+10 %"),
        (Fraction(-1, 8), "−12 %"),
        (Fraction(1, 22), "+4.5 %"),
        (Fraction(1, 25), "+4 %"),
        (Fraction(11), "+1,100 %"),
        (Fraction(1, 5000), "+0.02 %"),
    ],
)
def test_per_cent(share: Fraction, text: str) -> None:
    assert plain(per_cent(share)) == text


BY_CARS = 'tighten: {"transmission=manual": [20 N·m], "transmission=automatic": [25 N·m]}'


@pytest.mark.parametrize(
    ("before", "now", "topic", "note"),
    [
        (BY_CARS, BY_CARS.replace("25", "30"), "torque", "transmission=automatic: +20 %"),
        (BY_CARS, BY_CARS.replace("20 N·m", "20 N·m, +60°"), "stages",
         "transmission=manual: 1 stage → 2 stages"),
        ("tighten: [20 N·m]", BY_CARS, "stages", ""),
        (BY_CARS, BY_CARS.replace("=manual", "=other"), "stages", ""),
        ("tighten: {until: flush}", "tighten: {until: level}", "stages", ""),
        ("tighten: {see: sheet 4}", "tighten: 8 N·m", "stages", "1 stage → 1 stage"),
        ("tighten: [50 %, 20 N·m]", "tighten: [50 %, 30 N·m]", "torque",
         "stage 1 +50 %, stage 2 +50 %"),
        ("tighten: [{stage: 8 N·m, only: [a, b]}]", "tighten: [{stage: 8 N·m, only: [a, c]}]",
         "order", "order only"),
        ("tighten: stretch 0.12 mm", "tighten: stretch 0.15 mm", "stages", "+25 %"),
    ],
)  # fmt: skip
def test_the_other_forms(before: str, now: str, topic: str, note: str) -> None:
    old = edited((CAR, BOLTS, before))
    change = only(compare(manual_from(old), manual_from(edited((CAR, BOLTS, now)))))
    assert (change.topic, plain(change.note)) == (topic, note)


def test_a_torque_by_condition_written_otherwise_is_the_same() -> None:
    old, new = (
        edited((CAR, BOLTS, text)) for text in (BY_CARS, BY_CARS.replace("20 N·m", "20 Nm"))
    )
    changes = compare(manual_from(old), manual_from(new)).changes
    assert [change for change in changes if not change.same] == []
