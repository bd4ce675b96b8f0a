"""Orders of tightening: every fastener of a group is named, and named once.

That a pattern reaches every bolt once a pass is common practice. The clean order below is the
legacy cross pattern of ASME PCC-1 for four bolts: 1-3-2-4, numbered clockwise.
"""

from __future__ import annotations

import pytest

from procedures_lib.findings import Finding
from tests.helpers import findings_of

PAGE = """
    ```{{vehicle}} v
    name: V
    ```
    ```{{fasteners}}
    bolts:
      kind: bolt
      count: {count}
      {positions}
      order:
        {order}
      tighten: {stages}
      source: Sheet 1
    ```
    """
SQUARE = "positions: {ul: [0, 9], ur: [9, 9], lr: [9, 0], ll: [0, 0]}"
CLEAN = "[ul, lr, ur, ll]"


def after(
    order: str, count: int = 4, positions: str = SQUARE, stages: str = "[10 N·m]"
) -> list[Finding]:
    page = PAGE.format(order=order, count=count, positions=positions, stages=stages)
    return findings_of(page)


@pytest.mark.parametrize("order", [CLEAN, "[ll, ur, lr, ul]", "cross", "centre-out", "[cross]"])
def test_an_order_that_names_each_bolt_once_and_the_patterns_pass(order: str) -> None:
    assert after(order) == []


@pytest.mark.parametrize(
    "stages",
    [
        f"[10 N·m, {{stage: +45°, order: {CLEAN}}}]",
        "[10 N·m, {stage: +45°, order: cross}]",
        "[10 N·m, {stage: +45°}]",
    ],
)
def test_a_stage_with_an_order_of_its_own_passes(stages: str) -> None:
    assert after(CLEAN, stages=stages) == []


def test_names_without_positions_pass_when_they_are_as_many_as_the_count() -> None:
    assert after("[one, two, three]", count=3, positions="head: hex 10 mm") == []


def test_a_bolt_left_out() -> None:
    (found,) = after("[ul, lr, ll]")
    assert (found.check, found.place.line) == ("order-incomplete", 10)
    assert found.message == "the order of `bolts` leaves out `ur`"
    assert found.hint == "name every position once in the order"


def test_a_name_that_is_no_position_takes_the_missing_one_with_it() -> None:
    (found,) = after("[ul, lr, urr, ll]")
    assert (found.check, found.hint) == ("order-incomplete", "did you mean `ur`?")
    assert found.message == "the order of `bolts` names `urr`, which has no position"


def test_several_strange_names_are_one_finding_beside_what_is_left_out() -> None:
    missing, strange = after("[1, 2, 3, 4]")
    assert strange.message.endswith("names `1`, `2`, `3`, `4`, which have no position")
    assert missing.message.endswith("leaves out `ul`, `ur`, `lr`, `ll`")


def test_a_bolt_named_twice_beside_one_left_out() -> None:
    missing, found = after("[ul, lr, ul, ll]")
    assert (missing.check, found.check) == ("order-incomplete", "order-repeats")
    assert found.message == "the order of `bolts` names `ul` twice"


def test_a_bolt_named_twice_after_all_the_others() -> None:
    (found,) = after("[ul, lr, ur, ll, ul, ul]")
    assert found.check == "order-repeats"
    assert found.hint.endswith("a second round is a stage of its own")


def test_the_finding_stands_where_the_name_stands_again() -> None:
    long = "- ul\n        - lr\n        - ur\n        - ll\n        - ul"
    (found,) = after(long)
    assert found.place.line == 14


def test_the_order_of_a_stage_is_judged_by_itself() -> None:
    found = after(
        CLEAN, stages="[{stage: 10 N·m, order: [ul, lr, ur]}, {stage: +45°, order: [ul]}]"
    )
    assert [one.check for one in found] == ["order-incomplete"] * 2
    assert found[0].message == "the order of stage 1 of `bolts` leaves out `ll`"
    assert found[1].message == "the order of stage 2 of `bolts` leaves out `ur`, `lr`, `ll`"
    assert {one.place.line for one in found} == {5}


@pytest.mark.parametrize("count", [3, 5, 8])
def test_positions_that_are_not_as_many_as_the_count(count: int) -> None:
    (found,) = after(CLEAN, count=count)
    assert (found.check, found.place.line) == ("order-count", 5)
    assert found.message == f"`bolts` has 4 positions, but its count is {count}"


def test_positions_are_counted_even_where_the_order_is_a_pattern() -> None:
    assert [found.check for found in after("cross", count=5)] == ["order-count"]


def test_names_without_positions_that_are_not_as_many_as_the_count() -> None:
    (found,) = after("[one, two, three]", positions="head: hex 10 mm")
    assert (found.check, found.place.line) == ("order-count", 10)
    assert found.message == "the order of `bolts` has 3 names, but the count is 4"


def test_a_repeated_name_without_positions_is_one_finding() -> None:
    (found,) = after("[one, two, one, three]", positions="head: hex 10 mm")
    assert found.check == "order-repeats"


def test_a_group_whose_count_could_not_be_read_is_left_to_that_finding() -> None:
    page = PAGE.format(order=CLEAN, count=0, positions=SQUARE, stages="[10 N·m]")
    assert [found.check for found in findings_of(page)] == ["out-of-range"]


def test_an_order_of_a_thousand_names_has_one_finding_for_what_is_wrong() -> None:
    names = [f"bolt {n}" for n in range(1000)]
    order = f"[{', '.join([*names[1:], names[1]])}]"
    positions = ", ".join(f"{name}: [{n}, 0]" for n, name in enumerate(names))
    found = after(order, count=1000, positions=f"positions: {{{positions}}}")
    assert [one.check for one in found] == ["order-incomplete", "order-repeats"]
