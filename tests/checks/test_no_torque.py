"""Joints that nothing says how tight, on some cars or on all, and cars with two torques."""

from __future__ import annotations

import pytest

from procedures_lib.findings import Finding
from tests.axle import NO_TORQUE, PAGE
from tests.helpers import findings_of

NUT = 'tighten: {"axle=long": [250 N·m], "axle=short": [120 N·m, +60°]}'


def only(page: str) -> Finding:
    (finding,) = findings_of(page)
    return finding


def with_nut(tighten: str, page: str = PAGE) -> str:
    assert NUT in page
    return page.replace(NUT, f"tighten: {tighten}")


def test_a_joint_that_a_step_tightens_says_how_tight() -> None:
    finding = only(NO_TORQUE)
    assert (finding.check, str(finding.level)) == ("no-torque", "warning")
    assert finding.message.startswith("nothing says how tight `cap-screw` has to be")
    assert "`hand`, `snug`" in finding.hint
    line = next(n for n, text in enumerate(NO_TORQUE.split("\n"), 1) if "cap-screw: {" in text)
    assert finding.place.line == line


def test_two_procedures_give_one_finding() -> None:
    twice = NO_TORQUE[NO_TORQUE.index("```{procedure}") : NO_TORQUE.index("```{torque-table}")]
    page = f"{NO_TORQUE}\n{twice.replace('refit-shaft', 'refit-again')}"
    assert [one.check for one in findings_of(page)] == ["no-torque"]


@pytest.mark.parametrize(
    "said", ["hand", "snug", "{until: flush}", '{see: "sheet 4"}', "[hand, {see: sheet 4}]"]
)
def test_what_is_said_without_a_number_counts(said: str) -> None:
    page = NO_TORQUE.replace("kind: screw}", f"kind: screw, tighten: {said}}}")
    assert findings_of(page) == []


def test_what_a_step_only_fits_is_left_alone() -> None:
    page = NO_TORQUE.replace(
        "boot-clamp, cap-screw, pin-nut\n  - t", "boot-clamp, pin-nut\n  - fit cap-screw\n  - t"
    )
    assert "fit cap-screw" in page
    assert findings_of(page) == []


def test_a_torque_that_could_not_be_read_is_one_finding() -> None:
    page = NO_TORQUE.replace("kind: screw}", "kind: screw, tighten: firmly}")
    assert only(page).check == "unknown-stage"


def test_a_gap() -> None:
    finding = only(with_nut('{"axle=long": [250 N·m]}'))
    assert (finding.check, finding.hint) == (
        "no-torque",
        'add `"axle=short": [...]`, or limit the joint with `when`',
    )
    assert finding.message == "`hub-nut`: `tighten` says nothing for cars with `axle=short`"


def test_no_gap_where_the_joint_is_for_these_cars() -> None:
    page = with_nut('{"axle=long": [250 N·m]}\n  when: axle=long')
    assert findings_of(page, "no-torque") == []


def test_an_overlap() -> None:
    finding = only(with_nut('{"axle=long": 250 N·m, "axle in [long, short]": 200 N·m}'))
    assert (finding.check, str(finding.level)) == ("two-torques", "error")
    assert "on cars with `axle=long`" in finding.message
    assert finding.hint == (
        "make them exclude each other: `axle in [long, short] and not axle=long`"
    )
    assert findings_of(with_nut('{"axle=long": 250 N·m, "axle in [long, short]": 250 N·m}')) == []


@pytest.mark.parametrize(
    ("tighten", "check"),
    [
        ('{"axel=long": 250 N·m, "axle=short": 120 N·m}', "unknown-option"),
        ('{"axle=lang": 250 N·m, "axle=short": 120 N·m}', "unknown-option"),
        (
            '{"axle=long": 250 N·m, "axle=short": 120 N·m, "axle=long and axle=short": 200 N·m}',
            "never-true",
        ),
    ],
)
def test_a_condition_that_no_car_meets_is_one_finding(tighten: str, check: str) -> None:
    finding = only(with_nut(tighten))
    assert finding.check == check
    assert "`tighten` of `hub-nut`" in finding.message


