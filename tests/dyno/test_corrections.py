"""The correction standards: worked values, one against another, and where they stop."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from procedures_lib.engineering.dyno.correction_factor import (
    CorrectionError,
    Engine,
    Weather,
    correct,
    fuel_exponent,
    standard_for,
    standards,
)
from procedures_lib.engineering.quantities import read_quantity
from procedures_lib.language.entities.dyno_session import CORRECTIONS

HERE = Path(__file__).parent


def rows(name: str) -> list[dict[str, str]]:
    with HERE.joinpath(name).open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


def dry_air(temperature: float, pressure: float) -> Weather:
    return Weather(temperature, pressure, 0.0)


@pytest.mark.parametrize("row", rows("corrections.csv"), ids=lambda row: row["id"])
def test_worked_values(row: dict[str, str]) -> None:
    fuel = float(row["fuel"]) if row["fuel"] else None
    engine = Engine(row["ignition"], row["charging"], fuel)
    air = dry_air(float(row["temperature_C"]), float(row["dry_hPa"] or row["pressure_hPa"]))
    factor = correct(row["standard"], air, engine).factor
    assert factor == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize(
    ("temperature", "pressure", "humidity", "expected"),
    [(35, 990, 40, 1.04755), (20, 1013.25, 50, 0.97656), (30, 970, 60, 1.06715)],
)
def test_from_the_barometer_and_the_humidity(
    temperature: float, pressure: float, humidity: float, expected: float
) -> None:
    # The same rows DY-2, DY-3 and DY-4, the vapour worked out here.
    air = Weather(temperature, pressure, humidity)
    assert correct("SAE J1349", air).factor == pytest.approx(expected, abs=1e-4)


@pytest.mark.parametrize("row", rows("fuel_exponents.csv"), ids=lambda row: row["corrected_fuel"])
def test_the_engine_factor_of_a_diesel(row: dict[str, str]) -> None:
    computed = fuel_exponent(float(row["corrected_fuel"]))
    assert computed == pytest.approx(float(row["expected"]), abs=1e-12)


def test_the_atmospheric_factors_of_a_diesel() -> None:
    # DY-15 and DY-16: fa = 1.06646 and 1.08153, told from fa^0.66 (from memory, recomputed).
    air = dry_air(35, 950)
    for charging, fa in (("none", 1.06646), ("turbo", 1.08153)):
        factor = correct("ISO 1585", air, Engine("diesel", charging, 50)).factor
        assert factor ** (1 / 0.66) == pytest.approx(fa, abs=1e-5)


def test_1_18_and_0_18_are_85_percent_rounded() -> None:
    standard = standard_for("SAE J1349")
    assert standard is not None
    assert standard.gain == round(1 / 0.85, 2)
    assert round(standard.gain - 1, 2) == round(0.15 / 0.85, 2)


@given(temperature=st.floats(15, 35), pressure=st.floats(800, 1100))
def test_j1349_and_r85_agree_inside_their_range(temperature: float, pressure: float) -> None:
    # |J1349/R85 - 1| <= 0.0015 (largest found: 0.001455), for 0.93 <= R85 <= 1.07.
    air = dry_air(temperature, pressure)
    r85 = correct("ISO 1585", air).factor
    if 0.93 <= r85 <= 1.07:
        assert abs(correct("SAE J1349", air).factor / r85 - 1) <= 0.0015


def test_where_r85_reaches_its_limits() -> None:
    # At 298 K 0.93 is reached at 105.172 kPa, 1.07 at 93.573 kPa (inverse of the formula).
    for pressure, inside in ((1051.7, True), (1051.8, False), (935.8, True), (935.6, False)):
        assert (not correct("ISO 1585", dry_air(25, pressure)).outside) is inside


@pytest.mark.parametrize("each", standards(), ids=lambda each: each.called)
def test_in_the_reference_air_nothing_changes(each: object) -> None:
    for standard in standards():
        air = dry_air(standard.reference_temperature, standard.reference_pressure)
        engine = Engine(standard.ignition, standard.charging[0], 50.0)
        assert correct(standard.name, air, engine).factor == pytest.approx(1.0, abs=1e-12)
    assert each in standards()


def test_a_whole_273_is_the_print_and_changes_the_fourth_digit() -> None:
    # With 273.15 the factor at 25 °C would be 1.18 sqrt(298.15/298) - 0.18 = 1.0003.
    assert correct("SAE J1349", dry_air(25, 990)).factor == 1.0
    assert 1.18 * math.sqrt(298.15 / 298) - 0.18 == pytest.approx(1.0003, abs=5e-5)


def test_j607_in_its_own_units() -> None:
    # (29.92/Pd) sqrt((t + 460)/520), °F and inHg (quoted in the trade), at 85 °F and 28.85 inHg.
    air = dry_air((85 - 32) / 1.8, float(read_quantity("28.85 inHg").exact_nominal("hPa")))
    assert correct("SAE J607", air).factor == pytest.approx(
        29.92 / 28.85 * math.sqrt((85 + 460) / 520), rel=1e-9
    )


@pytest.mark.parametrize("row", rows("bad_prints.csv"), ids=lambda row: row["where"])
def test_bad_prints_of_the_reference_pressure_show(row: dict[str, str]) -> None:
    right = read_quantity(f"{row['printed_hPa']} hPa").exact_nominal("inHg")
    assert float(right) == pytest.approx(float(row["right_inHg"]), abs=0.005)
    assert abs(float(row["printed_inHg"]) - float(right)) > 0.05


def test_the_505_of_a_bad_print_is_537() -> None:
    # A forum copy has sqrt((T + 460)/505) in °F; 77 °F + 460 is 537.
    air = dry_air(25, 990)
    assert 1.18 * math.sqrt((77 + 460) / 537) - 0.18 == correct("SAE J1349", air).factor
    assert 1.18 * math.sqrt((77 + 460) / 505) - 0.18 > 1.03


@pytest.mark.parametrize(
    ("name", "air", "said"),
    [
        ("SAE J1349", Weather(25, 840, 30), ["factor 1.22", "dry pressure 830"]),
        ("SAE J1349", Weather(36, 1000, 20), ["36 °C, allowed 15–35 °C"]),
        ("ISO 1585", Weather(10, 1000, 20), ["10 °C, allowed 15–35 °C"]),
        ("DIN 70020", Weather(25, 840, 30), ["(the range of ISO 1585)"]),
        ("SAE J607", Weather(40, 1000, 30), ["40 °C, allowed 15–35 °C (the range of ISO 1585)"]),
        ("SAE J1349", Weather(25, 990, 40), []),
        ("none", Weather(45, 700, 30), []),
    ],
)
def test_outside_their_range_they_say_so(name: str, air: Weather, said: list[str]) -> None:
    outside = correct(name, air).outside
    told = "; ".join(outside)
    assert bool(outside) is bool(said)
    for text in said:
        assert text in told


def test_1500_m_up_is_outside() -> None:
    # ICAO standard atmosphere: 845.56 hPa at 1500 m, 954.6 hPa at 500 m.
    altitudes = {row["h_m"]: float(row["p_geopotential_formula_Pa"]) / 100
                 for row in rows("standard_atmosphere.csv")}  # fmt: skip
    assert not correct("SAE J1349", dry_air(25, altitudes["500"])).outside
    assert correct("SAE J1349", dry_air(25, altitudes["1500"])).outside


def test_none_changes_nothing_and_asks_for_nothing() -> None:
    assert correct("none", None).factor == 1.0


@pytest.mark.parametrize(
    ("name", "air", "engine", "said"),
    [
        ("SAE J1349", None, Engine(), "needs the air"),
        ("SAE J1349", Weather(25, 990), Engine(), "humidity is not given"),
        ("SAE J1349", dry_air(25, 990), Engine("diesel"), "no formula for a diesel"),
        ("ISO 1585", dry_air(25, 990), Engine("diesel", "turbo"), "corrected fuel"),
    ],
)
def test_what_cant_be_corrected(name: str, air: Weather | None, engine: Engine, said: str) -> None:
    with pytest.raises(CorrectionError, match=said) as caught:
        correct(name, air, engine)
    assert caught.value.hint


def test_din_counts_the_total_pressure() -> None:
    assert correct("DIN 70020", Weather(25, 990)).factor == pytest.approx(1.0319, abs=5e-5)


def test_the_words_of_the_page_have_their_formulas() -> None:
    assert {each.name for each in standards()} | {"none"} == set(CORRECTIONS)
    assert all(each.source and each.range_source for each in standards())
