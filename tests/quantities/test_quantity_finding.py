"""Quantities typed in prose: what is found, and above all what is not. No outside source."""

from __future__ import annotations

import pytest

from procedures_lib.engineering.quantities import find_quantities, find_spoken

FOUND = [
    ("10 N·m", "torque"),
    ("10 Nm", "torque"),
    ("12,5 N·m", "torque"),
    ("35 ft-lb", "torque"),
    ("35 foot-pounds", "torque"),
    ("10–12 N·m", "torque"),
    ("12 ± 1 N·m", "torque"),
    ("10 to 12 N·m", "torque"),
    ("10\nN·m", "torque"),
    ("90°", "angle"),
    ("+45°", "angle"),
    ("90 degrees", "angle"),
    ("1/4 turn", "angle"),
    ("2 turns", "angle"),
    ("19 mm", "length"),
    ("3/4 in", "length"),
    ("1-1/2 in", "length"),
    ("2.5 in", "length"),
    ("2 m", "length"),
    ("3 bar", "pressure"),
    ("240 kPa", "pressure"),
    ("-40 °C", "temperature"),
    ("90° C", "temperature"),
    ("0.5 L", "volume"),
    ("5 US qt", "volume"),
    ("5 g", "mass"),
    ("12 V", "voltage"),
    ("15 min", "time"),
    ("3 h", "time"),
    ("93 AKI", "octane"),
    ("45 %", "share"),
    ("100 km", "distance"),
]
NOT_FOUND = [
    "Go back to step 4.",
    "an M8x1.25 bolt",
    "an M8 x 1.25 bolt",
    "fill with DOT 4",
    "DOT 4 L",
    "5W-30 or 0W-20 oil",
    "2 in the box",
    "4 in each bag",
    "the 4 in, then the others",
    "part TF-220-07",
    "TF-220-07 m",
    "see page 7",
    "for 2018-2022 cars",
    "the 1.6 turbo",
    "class 8.8",
    "2 metal clips",
    "a V6",
    "a Type 2 V belt",
    "open 24/7",
    "at 1:30",
    "at 1:30 h",
    "both 2 turn signals",
    "the 2 turn lamps",
    "a 12 V-shaped cut",
    "4 new bolts",
    "5 minor marks",
    "0.5.2 m",
    "row B12 m",
]


@pytest.mark.parametrize(("text", "kind"), FOUND)
def test_found_in_a_sentence(text: str, kind: str) -> None:
    before = "Bring it to "
    (found,) = find_quantities(f"{before}{text} with care.")
    assert (found.text, found.kind) == (text, kind)
    assert (found.start, found.end) == (len(before), len(before) + len(text))


@pytest.mark.parametrize(("text", "kind"), FOUND)
def test_found_at_the_end_and_in_brackets(text: str, kind: str) -> None:
    assert [each.kind for each in find_quantities(text)] == [kind]
    assert [each.text for each in find_quantities(f"({text}).")] == [text]


@pytest.mark.parametrize("text", NOT_FOUND)
def test_not_found(text: str) -> None:
    assert find_quantities(text) == ()


def test_whole_inches_count_at_the_end_only() -> None:
    assert [each.text for each in find_quantities("Cut it to 12 in.")] == ["12 in"]
    assert find_quantities("Put all 12 in now.") == ()


def test_several_in_order() -> None:
    text = "From 10 N·m, turn by 90°, then 1/4 turn; wait 15 min."
    found = find_quantities(text)
    assert [each.text for each in found] == ["10 N·m", "90°", "1/4 turn", "15 min"]
    assert [text[each.start : each.end] for each in found] == [each.text for each in found]


@pytest.mark.parametrize(
    "text",
    ["1" * 1_000_000, "1-" * 500_000, "1/" * 500_000, "1 1/" * 250_000, " " * 1_000_000],
    ids=["digits", "hyphens", "slashes", "mixed numbers", "spaces"],
)
def test_a_megabyte_of_nonsense_holds_none(text: str) -> None:
    """A pattern that backtracks without end would never come back from these."""
    assert find_quantities(text) == ()


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("twelve newton metres", "torque"),
        ("hundred and ten newton metres", "torque"),
        ("twelve point five newton metres", "torque"),
        ("eighty inch-pounds", "torque"),
        ("another quarter of a turn", "angle"),
        ("half a turn further", "angle"),
        ("ninety degrees", "angle"),
        ("two millimetres", "length"),
        ("half a litre", "volume"),
        ("three bar", "pressure"),
    ],
)
def test_what_is_written_in_words(text: str, kind: str) -> None:
    found = find_spoken(f"Then {text} with care.")
    assert [(each.text, each.kind) for each in found] == [(text, kind)]


@pytest.mark.parametrize(("text", "numbers"), [
    ("Torque them to 25.", ["25"]),
    ("Tightened to 12, then left alone.", ["12"]),
    ("Torque the 25 bolts, pull to 3 of 4, tighten to stage 2 of 3.", []),
])  # fmt: skip
def test_a_number_that_a_wrench_is_set_to(text: str, numbers: list[str]) -> None:
    assert [each.text for each in find_spoken(text)] == numbers


@pytest.mark.parametrize(
    "text",
    [
        "half a turn on each, back two by three turns",
        "within half a minute",
        "if one turns without rising",
        "two bars across, one bar under it",
        "a half-inch drive ratchet",
        "ten degrees cold",
        "one foot on the brake",
    ],
)
def test_what_is_said_loosely(text: str) -> None:
    assert find_spoken(text) == ()