def test_each_torque_is_judged_on_its_own_cars() -> None:
    finding = only(with_nut('{"axle=long": [20000 N·m], "axle=short": [120 N·m, +60°]}'))
    assert finding.check == "torque-implausible"
    assert finding.message.startswith("`hub-nut` on cars with `axle=long`: 20000")


@pytest.mark.parametrize(
    ("only_names", "check", "said"),
    [
        ("[top, botom]", "order-incomplete", "did you mean `bottom`?"),
        ("[top, top]", "order-repeats", "name each position once"),
        ("[a, b]", "order-incomplete", "positions: top, right, bottom, left"),
    ],
)
def test_positions_of_a_stage(only_names: str, check: str, said: str) -> None:
    finding = only(PAGE.replace("[top, bottom]", only_names))
    assert (finding.check, finding.hint) == (check, said)
    assert finding.message.startswith("`only` of stage 1 of `flange-bolts` names")
    line = next(n for n, text in enumerate(PAGE.split("\n"), 1) if "only: [top" in text)
    assert finding.place.line == line


def test_an_order_beside_positions_names_the_same() -> None:
    text = "{stage: 10 N·m, only: [top, bottom], order: [bottom, left]}"
    page = PAGE.replace("{stage: 10 N·m, only: [top, bottom]}", text)
    finding = only(page)
    assert (finding.check, finding.hint) == ("order-incomplete", "name the same in both")
    assert findings_of(page.replace("[bottom, left]", "[bottom, top]")) == []


def test_more_positions_than_fasteners() -> None:
    start = PAGE.index("  positions: {top")
    page = PAGE[:start] + PAGE[PAGE.index("  tighten: [{stage: 10 N·m") :]
    page = page.replace("[top, bottom]", "[a, b, c, d, e]").replace(
        "```{order-drawing} flange-bolts\n```\n", ""
    )
    finding = only(page)
    assert (finding.check, finding.hint) == ("order-count", "put one of the two right")


@pytest.mark.parametrize(
    ("row", "agrees"),
    [
        ('{"axle=long": 184 lbf·ft, "axle=short": "89 lbf·ft, +60°"}', True),
        ('{"axle=long": 184 lbf·ft}', True),
        ('{"axle=short": [89 lbf·ft, +60°]}', True),
        ('{"axle=long": 190 lbf·ft}', False),
        ("250 N·m", False),
    ],
)
def test_double_entry_by_condition(row: str, agrees: bool) -> None:
    page = PAGE.replace(
        "```{procedure}", f"```{{expect}} Axle sheet\nhub-nut: {row}\n```\n\n```{{procedure}}"
    )
    assert [one.check for one in findings_of(page)] == ([] if agrees else ["expect-disagrees"])


@pytest.mark.parametrize(
    ("row", "agrees"),
    [
        ("boot-clamp: {until: 1 to 1 1/2  Teeth show}", True),
        ("boot-clamp: {until: 2 teeth show}", False),
        ("boot-clamp: 5 N·m", False),
        ("flange-bolts: 10 N·m, 50 %, 60 N·m, stretch 0.12–0.18 mm", True),
        ("flange-bolts: 10 N·m, 30 N·m, 60 N·m, stretch 0.12–0.18 mm", True),
        ("flange-bolts: 10 N·m, 40 %, 60 N·m, stretch 0.12–0.18 mm", False),
        ("pin-nut: 15 lbf·ft or next slot, back off at most 1/4 turn", True),
        ("cap-screw: {see: 'axle sheet, page 4'}", True),
    ],
)
def test_double_entry_of_the_other_forms(row: str, agrees: bool) -> None:
    page = PAGE.replace(
        "```{procedure}", f"```{{expect}} Axle sheet\n{row}\n```\n\n```{{procedure}}"
    )
    assert [one.check for one in findings_of(page)] == ([] if agrees else ["expect-disagrees"])
