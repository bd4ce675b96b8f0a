"""The factors, against NIST SP 811 and three libraries that had them from elsewhere.

``nist_factors.csv`` holds factors of NIST SP 811 (2008), App. B.8; its last column says whether the
printed factor was read in a reprint (S), recomputed from the definition (V), or remembered (M).
"""

from __future__ import annotations

import csv
from fractions import Fraction
from pathlib import Path

import astropy.units as astropy_units
import pint
import pytest
import scipy.constants
from astropy.units import imperial

from procedures_lib.engineering.quantities import KINDS, read_quantity, unit_named, units_of

NIST = list(
    csv.DictReader(Path(__file__).with_name("nist_factors.csv").open(encoding="utf-8", newline=""))
)
NAMES = {
    "hp (550 ft·lbf/s)": "hp",
    "hp (metric, PS)": "PS",
    "inHg (conventional)": "inHg",
}
IN_BASE_UNITS = {"mm": Fraction(1, 1000), "W": Fraction(1), "Pa": Fraction(1), "N": Fraction(1)}
PINT_BASE = {
    "torque": "newton*meter",
    "angle": "degree",
    "length": "meter",
    "distance": "kilometer",
    "speed": "meter/second",
    "rotation": "revolution/minute",
    "pressure": "pascal",
    "temperature": "kelvin",
    "volume": "liter",
    "mass": "kilogram",
    "force": "newton",
    "power": "watt",
    "time": "second",
    "voltage": "volt",
    "share": "percent",
}
ALL_UNITS = [unit for kind in KINDS for unit in units_of(kind)]


def _factor(row: dict[str, str]) -> Fraction:
    unit = unit_named(NAMES.get(row["unit"], row["unit"]))
    return unit.factor / IN_BASE_UNITS.get(row["si_unit"], Fraction(1))


@pytest.mark.parametrize("row", NIST, ids=lambda row: row["unit"])
def test_factor_is_the_full_value_of_nist(row: dict[str, str]) -> None:
    assert float(_factor(row)) == pytest.approx(float(row["exact_or_full_value"]), rel=1e-15)


@pytest.mark.parametrize("row", NIST, ids=lambda row: row["unit"])
def test_factor_prints_as_nist_prints_it(row: dict[str, str]) -> None:
    """SP 811 prints seven digits; PS is 735.49875 exactly, printed 735.4988."""
    printed = row["printed_factor"]
    decimals = len(printed.partition(".")[2])
    half = Fraction(1, 2 * 10**decimals)
    assert abs(_factor(row) - Fraction(printed)) <= half


@pytest.mark.parametrize(
    ("symbol", "value"),
    [
        ("lbf·ft", scipy.constants.lbf * scipy.constants.foot),
        ("lbf·in", scipy.constants.lbf * scipy.constants.inch),
        ("kgf·m", scipy.constants.kgf),
        ("lbf", scipy.constants.lbf),
        ("hp", scipy.constants.hp),
        ("psi", scipy.constants.psi),
        ("bar", scipy.constants.bar),
        ("in", scipy.constants.inch),
        ("ft", scipy.constants.foot),
        ("mi", scipy.constants.mile / 1000),
        ("lb", scipy.constants.lb),
        ("oz", scipy.constants.oz),
        ("US gal", scipy.constants.gallon * 1000),
        ("imp gal", scipy.constants.gallon_imp * 1000),
        ("US fl oz", scipy.constants.fluid_ounce * 1000),
        ("mph", scipy.constants.mph),
        ("km/h", scipy.constants.kmh),
    ],
)
def test_factor_is_that_of_scipy(symbol: str, value: float) -> None:
    """Source: scipy.constants."""
    assert float(unit_named(symbol).factor) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("symbol", "theirs", "base"),
    [
        ("lbf·ft", imperial.lbf * imperial.ft, astropy_units.N * astropy_units.m),
        ("lbf·in", imperial.lbf * imperial.inch, astropy_units.N * astropy_units.m),
        ("psi", imperial.psi, astropy_units.Pa),
        ("hp", imperial.hp, astropy_units.W),
        ("US qt", imperial.quart, astropy_units.l),
        ("lb", imperial.lb, astropy_units.kg),
        ("mi", imperial.mi, astropy_units.km),
    ],
)
def test_factor_is_that_of_astropy(
    symbol: str, theirs: astropy_units.UnitBase, base: astropy_units.UnitBase
) -> None:
    """Source: astropy.units.imperial, whose pound-force is rounded (1.4e-8 off)."""
    assert float(unit_named(symbol).factor) == pytest.approx(theirs.to(base), rel=1e-7)


@pytest.fixture(scope="module")
def exact_pint() -> pint.UnitRegistry[Fraction]:
    return pint.UnitRegistry(non_int_type=Fraction)


@pytest.mark.parametrize(
    "symbol", [unit.symbol for unit in ALL_UNITS if unit.pint_name], ids=lambda symbol: symbol
)
def test_factor_and_offset_equal_those_of_pint(
    symbol: str, exact_pint: pint.UnitRegistry[Fraction]
) -> None:
    """Source: pint's own definitions, in exact fractions."""
    unit = unit_named(symbol)
    for value in (Fraction(1), Fraction(7, 3)):
        theirs = exact_pint.Quantity(value, unit.pint_name).to(PINT_BASE[unit.kind]).magnitude
        assert theirs == unit.to_base(value)


@pytest.mark.parametrize(
    ("text", "si"),
    [
        ("90°", scipy.constants.pi / 2),
        ("1 turn", 2 * scipy.constants.pi),
        ("60 rpm", 2 * scipy.constants.pi),
        ("20 °C", scipy.constants.convert_temperature(20, "C", "K")),
        ("68 °F", scipy.constants.convert_temperature(68, "F", "K")),
        ("5 L", 5 * scipy.constants.liter),
        ("45 %", 0.45),
        ("100 km", 1e5),
    ],
)
def test_si_value(text: str, si: float) -> None:
    """Source: scipy.constants."""
    assert read_quantity(text).si == pytest.approx(si, rel=1e-14)


def test_each_spelling_means_one_unit() -> None:
    spelled = [(word, unit.symbol) for unit in ALL_UNITS for word in unit.spellings]
    assert [word for word, symbol in spelled if unit_named(word).symbol != symbol] == []


def test_each_unit_has_a_source() -> None:
    assert [unit.symbol for unit in ALL_UNITS if not unit.source] == []
