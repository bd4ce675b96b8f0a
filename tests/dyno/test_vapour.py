"""Vapour pressure against psychrolib, CoolProp, and published points."""

from __future__ import annotations

import csv
from importlib import import_module
from pathlib import Path
from typing import Any

import psychrolib
import pytest

from procedures_lib.engineering.dyno.correction_factor import (
    dry_pressure_hpa,
    humidity_of_dew_point,
    humidity_of_wet_bulb,
    saturation_pressure_hpa,
    vapour_pressure_hpa,
)

ROWS = list(csv.DictReader(Path(__file__).with_name("vapour_pressure.csv").open(encoding="utf-8")))
"""Values of six formulas, computed with public libraries (see the names of the columns)."""


@pytest.fixture(scope="module")
def coolprop() -> Any:
    """The library, which takes seconds to import: in the one process that asks it."""
    return import_module("CoolProp.CoolProp")


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["t_C"])
def test_it_is_bucks_formula(row: dict[str, str]) -> None:
    computed = saturation_pressure_hpa(float(row["t_C"]))
    assert computed == pytest.approx(float(row["Buck1996_hPa"]), abs=6e-5)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["t_C"])
def test_other_formulas_are_near(row: dict[str, str]) -> None:
    computed = saturation_pressure_hpa(float(row["t_C"]))
    for formula in ("psychrolib_hPa", "CoolProp_hPa", "IF97_hPa"):
        assert computed == pytest.approx(float(row[formula]), rel=5e-4), formula


@pytest.mark.parametrize("celsius", range(1, 51, 7))
def test_two_libraries_agree_within_half_a_thousandth(coolprop: Any, celsius: int) -> None:
    psychrolib.SetUnitSystem(psychrolib.SI)
    computed = saturation_pressure_hpa(celsius) * 100
    assert computed == pytest.approx(psychrolib.GetSatVapPres(celsius), rel=5e-4)
    steam = coolprop.PropsSI("P", "T", celsius + 273.15, "Q", 0, "Water")
    assert computed == pytest.approx(steam, rel=5e-4)


def test_a_worked_value_of_40_cfr_1065_645() -> None:
    # 40 CFR 1065.645(a): 1.186581 kPa at 9.5 °C, by the Goff-Gratch formula.
    # Formulas in use differ by up to 0.15 %; a factor of correction changes by 0.00003 with that.
    assert saturation_pressure_hpa(9.5) == pytest.approx(11.86581, rel=1e-3)


def test_another_worked_value_of_it() -> None:
    # 40 CFR 1065.645: 50.77 % of 2.3371 kPa in 99.980 kPa is 0.011868 mol/mol; 20 °C has 2.3371.
    share = vapour_pressure_hpa(20, 50.77) / 999.80
    assert share == pytest.approx(0.011868, rel=1e-3)


def test_dry_air_is_what_is_left() -> None:
    psychrolib.SetUnitSystem(psychrolib.SI)
    vapour = psychrolib.GetVapPresFromRelHum(35, 0.4) / 100
    assert dry_pressure_hpa(990, 35, 40) == pytest.approx(990 - vapour, abs=0.01)
    assert dry_pressure_hpa(990, 35, 40) == pytest.approx(967.489, abs=0.01)
    assert dry_pressure_hpa(990, 35, 0) == 990


@pytest.mark.parametrize(("celsius", "dew"), [(25, 18), (35, 22), (15, 12), (20, 4)])
def test_a_dew_point_is_two_libraries_humidity(coolprop: Any, celsius: float, dew: float) -> None:
    psychrolib.SetUnitSystem(psychrolib.SI)
    found = humidity_of_dew_point(celsius, dew)
    assert found == pytest.approx(100 * psychrolib.GetRelHumFromTDewPoint(celsius, dew), rel=5e-4)
    moist = coolprop.HAPropsSI("R", "T", celsius + 273.15, "D", dew + 273.15, "P", 99000)
    assert found == pytest.approx(100 * moist, rel=1e-3)


def test_a_dew_point_of_40_cfr_1065_645() -> None:
    # 40 CFR 1065.645(d): a vapour pressure of 925.717 Pa has its dew point at 279.001023 K.
    assert vapour_pressure_hpa(20, humidity_of_dew_point(20, 5.851023)) == pytest.approx(
        9.25717, rel=1e-3
    )


@pytest.mark.parametrize(
    ("celsius", "bulb", "hpa"), [(25, 18, 990), (35, 22, 960), (15, 12, 1013), (20, 10, 840)]
)
def test_a_wet_bulb_is_near_two_libraries(
    coolprop: Any, celsius: float, bulb: float, hpa: float
) -> None:
    """They take the thermodynamic wet bulb, ours is that of a psychrometer: within 0.7 %."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    found = humidity_of_wet_bulb(celsius, bulb, hpa)
    theirs = 100 * psychrolib.GetRelHumFromTWetBulb(celsius, bulb, hpa * 100)
    assert found == pytest.approx(theirs, abs=0.7)
    moist = coolprop.HAPropsSI("R", "T", celsius + 273.15, "B", bulb + 273.15, "P", hpa * 100)
    assert found == pytest.approx(100 * moist, abs=0.7)


@pytest.mark.parametrize("humidity", [-1, 100.5])
def test_a_humidity_that_cant_be(humidity: float) -> None:
    with pytest.raises(ValueError, match="can't be"):
        vapour_pressure_hpa(20, humidity)
