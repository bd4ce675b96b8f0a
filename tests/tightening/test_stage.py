"""The stages of a joint as plain values."""

from __future__ import annotations

from fractions import Fraction

import pytest

from procedures_lib.engineering.quantities import QuantityError
from procedures_lib.engineering.tightening import (
    Stage,
    StageKind,
    join_stages,
    read_stage,
    read_stages,
)
from procedures_lib.engineering.tightening.stage import courses


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


# The forms of the page language, section 2, with what a technician is shown.
@pytest.mark.parametrize(
    ("text", "kind", "written", "degrees", "torque"),
    [
        ("hand", StageKind.HAND, "hand", None, False),
        ("Snug", StageKind.SNUG, "snug", None, False),
        ("12 N·m", StageKind.TORQUE, "12 N·m", None, True),
        ("12 ± 1 Nm", StageKind.TORQUE, "12 ± 1 N·m", None, True),
        ("10-12 N*m", StageKind.TORQUE, "10–12 N·m", None, True),
        ("9 ft-lb", StageKind.TORQUE, "9 lbf·ft", None, True),
        ("+45°", StageKind.ANGLE, "+45°", 45, False),
        ("+ 45 deg", StageKind.ANGLE, "+45°", 45, False),
        ("+1/6 turn", StageKind.ANGLE, "+1/6 turn", 60, False),
        ("back off 180°", StageKind.BACK_OFF, "back off 180°", -180, False),
        ("back off 1/2 turn", StageKind.BACK_OFF, "back off 1/2 turn", -180, False),
        ("back off fully", StageKind.BACK_OFF, "back off fully", None, False),
        ("next slot, at most 60 N·m", StageKind.NEXT_SLOT, "next slot, at most 60 N·m", None, True),
        ("drag 2.0–2.6 N·m", StageKind.DRAG, "drag 2.0–2.6 N·m", None, True),
        ("stretch 0.34–0.47 mm", StageKind.STRETCH, "stretch 0.34–0.47 mm", None, False),
        (
            "back off at most 1/4 turn",
            StageKind.BACK_OFF_AT_MOST,
            "back off at most 1/4 turn",
            -90,
            False,
        ),
        ("20 N·m or next slot", StageKind.TORQUE_OR_SLOT, "20 N·m or next slot", None, True),
        ("20 Nm, or the next slot", StageKind.TORQUE_OR_SLOT, "20 N·m or next slot", None, True),
    ],
)
def test_forms(
    text: str, kind: StageKind, written: str, degrees: float | None, torque: bool
) -> None:
    stage = read_stage(text)
    assert (stage.kind, plain(stage.written()), stage.degrees) == (kind, written, degrees)
    assert (stage.torque is not None) is torque


def test_shown_with_newton_metres_first_and_the_customary_unit() -> None:
    shown = [
        plain(read_stage(text).shown()) for text in ("10 N·m", "33 lbf·ft", "20 N·m", "89 lbf·in")
    ]
    assert shown == [
        "10 N·m (89 lbf·in)",
        "45 N·m (33 lbf·ft)",
        "20 N·m (15 lbf·ft)",
        "10 N·m (89 lbf·in)",
    ]


def test_in_one_unit() -> None:
    stage = read_stage("next slot, at most 60 N·m")
    assert plain(stage.in_unit("lbf·ft")) == "next slot, at most 44 lbf·ft"
    assert plain(stage.in_unit("N·m")) == "next slot, at most 60 N·m"
    assert read_stage("+45°").in_unit("lbf·ft") == "+45°"
    assert plain(read_stage("10–12 N·m").in_unit("lbf·in")) == "89–106 lbf·in"


@pytest.mark.parametrize(
    ("text", "check"),
    [
        ("12", "no-unit"),
        ("35 pounds", "ambiguous-unit"),
        ("35 lb", "ambiguous-unit"),
        ("35#", "ambiguous-unit"),
        ("12 mm", "wrong-dimension"),
        ("45°", "wrong-dimension"),
        ("+12 N·m", "wrong-dimension"),
        ("12–10 N·m", "bad-tolerance"),
        ("12 ± 13 N·m", "bad-tolerance"),
        ("0 N·m", "out-of-range"),
        ("-3 N·m", "out-of-range"),
        ("+1081°", "out-of-range"),
        ("+0°", "out-of-range"),
        ("back off -90°", "out-of-range"),
        ("back off 12 N·m", "wrong-dimension"),
        ("back off", "unknown-stage"),
        ("next slot", "unknown-stage"),
        ("next slot, at most 60", "no-unit"),
        ("drag", "not-a-number"),
        ("drag 5 kg", "wrong-dimension"),
        ("", "unknown-stage"),
        ("tight", "unknown-stage"),
        ("nan N·m", "not-a-number"),
        ("infinity N·m", "not-a-number"),
        ("1e9 N·m", "not-a-number"),
        ("12 N·m then 45°", "not-a-number"),
        ("50 %", "unknown-stage"),
        ("120 %", "out-of-range"),
        ("50 percent", "unknown-stage"),
        ("stretch", "unknown-stage"),
        ("stretch 0.4", "no-unit"),
        ("stretch 12 N·m", "wrong-dimension"),
        ("stretch 11 mm", "out-of-range"),
        ("or next slot", "unknown-stage"),
        ("back off at most 1/4", "no-unit"),
        ("back off at most", "not-a-number"),
        ("see page 4", "unknown-stage"),
        ("until 2 teeth show", "unknown-stage"),
    ],
)
def test_what_is_no_stage(text: str, check: str) -> None:
    with pytest.raises(QuantityError) as caught:
        read_stage(text)
    assert caught.value.check == check
    assert caught.value.message
    assert caught.value.hint


