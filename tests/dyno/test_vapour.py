"""Vapour pressure against psychrolib, CoolProp, and published points."""

from __future__ import annotations

import csv
from pathlib import Path

import psychrolib
import pytest
from CoolProp import CoolProp

from procedures_lib.engineering.dyno.correction_factor import (
    dry_pressure_hpa,
    saturation_pressure_hpa,
    vapour_pressure_hpa,
)

ROWS = list(csv.DictReader(Path(__file__).with_name("vapour_pressure.csv").open(encoding="utf-8")))
"""Values of six formulas, computed with public libraries (see the names of the columns)."""


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
def test_two_libraries_agree_within_half_a_thousandth(celsius: int) -> None:
    psychrolib.SetUnitSystem(psychrolib.SI)
    computed = saturation_pressure_hpa(celsius) * 100
    assert computed == pytest.approx(psychrolib.GetSatVapPres(celsius), rel=5e-4)
    steam = CoolProp.PropsSI("P", "T", celsius + 273.15, "Q", 0, "Water")
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


@pytest.mark.parametrize("humidity", [-1, 100.5])
def test_a_humidity_that_cant_be(humidity: float) -> None:
    with pytest.raises(ValueError, match="can't be"):
        vapour_pressure_hpa(20, humidity)
