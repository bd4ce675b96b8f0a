"""The factors, against NIST SP 811 and three libraries that had them from elsewhere.

``nist_factors.csv`` holds factors of NIST SP 811 (2008), App. B.8; its last column says whether the
printed factor was read in a reprint (S), recomputed from the definition (V), or remembered (M).
"""

from __future__ import annotations

import csv
import re
from fractions import Fraction
from pathlib import Path

import astropy.units as astropy_units
import pint
import pytest
import scipy.constants
from astropy.units import imperial

from procedures_lib.data_tables import text_lines
from procedures_lib.engineering import quantities
from procedures_lib.engineering.quantities import KINDS, Unit, read_quantity, unit_named, units_of
from procedures_lib.engineering.quantities.units import converted, in_si, registry

NIST = list(
    csv.DictReader(Path(__file__).with_name("nist_factors.csv").open(encoding="utf-8", newline=""))
)
NAMES = {
    "hp (550 ft·lbf/s)": "hp",
    "hp (metric, PS)": "PS",
    "inHg (conventional)": "inHg",
}
PINT_SI = {
    "torque": "newton*meter",
    "angle": "radian",
    "length": "meter",
    "distance": "meter",
    "speed": "meter/second",
    "rotation": "radian/second",
    "pressure": "pascal",
    "temperature": "kelvin",
    "volume": "meter**3",
    "mass": "kilogram",
    "force": "newton",
    "power": "watt",
    "time": "second",
    "voltage": "volt",
    "share": "dimensionless",
}
THEIRS = {
    "lbf·ft": "lbf*foot",
    "lbf·in": "lbf*inch",
    "kgf·m": "kgf*meter",
    "rpm": "revolution/minute",
    "psi": "psi",
    "inHg": "inch_Hg",
    "°C": "degC",
    "°F": "degF",
    "L": "liter",
    "mL": "milliliter",
    "US qt": "quart",
    "US gal": "gallon",
    "US fl oz": "fluid_ounce",
    "imp qt": "imperial_quart",
    "imp gal": "imperial_gallon",
    "hp": "horsepower",
    "PS": "metric_horsepower",
    "lbf": "lbf",
    "mph": "mile/hour",
    "km/h": "kilometer/hour",
    "N·m": "newton*meter",
    "°": "degree",
}
"""Our units in the words of pint's own definitions, where they are not the symbol."""
ALL_UNITS = [unit for kind in KINDS for unit in units_of(kind)]


def _si(symbol: str) -> Fraction:
    return in_si(Fraction(1), unit_named(symbol))


def _factor(row: dict[str, str]) -> Fraction:
    """The factor to the unit that NIST converts to."""
    unit = unit_named(NAMES.get(row["unit"], row["unit"]))
    other = row["si_unit"]
    known = [each for each in units_of(unit.kind) if each.symbol == other]
    return converted(Fraction(1), unit, known[0]) if known else _si(unit.symbol)


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
        ("mi", scipy.constants.mile),
        ("lb", scipy.constants.lb),
        ("oz", scipy.constants.oz),
        ("US gal", scipy.constants.gallon),
        ("imp gal", scipy.constants.gallon_imp),
        ("US fl oz", scipy.constants.fluid_ounce),
        ("mph", scipy.constants.mph),
        ("km/h", scipy.constants.kmh),
    ],
)
def test_factor_is_that_of_scipy(symbol: str, value: float) -> None:
    """Source: scipy.constants."""
    assert float(_si(symbol)) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("symbol", "theirs", "base"),
    [
        ("lbf·ft", imperial.lbf * imperial.ft, astropy_units.N * astropy_units.m),
        ("lbf·in", imperial.lbf * imperial.inch, astropy_units.N * astropy_units.m),
        ("psi", imperial.psi, astropy_units.Pa),
        ("hp", imperial.hp, astropy_units.W),
        ("US qt", imperial.quart, astropy_units.m**3),
        ("lb", imperial.lb, astropy_units.kg),
        ("mi", imperial.mi, astropy_units.m),
    ],
)
def test_factor_is_that_of_astropy(
    symbol: str, theirs: astropy_units.UnitBase, base: astropy_units.UnitBase
) -> None:
    """Source: astropy.units.imperial, whose pound-force is rounded (1.4e-8 off)."""
    assert float(_si(symbol)) == pytest.approx(theirs.to(base), rel=1e-7)


@pytest.fixture(scope="module")
def exact_pint() -> pint.UnitRegistry[Fraction]:
    return pint.UnitRegistry(non_int_type=Fraction)


@pytest.mark.parametrize("unit", [u for u in ALL_UNITS if u.kind in PINT_SI], ids=str)
def test_factor_and_offset_equal_those_of_pint(
    unit: Unit, exact_pint: pint.UnitRegistry[Fraction]
) -> None:
    """Source: pint's own definitions, in exact fractions, of which the library loads none."""
    for value in (Fraction(1), Fraction(7, 3)):
        theirs = exact_pint.Quantity(value, THEIRS.get(unit.symbol, unit.symbol))
        ours = in_si(value, unit)
        if unit.kind in {"angle", "rotation"}:
            assert float(ours) == pytest.approx(float(theirs.to(PINT_SI[unit.kind]).magnitude))
        else:
            assert ours == theirs.to(PINT_SI[unit.kind]).magnitude


def test_what_is_defined_is_what_a_page_can_say() -> None:
    """No unit of pint's own list is there (its ``Nm`` is a unit of yarn), and none is idle."""
    lines = (line.partition("#")[0] for line in text_lines(quantities.__name__, "definitions.txt"))
    defined = {line.partition("=")[0].strip() for line in lines if "=" in line}
    assert set(dir(registry())) & {"Nm", "lbf", "meter", "joule"} == set()
    used = {word for unit in ALL_UNITS for word in re.findall("[a-z_]+", unit.pint_name)}
    assert used <= defined
    idle = {"second", "kelvin", "metre", "watt", "radian", "foot"}
    assert defined - used <= idle


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
