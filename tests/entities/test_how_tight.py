"""The field `tighten`: by condition, in words, for some positions, and as a fastener's variants."""

from __future__ import annotations

import pytest

from procedures_lib.engineering.tightening import StageKind
from procedures_lib.language.entities.car import Fastener
from procedures_lib.language.reading.page import Scalar
from tests.helpers import entity_from, only_slip


def joint(tighten: str, more: str = "kind: bolt") -> Fastener:
    page = f"```{{fasteners}}\nbolts:\n  {more}\n  tighten: {tighten}\n```\n"
    fastener = entity_from(page, "bolts")
    assert isinstance(fastener, Fastener)
    return fastener


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


def test_stages_by_condition_are_variants_with_plain_stages() -> None:
    nut = joint('{"axle=long": [250 N·m], "axle=short": [120 N·m, +60°]}', "kind: nut")
    assert (nut.varies, nut.tighten) == (True, ())
    long, short = nut.variants
    assert [str(each.when) for each in nut.variants] == ["axle=long", "axle=short"]
    assert [plain(stage.written()) for stage in short.tighten] == ["120 N·m", "+60°"]
    assert (len(long.tighten), long.varies, long.variants) == (1, False, (long,))
    assert plain(str(nut.how_tight)) == "axle=long: 250 N·m; axle=short: 120 N·m, +60°"


def test_a_variant_keeps_the_cars_of_its_group() -> None:
    nut = joint('{"axle=long": 250 N·m}', "kind: nut\n  when: drive=4x4")
    assert [str(each.when) for each in nut.variants] == ["drive=4x4 and axle=long"]


def test_plain_stages_are_one_variant() -> None:
    bolts = joint("[10 N·m, +45°]")
    assert (bolts.varies, bolts.variants) == (False, (bolts,))
    assert len(bolts.tighten) == 2
    none = joint("[]")
    assert (bool(none.how_tight), none.varies, none.variants) == (False, False, (none,))


@pytest.mark.parametrize(
    ("written", "kind", "said"),
    [
        ('{see: "axle sheet, page 4"}', StageKind.SEE, "see axle sheet, page 4"),
        ("{see: see axle sheet}", StageKind.SEE, "see axle sheet"),
        ("{until: 2 teeth show}", StageKind.UNTIL, "until 2 teeth show"),
        ('{until: "{5} flush"}', StageKind.UNTIL, "until {5} flush"),
    ],
)
def test_in_words(written: str, kind: StageKind, said: str) -> None:
    (stage,) = joint(written).tighten
    assert (stage.kind, stage.written(), stage.shown(), stage.in_unit("lbf·in")) == (
        kind, said, said, said,
    )  # fmt: skip
    assert (stage.torque, stage.degrees) == (None, None)


def test_words_stand_under_a_condition_and_among_stages() -> None:
    clamp = joint('{"axle=long": {until: flush}, "axle=short": [2 N·m, {see: sheet 4}]}')
    assert plain(clamp.how_tight.written()) == (
        "axle=long: until flush; axle=short: 2 N·m, see sheet 4"
    )


def test_a_share_is_of_the_last_torque_of_its_own_condition() -> None:
    nut = joint('{"a=b": [50 %, 60 N·m], "a=c": [{stage: 50 %, only: [x]}, 40 N·m or next slot]}')
    assert plain(nut.how_tight.written()) == (
        "a=b: 50 % = 30 N·m, 60 N·m; a=c: 50 % = 20 N·m (only x), 40 N·m or next slot"
    )


def test_positions_of_a_stage_know_their_line() -> None:
    bolts = joint("\n  - {stage: 10 N·m, only: [a, b]}\n  - 20 N·m")
    stage = bolts.tighten[0]
    assert stage.only == ("a", "b")
    assert isinstance(stage.only[0], Scalar)
    assert stage.only[0].line == 5
    assert plain(stage.shown()) == "10 N·m (89 lbf·in) (only a, b)"


def test_what_is_dumped_is_what_is_written() -> None:
    by_condition = joint('{"a=b": [50 %, 60 N·m], "a=c": [{stage: +45°, order: [x, y]}]}')
    dumped = by_condition.model_dump(by_alias=True)["tighten"]
    assert {when: [plain(text) for text in texts] for when, texts in dumped.items()} == {
        "a=b": ["50 % = 30 N·m", "60 N·m"],
        "a=c": ["+45° (order x, y)"],
    }
    assert joint("hand").model_dump(by_alias=True)["tighten"] == ["hand"]
    assert by_condition.digest != joint('{"a=b": [50 %, 62 N·m], "a=c": 60 N·m}').digest


@pytest.mark.parametrize(
    ("written", "check", "line"),
    [
        ('\n    "axle=long": [250 N·m]\n    "axle-short": [120 N·m]', "unknown-field", 6),
        ('\n    "axle=long": [250 N·m]\n    "axle=": [120 N·m]', "unreadable-condition", 6),
        ('\n    "axle=long": [250 N·m]\n    "axle=short":\n      - 120', "no-unit", 7),
        ('\n    "axle=long": 50 %\n    "axle=short": 120 N·m', "unknown-stage", 5),
        ('\n    "axle=long": 5 N·m\n    see: sheet 4', "unknown-field", 5),
    ],
)
def test_a_slip_stands_on_its_line(written: str, check: str, line: int) -> None:
    page = f"```{{fasteners}}\nbolts:\n  kind: bolt\n  tighten: {written}\n```\n"
    found = only_slip(page)
    assert (found.check, found.place.line) == (check, line)
    assert found.hint
