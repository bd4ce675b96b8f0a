"""Rounding and showing.

Sources: ``rounding_rules.csv`` (NIST SP 811 B.7.1 and ASTM SI 10, both rows from memory);
``trade_equivalences.csv`` (28 pairs of common practice, no published source, recomputed from the
NIST factors); the examples of the page language.
"""

from __future__ import annotations

import csv
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest

from procedures_lib.engineering.quantities import (
    convert,
    customary,
    read_quantity,
    round_inwards,
    round_value,
    show_torque,
    with_conversion,
)

HERE = Path(__file__).parent
TRADE = list(csv.DictReader((HERE / "trade_equivalences.csv").open(encoding="utf-8", newline="")))
RULES = {
    row["source"]: row
    for row in csv.DictReader((HERE / "rounding_rules.csv").open(encoding="utf-8", newline=""))
}


def _spaced(text: str) -> str:
    return text.replace("\u00a0", " ")


def test_tie_goes_to_the_even_digit() -> None:
    """Source: NIST SP 811 B.7.1 (from memory): 6.974 950 5 to seven digits is 6.974 950."""
    row = RULES["NIST SP 811 B.7.1"]
    millionths = round_value(Fraction(row["exact"]) * 10**6)
    assert millionths.low / 10**6 == Fraction(row["expected"])


def test_limit_is_rounded_inwards() -> None:
    """Source: ASTM SI 10 practice (from memory): at most 12.0 N·m is at most 106 lbf·in."""
    row = RULES["ASTM SI 10 / SP 811 practice (conservative rounding of limits)"]
    highest = convert(read_quantity("10–12.0 N·m"), "lbf·in").high
    assert highest == Decimal(row["expected"])
    assert float(read_quantity("12.0 N·m").exact("lbf·in")[1]) == pytest.approx(
        float(row["exact"]), abs=5e-4
    )


@pytest.mark.parametrize(
    ("text", "unit", "shown"),
    [
        ("10 N·m", "lbf·in", "89 lbf·in"),
        ("10 N·m", "lbf·ft", "7.5 lbf·ft"),
        ("33 lbf·ft", "N·m", "45 N·m"),
        ("20 N·m", "lbf·ft", "15 lbf·ft"),
        ("11–13 N·m", "lbf·in", "98–115 lbf·in"),
        ("12 ± 1 N·m", "lbf·in", "98–115 lbf·in"),
        ("7.4–7.5 lbf·in", "N·m", "0.840–0.845 N·m"),
        ("10 N*m", "N·m", "10 N·m"),
        ("1/6 turn", "°", "60°"),
        ("-20 to 40 °C", "°F", "−4 to 104 °F"),
        ("98.6 °F", "°C", "37 °C"),
        ("0.5 °C", "°F", "33 °F"),
        ("0 bar", "psi", "0 psi"),
    ],
)
def test_converted_text(text: str, unit: str, shown: str) -> None:
    """The first four are the page language's own; the others follow from its rule."""
    assert _spaced(convert(read_quantity(text), unit).text) == shown


@pytest.mark.parametrize("row", TRADE, ids=lambda row: f"{row['printed_N_m']} N·m")
def test_trade_pair_within_its_tolerance(row: dict[str, str]) -> None:
    """Source: common practice, as the file says: how far the pair's printed figures may differ."""
    imperial = read_quantity(f"{row['printed_imperial']} {row['imperial_unit']}")
    off = abs(imperial.exact("N·m")[0] - Fraction(row["printed_N_m"]))
    assert off <= Fraction(row["tol_N_m"])


@pytest.mark.parametrize("row", TRADE, ids=lambda row: f"{row['printed_N_m']} N·m")
def test_trade_pair_comes_out_of_our_rounding(row: dict[str, str]) -> None:
    """Source: common practice. 18 lbf·ft for 25 N·m moves it by 2.4 %, more than we allow."""
    metric = read_quantity(f"{row['printed_N_m']} N·m")
    ours = convert(metric, row["imperial_unit"]).low
    expected = Decimal("18.5") if row["printed_N_m"] == "25" else Decimal(row["printed_imperial"])
    assert ours == expected


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("10 N·m", "10 N·m (89 lbf·in)"),
        ("19.9 N·m", "19.9 N·m (176 lbf·in)"),
        ("20 N·m", "20 N·m (15 lbf·ft)"),
        ("12 ± 1 N·m", "12 ± 1 N·m (98–115 lbf·in)"),
        ("33 lbf·ft", "45 N·m (33 lbf·ft)"),
        ("89 in-lb", "10 N·m (89 lbf·in)"),
        ("4.5 kgf·m", "44 N·m (4.5 kgf·m)"),
        ("30-35 ft-lb", "41–47 N·m (30–35 lbf·ft)"),
    ],
)
def test_torque_shows_newton_metres_first(text: str, shown: str) -> None:
    assert _spaced(show_torque(read_quantity(text))) == shown
    assert with_conversion(read_quantity(text)) == show_torque(read_quantity(text))


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("19 mm", "19 mm (3/4 in)"),
        ("38 mm", "38 mm (1-1/2 in)"),
        ("10 mm", "10 mm (0.4 in)"),
        ("150 mm", "150 mm (6 in)"),
        ("0.7–0.8 mm", "0.7–0.8 mm (0.028–0.031 in)"),
        ("3/4 in", "3/4 in (19 mm)"),
        ("240 kPa", "240 kPa (35 psi)"),
        ("35 psi", "35 psi (241 kPa)"),
        ("90 °C", "90 °C (194 °F)"),
        ("5.2 L", "5.2 L (5.5 US qt)"),
        ("21 hp", "21 hp (15.5 kW)"),
        ("100 km", "100 km (62 mi)"),
        ("12 V", "12 V"),
        ("15 min", "15 min"),
        ("93 AKI", "93 AKI"),
        ("90°", "90°"),
    ],
)
def test_other_quantities_with_conversion(text: str, shown: str) -> None:
    """19 mm and 240 kPa are the page language's own; the others follow from its rule."""
    quantity = read_quantity(text)
    assert _spaced(with_conversion(quantity)) == shown
    assert bool(customary(quantity)) == ("(" in shown)


def test_range_that_runs_backwards_is_refused() -> None:
    with pytest.raises(ValueError, match="from low to high"):
        round_inwards(Fraction(2), Fraction(1))
