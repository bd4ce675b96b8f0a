"""What a text is read as. The forms are those of the page language; no outside source."""

from __future__ import annotations

import pickle
from fractions import Fraction

import pytest

from procedures_lib.engineering.quantities import KINDS, read_quantity, unit_named, units_of

NBSP = "\u00a0"


@pytest.mark.parametrize(
    ("unit", "spellings"),
    [
        ("N·m", ["N·m", "N*m", "Nm", "N.m", "N⋅m", "N-m", "N m", "newton metres", "Newton-Meters"]),
        ("lbf·ft", ["lbf·ft", "ft·lbf", "lbf-ft", "lbf*ft", "lbf ft", "ft-lb", "ft-lbs", "lb-ft"]),
        ("lbf·ft", ["ft lb", "ft.-lbs.", "foot-pounds", "Foot-Pounds", "FT-LB", "pound-feet"]),
        ("lbf·in", ["lbf·in", "in-lb", "in-lbs", "lb-in", "in. lb.", "inch-pounds", "in⋅lbf"]),
        ("kgf·m", ["kgf·m", "kgf*m", "m·kgf"]),
    ],
)
def test_torque_spellings(unit: str, spellings: list[str]) -> None:
    read = {read_quantity(f"12 {spelling}", "torque").unit for spelling in spellings}
    assert read == {unit}


@pytest.mark.parametrize(
    ("text", "unit", "kind"),
    [
        ("90 deg", "°", "angle"),
        ("90º", "°", "angle"),
        ("2 turns", "turn", "angle"),
        ("19mm", "mm", "length"),
        ("3/4 in.", "in", "length"),
        ('3/4"', "in", "length"),
        ("100 km", "km", "distance"),
        ("35 PSI", "psi", "pressure"),
        ("29.92 in Hg", "inHg", "pressure"),
        ("90 ℃", "°C", "temperature"),
        ("90 degrees C", "°C", "temperature"),
        ("5 l", "L", "volume"),
        ("5 qt US", "US qt", "volume"),
        ("2 US gal", "US gal", "volume"),
        ("35 lb", "lb", "mass"),
        ("250 HP", "hp", "power"),
        ("250 PS", "PS", "power"),
        ("2 hrs", "h", "time"),
        ("12 V", "V", "voltage"),
        ("93 AKI", "AKI", "octane"),
        ("98 RON", "RON", "octane"),
        ("3000 1/min", "rpm", "rotation"),
        ("45%", "%", "share"),
        ("8 kN", "kN", "force"),
    ],
)
def test_units_of_other_kinds(text: str, unit: str, kind: str) -> None:
    quantity = read_quantity(text, kind)
    assert (quantity.unit, quantity.kind) == (unit, kind)
    assert read_quantity(text) == quantity


@pytest.mark.parametrize(
    ("text", "value", "low", "high"),
    [
        ("12 N·m", 12, 12, 12),
        ("12.5 N·m", Fraction(25, 2), Fraction(25, 2), Fraction(25, 2)),
        ("12 ± 1 N·m", 12, 11, 13),
        ("12 +/- 1 N·m", 12, 11, 13),
        ("12+-1 N·m", 12, 11, 13),
        ("12 N·m ± 1 N·m", 12, 11, 13),
        ("12 N·m ± 10 %", 12, Fraction(54, 5), Fraction(66, 5)),
        ("10–12 N·m", None, 10, 12),
        ("10-12 N·m", None, 10, 12),
        ("10\u221212 N·m", None, 10, 12),
        ("10 to 12 N·m", None, 10, 12),
        ("10 N·m to 12 N·m", None, 10, 12),
        ("1/4 in", Fraction(1, 4), Fraction(1, 4), Fraction(1, 4)),
        ("1 1/2 in", Fraction(3, 2), Fraction(3, 2), Fraction(3, 2)),
        ("1-1/2 in", Fraction(3, 2), Fraction(3, 2), Fraction(3, 2)),
        ("1-1/4 to 1-1/2 in", None, Fraction(5, 4), Fraction(3, 2)),
        ("1/4-3/8 in", None, Fraction(1, 4), Fraction(3, 8)),
        ("-40 °C", -40, -40, -40),
        ("\u221220 to 40 °C", None, -20, 40),
    ],
)
def test_numbers(text: str, value: Fraction | None, low: Fraction, high: Fraction) -> None:
    quantity = read_quantity(text)
    assert (quantity.value, quantity.low, quantity.high) == (value, low, high)
    assert quantity.is_range == (low != high)


@pytest.mark.parametrize(
    ("text", "value"), [("+45°", 45), ("+1/6 turn", Fraction(1, 6)), ("+21 hp", 21), ("−5 hp", -5)]
)
def test_signs_where_they_are_wanted(text: str, value: Fraction) -> None:
    assert read_quantity(text, signed=True).value == value


def test_a_signed_value_may_have_a_tolerance_across_zero() -> None:
    gain = read_quantity("+5 ± 6 hp", signed=True)
    assert gain.low == -1
    assert gain.high == 11
    assert gain.tidy == "+5 ± 6 hp".replace(" ", NBSP)


@pytest.mark.parametrize(
    ("text", "canonical"),
    [
        ("  12.50   Nm ", "12.50 N·m"),
        ("12 +/- 1 N*m", "12 ± 1 N·m"),
        ("12 N·m ± 1 N·m", "12 ± 1 N·m"),
        ("12 Nm ± 10%", "12 N·m ± 10 %"),
        ("10 to 12 ft-lb", "10–12 lbf·ft"),
        ("-20 to 40 °C", "−20 to 40 °C"),
        ("1-1/4 to 1 1/2 in", "1-1/4 to 1 1/2 in"),
        ("1/4 in", "1/4 in"),
        ("90 deg", "90°"),
        ("45%", "45 %"),
        ("12 Nm ± 10 per cent", "12 N·m ± 10 %"),
        ("45 percent ± 2 %", "45 ± 2 %"),
        ("45 per·cent ± 2 %", "45 ± 2 %"),
    ],
)
def test_canonical_keeps_the_digits(text: str, canonical: str) -> None:
    assert read_quantity(text).tidy == canonical.replace(" ", NBSP)


def test_written_is_never_rewritten() -> None:
    assert read_quantity(" 12.50  Nm\n").written == "12.50  Nm"


def test_canonical_text_reads_back_the_same() -> None:
    for text in (
        "12 ± 1 Nm",
        "10-12 ft-lb",
        "12 N·m ± 10 %",
        "45 percent ± 2 %",
        "1 1/2 in",
        "-20 to 40 °C",
    ):
        first = read_quantity(text)
        again = read_quantity(first.tidy)
        assert (again.value, again.low, again.high, again.unit) == (
            first.value,
            first.low,
            first.high,
            first.unit,
        )


def test_a_quantity_survives_pickling() -> None:
    quantity = read_quantity("12 ± 1 N·m")
    assert pickle.loads(pickle.dumps(quantity)) == quantity  # noqa: S301  our own bytes


def test_nominal_of_a_range_is_its_middle() -> None:
    assert read_quantity("10–12 N·m").nominal == 11
    assert read_quantity("10–12 N·m").si_low == 10.0
    assert read_quantity("10–12 N·m").si_high == 12.0


def test_every_symbol_reads_as_itself() -> None:
    symbols = [unit.symbol for kind in KINDS for unit in units_of(kind)]
    assert [read_quantity(f"12 {symbol}").unit for symbol in symbols] == symbols
    assert unit_named("Nm").symbol == "N·m"
