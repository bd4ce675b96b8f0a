"""Steps and actions: added, dropped, moved, re-titled, re-worded."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from procedures_lib.judging.compare import Comparison, Group, compare
from procedures_lib.judging.compare.rows import moved
from tests.compare.small import COVER, OFF, after, edited, only, plain_pages, told
from tests.helpers import manual_from

LOOK = ":::{step} Look at the seal\n:do: inspect seal\nIt must be whole.\n:::\n\n"
TRY = ":::{step} Try it\n:do: test leaks coolant\nRun it warm.\n:::\n\n"


def test_a_step_dropped_and_one_added() -> None:
    assert told(after((COVER, LOOK, ""))) == [
        ("step", "Look at the seal", "dropped", "inspect seal", "")
    ]
    comparison = after((COVER, LOOK, f"{LOOK}:::{{step}} Wipe it\n:do: clean seal\n:::\n\n"))
    assert told(comparison) == [("step", "Wipe it", "added", "", "clean seal")]
    assert only(comparison).note == "is step 4"


def test_a_step_moved_is_one_change() -> None:
    comparison = after((COVER, LOOK, ""), (COVER, TRY, TRY + LOOK))
    assert told(comparison) == [("step", "Look at the seal", "moved", "step 3", "step 5")]


def test_a_step_with_another_title_is_the_same_step() -> None:
    comparison = after((COVER, "{step} Look at the seal", "{step} Inspect the seal's lip"))
    assert [(c.topic, c.old, c.new) for c in comparison.changes] == [
        ("title", "Look at the seal", "Inspect the seal's lip")
    ]


def test_a_step_with_another_title_and_more_to_do() -> None:
    old = "{step} Take the cover off\n---\ndo:\n"
    new = "{step} Cover: take off\n---\ndo:\n  - inspect cover\n"
    assert sorted(told(after((COVER, old, new)))) == [
        ("action", "Cover: take off", "added", "", "inspect cover"),
        ("title", "Cover: take off", "changed", "Take the cover off", "Cover: take off"),
    ]


def test_objects_in_one_line_or_in_several_are_the_same() -> None:
    lines = "remove cover-bolts\n  - remove side-bolt\n  - remove cover"
    assert after((COVER, "remove cover-bolts, side-bolt, cover", lines)).changes == ()


@pytest.mark.parametrize(
    ("before", "now", "expected"),
    [
        ("  - disconnect fan-plug\n", "", ("action", "dropped", "disconnect fan-plug", "")),
        ("remove cover-bolts, side-bolt, cover", "remove side-bolt, cover-bolts, cover",
         ("order of actions", "moved", "disconnect fan-plug; remove cover-bolts; remove side-bolt; "
          "remove cover", "disconnect fan-plug; remove side-bolt; remove cover-bolts; "
          "remove cover")),
        ("inspect seal", "inspect seal and groove",
         ("action", "re-worded", "inspect seal", "inspect seal and groove")),
        ("- tighten side-bolt", "- tighten side-bolt stage 1",
         ("tightening", "changed", "tighten side-bolt", "tighten side-bolt stage 1")),
        ("test leaks coolant", "test leaks fuel",
         ("leak test", "re-worded", "test leaks coolant", "test leaks fuel")),
        ("test leaks coolant", "test leaks coolant, fuel",
         ("leak test", "re-worded", "test leaks coolant", "test leaks coolant, fuel")),
        ("- fit cover\n", "- seat cover\n", ("action", "changed", "fit cover", "seat cover")),
        ("tools: [trim lever]", "tools: [trim lever, lamp]",
         ("tools", "changed", "trim lever", "trim lever, lamp")),
        ("time: 5 min", "time: 7 min", ("time", "changed", "5 min", "7 min")),
        ("id: cover-on", "id: on-again", ("step id", "renamed", "cover-on", "on-again")),
        ("time: 5 min", "time: 5 min\nwhen: transmission=manual",
         ("when", "added", "", "transmission=manual")),
        ("time: 5 min", "time: 5 min\nhazards: [raised-vehicle]",
         ("hazards", "added", "", "raised-vehicle")),
    ],
)  # fmt: skip
def test_inside_a_step(before: str, now: str, expected: tuple[str, str, str, str]) -> None:
    comparison = after((COVER, before, now))
    assert [(topic, act, old, new) for topic, _, act, old, new in told(comparison)] == [expected]


def test_an_action_that_went_to_another_step() -> None:
    comparison = after(
        (COVER, "  - connect fan-plug\n", ""),
        (
            COVER,
            ":do: test leaks coolant",
            "---\ndo:\n  - connect fan-plug\n  - test leaks coolant\n---",
        ),
    )
    assert told(comparison) == [
        ("action", "Try it", "moved", "connect fan-plug, in “Put the cover on”",
         "connect fan-plug, in “Try it”")
    ]  # fmt: skip


def test_a_leak_test_that_goes_with_its_step_is_still_said() -> None:
    comparison = after((COVER, TRY, ""))
    assert [(c.group, c.topic, str(c.act)) for c in comparison.changes] == [
        (Group.SAFETY, "leak test", "dropped"),
        (Group.WORK, "step", "dropped"),
    ]


def test_the_order_in_which_joints_are_tightened() -> None:
    new = "- tighten side-bolt\n  - tighten cover-bolts"
    change = only(comparison := after((COVER, "- tighten cover-bolts\n  - tighten side-bolt", new)))
    assert (change.group, change.topic) == (Group.JOINTS, "order of tightening")
    assert [finding.check for finding in comparison.findings] == ["changed-without-revision"]


def test_what_is_moved_past_an_action_that_makes_safe_touches_safety() -> None:
    new = "- isolate fuel-pressure\n  - isolate battery"
    change = only(compare_safe("- isolate battery\n  - isolate fuel-pressure", new))
    assert (change.group, change.topic) == (Group.SAFETY, "order of actions")
    change = only(
        compare_safe("- isolate battery\n  - inspect seal", "- inspect seal\n  - isolate battery")
    )
    assert (change.group, change.topic) == (Group.SAFETY, "order of actions")


def compare_safe(before: str, now: str) -> Comparison:
    """Compare the small manual with other actions in its common steps, before and now."""
    old, new = (edited((OFF, "- isolate battery", text)) for text in (before, now))
    return compare(manual_from(old), manual_from(new))


def test_a_moved_test_touches_safety_and_a_moved_look_does_not() -> None:
    assert only(after((COVER, TRY, ""), (COVER, LOOK, TRY + LOOK))).group is Group.SAFETY
    assert only(after((COVER, LOOK, ""), (COVER, TRY, TRY + LOOK))).group is Group.WORK


def test_a_leak_test_that_went_to_another_step_touches_safety() -> None:
    early = "  - connect fan-plug\n  - test leaks coolant\n"
    wipe = ":do: clean seal"
    old = edited(
        (COVER, ":do: test leaks coolant", "---\ndo:\n  - clean seal\n  - test leaks coolant\n---")
    )
    new = edited((COVER, ":do: test leaks coolant", wipe), (COVER, "  - connect fan-plug\n", early))
    change = only(compare(manual_from(old), manual_from(new)))
    assert (change.group, change.topic, str(change.act)) == (Group.SAFETY, "action", "moved")


def test_making_safe_touches_safety() -> None:
    change = only(after((OFF, "isolate battery", "isolate battery, fuel-pressure")))
    assert (change.group, change.topic, change.new) == (
        Group.SAFETY, "making safe", "isolate fuel-pressure",
    )  # fmt: skip


def test_common_steps_called_elsewhere() -> None:
    call = ":::{common-steps} battery-off\n:::\n\n"
    comparison = after((COVER, call, ""), (COVER, LOOK, call + LOOK))
    assert [(c.thing.kind, str(c.act)) for c in comparison.changes] in (
        [("common steps", "moved")],
        [("step", "moved")],
    )


def test_an_action_that_cannot_be_read_is_shown_as_it_stands() -> None:
    comparison = after((COVER, "- fit cover\n", "- fitt cover\n"))
    assert {(str(c.act), c.old, c.new) for c in comparison.changes} == {
        ("dropped", "fit cover", ""),
        ("added", "", "fitt cover (can't be read)"),
    }


@given(st.permutations(list(range(7))))
def test_what_moved_is_all_but_a_longest_row_in_order(order: list[int]) -> None:
    """Against trying every choice: no larger set of steps keeps its order."""
    pairs = list(enumerate(order))
    left = moved(pairs, lambda pair: str(pair[1]))
    kept = [pair for pair in pairs if pair not in left]
    assert [b for _, b in kept] == sorted(b for _, b in kept)
    longest = max(
        size
        for size in range(len(order) + 1)
        if any(list(some) == sorted(some) for some in combinations(order, size))
    )
    assert len(kept) == longest


@given(st.permutations(list("abcdefgh")))
def test_the_same_have_moved_when_the_sides_are_exchanged(order: list[str]) -> None:
    there = [(n, order.index(name)) for n, name in enumerate("abcdefgh")]
    back = [(b, a) for a, b in there]
    moved_there = {"abcdefgh"[a] for a, _ in moved(there, lambda pair: "abcdefgh"[pair[0]])}
    moved_back = {order[a] for a, _ in moved(back, lambda pair: order[pair[0]])}
    assert moved_there == moved_back


def test_the_small_manual_is_what_the_edits_start_from() -> None:
    assert edited() == plain_pages()
