"""What may be compared. 0.1 bar between tyre pressures is common practice (no source)."""

from __future__ import annotations

import pytest

from procedures_lib.engineering.dyno.comparability import differences, missing, same, tidy


@pytest.mark.parametrize(
    ("name", "one", "other", "expected"),
    [
        ("gear", "4", "4", True),
        ("gear", "4", "3", False),
        ("fuel", "93 AKI", "93  aki", True),
        ("fuel", "93 AKI", "91 AKI", False),
        ("fuel", "93 AKI", "98 RON", False),
        ("tyre-pressure", "240 kPa", "2.4 bar", True),
        ("tyre-pressure", "240 kPa", "250 kPa", True),
        ("tyre-pressure", "240 kPa", "251 kPa", False),
        ("tyre-pressure", "35 psi", "240 kPa", True),
        ("tyre-pressure", "240 kPa", "", False),
        ("oil-temperature", "90 °C", "194 °F", True),
        ("oil-temperature", "90 °C", "95 °C", False),
        ("fan", "full", "Full", True),
    ],
)
def test_the_same(name: str, one: str, other: str, expected: bool) -> None:
    assert same(name, one, other) is expected
    assert same(name, other, one) is expected


def test_what_forbids_a_comparison_and_what_does_not() -> None:
    first = {"gear": "4", "fuel": "93 AKI", "fan": "full"}
    other = {"gear": "3", "fuel": "93 AKI", "fan": "half", "oil": "cold"}
    found = {each.name: each.grave for each in differences(first, other)}
    assert found == {"gear": True, "fan": False, "oil": False}


def test_what_has_to_be_known() -> None:
    assert list(missing({"gear": "4", "fuel": ""})) == ["fuel"]
    assert list(missing({"gear": "4", "fuel": "93 AKI"})) == []


def test_names_are_read_as_people_write_them() -> None:
    assert tidy((("Tire pressure", "240 kPa"), ("tyre_gauge", "A"))) == {
        "tyre-pressure": "240 kPa",
        "tyre-gauge": "A",
    }