def test_a_bare_angle_is_told_both_ways_to_write_it() -> None:
    with pytest.raises(QuantityError) as caught:
        read_stage("45°")
    assert caught.value.hint == "write `+45°` to go on by that angle, `back off 45°` to loosen"


def test_stages_keep_their_order_and_next_slot_its_limit() -> None:
    stages = read_stages(["hand", "50 N·m", "next slot", "at most 60 N·m", "+5°"])
    assert [stage.kind.value for stage in stages] == ["hand", "torque", "next slot", "angle"]
    assert join_stages(["next slot", "at most 60 N·m"]) == [(0, "next slot, at most 60 N·m")]
    assert join_stages(["10 N·m", "at most 60 N·m"]) == [(0, "10 N·m"), (1, "at most 60 N·m")]


def test_stages_compare_by_what_they_say() -> None:
    assert read_stage("12 N·m") == read_stage("12 N·m") != read_stage("13 N·m")
    assert Stage(StageKind.HAND) == read_stage("hand")
    assert len({read_stage("+45°"), read_stage("+45°")}) == 1


def test_a_share_is_of_the_last_torque_and_rounded_as_converted_values_are() -> None:
    half, most, whole, _ = read_stages(["50 %", "75%", "65 N·m", "+45°"])
    assert [plain(stage.shown()) for stage in (half, most, whole)] == [
        "50 % = 32 N·m (24 lbf·ft)",
        "75 % = 49 N·m (36 lbf·ft)",
        "65 N·m (48 lbf·ft)",
    ]
    assert half.torque is not None
    assert half.torque.exact("N·m") == (Fraction(65, 2), Fraction(65, 2))
    assert half.share == Fraction(1, 2)
    assert plain(half.in_unit("lbf·in")) == "50 % = 288 lbf·in"


def test_a_share_of_a_tolerance_and_of_a_foreign_unit() -> None:
    third, _ = read_stages(["33 %", "47 lbf·ft"])
    assert plain(third.shown()) == "33 % = 21 N·m (15.5 lbf·ft)"
    half, _ = read_stages(["50 %", "12 ± 1 N·m"])
    assert plain(half.written()) == "50 % = 5.5–6.5 N·m"


@pytest.mark.parametrize(
    ("text", "first"),
    [
        ("half of it", "50 %"),
        ("to the cotter slot", "20 N·m or next slot"),
        ("elongate", "stretch 0.34–0.47 mm"),
        ("slacken", "back off 180°"),
        ("tighten firmly", "snug"),
        ("bearing preload", "drag 2.0–2.6 N·m"),
        ("turn further", "+45°"),
        ("twist", "hand"),
    ],
)
def test_the_likely_forms_come_first(text: str, first: str) -> None:
    with pytest.raises(QuantityError) as caught:
        read_stage(text)
    assert caught.value.hint.startswith(f"stages: {first}, ")
    assert '{until: "2 teeth show"}' in caught.value.hint


def test_a_comma_parts_neither_a_slot_nor_a_limit() -> None:
    texts = ["20 N·m", "or next slot", "back off", "at most 1/4 turn"]
    assert [plain(stage.written()) for stage in read_stages(texts)] == [
        "20 N·m or next slot",
        "back off at most 1/4 turn",
    ]


def test_courses_are_the_stages_that_single_fasteners_go_through() -> None:
    first, second, third = read_stages(["10 N·m", "20 N·m", "+30°"])
    assert courses([first, second]) == (((1, first), (2, second)),)
    few, others = first.on(only=("a", "b")), second.on(only=("c",))
    assert courses([few, others, third]) == (
        ((1, few), (3, third)),
        ((2, others), (3, third)),
        ((3, third),),
    )
    assert courses([few]) == (((1, few),),)
