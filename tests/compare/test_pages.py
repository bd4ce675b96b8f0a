"""Boxes, signal words, double entry, what a page shows, prose, and what can't be read."""

from __future__ import annotations

import pytest

from procedures_lib.judging.compare import Group, compare
from tests.compare.small import (
    BOX,
    CAR,
    COVER,
    OFF,
    PAGES,
    after,
    edited,
    only,
    plain_pages,
    told,
)
from tests.helpers import manual_from


@pytest.mark.parametrize(
    ("before", "now", "expected"),
    [
        ("qty: 5, spare: 1", "qty: 6, spare: 1", ("packing list: qty", "changed", "5", "6")),
        ("number: V-1}", "number: V-1, note: black}", ("packing list: note", "added", "", "black")),
        ("  - {part: vent, number: V-1}\n", "", ("packing list", "dropped", "number: V-1", "")),
        ("revision: A", "revision: B", ("revision", "changed", "A", "B")),
        ("{power: +10 hp}", "{power: +12 hp}", ("claims power", "changed", "+10 hp", "+12 hp")),
        ("fits: {vehicle: mule}", "fits: {vehicle: mule, when: transmission=manual}",
         ("fits when", "added", "", "transmission=manual")),
    ],
)  # fmt: skip
def test_a_kit(before: str, now: str, expected: tuple[str, str, str, str]) -> None:
    comparison = after((BOX, before, now))
    assert [(row[0], *row[2:]) for row in told(comparison)] == [expected]


@pytest.mark.parametrize(
    ("before", "now", "expected"),
    [
        ("{caution} Sharp", "{warning} Sharp", ("signal word", "changed", "CAUTION", "WARNING")),
        (":::{caution} Sharp edge\nWear gloves.\n:::\n\n", "",
         ("signal word", "dropped", "CAUTION: Wear gloves.", "")),
        (":::{caution} Sharp edge\nWear",
         ":::{warning} Sparks\n:hazard: fire\n:::\n\n:::{caution} Sharp edge\nWear",
         ("signal word", "added", "", "WARNING (fire)")),
        ("{caution} Sharp edge", "{caution} Sharp edges",
         ("title of the signal word", "re-worded", "Sharp edge", "Sharp edges")),
        ("Wear gloves.", "Wear thick gloves.",
         ("text of the signal word", "re-worded", "Wear gloves.", "Wear thick gloves.")),
        ("{caution} Sharp edge\n", "{caution} Sharp edge\n:hazard: hot-fluid\n",
         ("hazard shown", "changed", "", "hot-fluid")),
    ],
)  # fmt: skip
def test_signal_words(before: str, now: str, expected: tuple[str, str, str, str]) -> None:
    change = only(after((COVER, before, now)))
    assert (change.topic, str(change.act), change.old, change.new) == expected
    assert change.group is Group.SAFETY


def test_double_entry() -> None:
    comparison = after((COVER, "cover-bolts: hand, 8 N·m", "cover-bolts: 71 lbf·in"))
    assert told(comparison) == [
        ("double entry", "cover-bolts", "changed", "hand, 8 N·m", "71 lbf·in")
    ]


def test_what_a_page_shows() -> None:
    comparison = after((COVER, "```{torque-table}\n```", "```{parts-list}\n```"))
    assert {row[2:] for row in told(comparison)} == {
        ("dropped", "{torque-table}", ""),
        ("added", "", "{parts-list}"),
    }


def test_amounts_in_the_prose_are_numbers() -> None:
    change = only(after((COVER, "{q}`2 mm`", "{q}`3 mm`")))
    assert (change.group, change.old, change.new) == (Group.NUMBERS, "2 mm", "3 mm")
    assert "{q}`2 mm`" in plain_pages()[COVER].splitlines()[change.place.line - 1]


def test_another_torque_in_the_prose_is_another_number() -> None:
    change = only(after((COVER, "{torque}`side-bolt`", "{torque}`cover-bolts`")))
    assert (change.group, change.topic) == (Group.SAFETY, "torque in the text")
    assert (change.old, change.new) == ("side-bolt", "cover-bolts")


def test_prose_only_is_said_as_such() -> None:
    comparison = after((COVER, "Lift it off.", "Lift it away."), (OFF, "Wait", "Then wait"))
    assert comparison.prose_only == (OFF, COVER)
    assert [(c.group, c.topic, c.old, c.new) for c in comparison.changes] == [
        (Group.PROSE, "sentence", "Wait 3 min.", "Then wait 3 min."),
        (Group.PROSE, "sentence", "Lift it off.", "Lift it away."),
    ]


def test_prose_beside_a_number_is_not_prose_only() -> None:
    comparison = after((COVER, "Lift it off.", "Lift it away."), (COVER, "time: 5", "time: 6"))
    assert comparison.prose_only == ()
    assert [c.group for c in comparison.changes] == [Group.PROSE, Group.WORK]


@pytest.mark.parametrize(
    ("before", "now"),
    [
        ("Mind your fingers.", "Mind\nyour   fingers."),
        ("revision: A\n", "revision: A   # first\n"),
        ("\n", "\r\n"),
        ("Mind your fingers.\n", "\n\n\nMind your fingers.\n\n\n"),
    ],
)
def test_how_it_is_typed_is_no_difference(before: str, now: str) -> None:
    comparison = after((COVER, before, now))
    assert comparison.changes == ()
    assert comparison.findings == ()


def test_a_page_that_cannot_be_read_is_said_and_the_rest_compared() -> None:
    pages: dict[str, str | bytes] = {**edited((CAR, "count: 4", "count: 6"))}
    pages[COVER] = b"\xff\xfe# No"
    comparison = compare(manual_from(plain_pages()), manual_from(pages))
    assert [row[0] for row in told(comparison)] == ["count"]
    assert [(u.side, u.what, u.place.page) for u in comparison.unread] == [("new", "page", COVER)]
    assert "UTF-8" in comparison.unread[0].why
    back = compare(manual_from(pages), manual_from(plain_pages()))
    assert [u.side for u in back.unread] == ["old"]


def test_a_value_that_cannot_be_read_is_shown_as_it_stands() -> None:
    change = only(after((BOX, "tighten: 3 N·m", "tighten: 3 pounds")))
    assert (change.topic, str(change.act)) == ("torque", "changed")
    assert change.new == "3 pounds (can't be read)"


def test_a_thing_that_cannot_be_read_is_not_called_dropped() -> None:
    comparison = after((CAR, "kind: plug, between: [cover, harness]", "kind: plug"))
    assert comparison.changes == ()
    assert [(u.side, u.what) for u in comparison.unread] == [("new", "`fan-plug`")]


def test_a_dyno_session_pull_by_pull() -> None:
    session = (
        "# Pulls\n\n```{dyno-session} pulls\nvehicle: mule\ndyno: {kind: chassis}\n"
        "conditions: {gear: 4}\ncorrection: none\nbefore:\n  - {pull: a.csv}\n"
        "after:\n  - {pull: b.csv, note: cold}\n```\n"
    )
    old = {**PAGES, "results/pulls.md": session}
    text = session.replace("gear: 4", "gear: 5").replace("cold", "warm").replace("a.csv", "c.csv")
    comparison = compare(manual_from(old), manual_from({**old, "results/pulls.md": text}))
    assert {(row[0], row[2], row[4]) for row in told(comparison)} == {
        ("conditions gear", "changed", "5"),
        ("after: note", "changed", "warm"),
        ("before", "added", "pull: c.csv"),
        ("before", "dropped", ""),
    }
