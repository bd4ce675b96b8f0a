"""The report: figures, cautions, claims, the handover sheet."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import pytest

from procedures_lib.fronts.tables.gain_report import gain_lines, gain_report
from procedures_lib.language.entities.dyno_session import DynoSession
from procedures_lib.manual import Manual
from tests.dyno.world import PAGE, csv_of, power_peak, pulls, torque, write

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from procedures_lib.fronts.tables.gain_report import GainReport
    from procedures_lib.fronts.tables.table import Table

HP = 0.745699872
IN_UNITS = PAGE.replace("correction: SAE J1349", "correction: none\nunits: [kW, N·m]")


def report_of(
    root: Path, page: str = IN_UNITS, files: Mapping[str, str | bytes] | None = None
) -> GainReport:
    manual = Manual.read(write(root, page, files))
    return gain_report(manual, manual.heads(DynoSession)[0])


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


def rows_of(table: Table) -> dict[str, dict[str, str]]:
    records = [{key: plain(text) for key, text in row.items()} for row in table.records()]
    return {next(iter(row.values())): row for row in records}


def test_peaks_are_those_of_the_engine(tmp_path: Path) -> None:
    report = report_of(tmp_path)
    row = rows_of(report.gains)["Peak power"]
    (at, before), (_, after) = power_peak(200), power_peak(240)
    assert row["before"] == f"{before:.1f} kW at {round(at, -1):g} rpm"
    assert row["after"] == f"{after:.1f} kW at {round(at, -1):g} rpm"
    assert row["gain"].startswith(f"+{after - before:.1f} ± ")
    assert row["share"] == "+20.0 %"
    assert row["told"] == "more than the spread"


def test_the_interval_is_welchs(tmp_path: Path) -> None:
    # Peaks of torque 199.5, 200, 200.5 and 239.5, 240, 240.5: t(0.975, 4) = 2.776 (t table).
    row = rows_of(report_of(tmp_path).gains)["Peak torque"]
    half = 2.776 * 0.5 * (2 / 3) ** 0.5
    assert row["gain"] == f"+40.0 ± {half:.1f} N·m"
    assert row["also"].endswith(" lbf·ft")


def test_the_rest_stands_in_the_second_table(tmp_path: Path) -> None:
    rows = rows_of(report_of(tmp_path).more)
    assert rows["Largest gain in torque, at 4000 rpm"]["before"] == "200.0 N·m"
    assert rows["Highest single sample of torque"]["after"] == "240.5 N·m at 4000 rpm"
    told = rows["Where torque differs by more than the spread"]["told"]
    assert told.startswith("at each speed by itself: 2000–6000 rpm; at all speeds at once: ")
    limit = rows["Repeatability limit r of peak torque"]["told"]
    assert limit.startswith("1.4 N·m: ")  # 2.8 times 0.5


def test_units_are_the_sessions_then_the_claims_then_si(tmp_path: Path) -> None:
    assert report_of(tmp_path / "a").units == {"power": "kW", "torque": "N·m"}
    claims = report_of(tmp_path / "b", PAGE)
    assert claims.units == {"power": "hp", "torque": "lbf·ft"}
    bare = PAGE.replace("procedure: fit-tf-1\n", "")
    assert report_of(tmp_path / "c", bare).units == {"power": "kW", "torque": "N·m"}
    one = IN_UNITS.replace("[kW, N·m]", "PS")
    assert report_of(tmp_path / "d", one).units == {"power": "PS", "torque": "lbf·ft"}


def test_a_band_narrows_the_mean_alone(tmp_path: Path) -> None:
    page = IN_UNITS.replace("before:\n", "band: 3500–4500 rpm\nbefore:\n")
    row = rows_of(report_of(tmp_path, page).gains)["Mean torque, 3500–4500 rpm"]
    mean = 200 * (1 - 500**2 / 3 / 5000**2)  # of the parabola, by its integral
    assert float(row["before"].split()[0]) == pytest.approx(mean, abs=0.1)


def test_smoothing_lowers_a_peak_by_what_it_averages(tmp_path: Path) -> None:
    # The mean of 200 (1 - (x/5000)²) over x = -200, -150, … 200: 16,667 rpm² on average.
    page = IN_UNITS.replace("correction: none", "smoothing: 400 rpm\ncorrection: none")
    gain = report_of(tmp_path, page).measured.gain("torque")
    assert gain is not None
    assert gain.before.peak == pytest.approx(200 * (1 - 16666.7 / 5000**2), abs=1e-3)
    plain_gain = report_of(tmp_path).measured.gain("torque")
    assert plain_gain is not None
    assert plain_gain.before.peak == pytest.approx(200, abs=1e-3)


def test_the_area_is_the_mean_times_the_band(tmp_path: Path) -> None:
    report = report_of(tmp_path)
    rows = rows_of(report.more)
    row = rows["Area between the curves of torque, 2000–6000 rpm"]
    mean = 40 * (1 - 2000**2 / 3 / 5000**2)  # of the parabola, by its integral
    number, unit = row["gain"].split()
    assert unit == "N·m·rpm"
    assert float(number) == pytest.approx(mean * 4000, abs=500)


def test_the_standard_stands_on_the_report_with_its_air_and_range(tmp_path: Path) -> None:
    facts = dict(report_of(tmp_path, PAGE).facts)
    assert facts["Correction"] == "SAE J1349, chassis form: to 990 hPa of dry air, 25 °C"
    assert facts["Holds for"] == "factors 0.93–1.07, 15–35 °C, 900–1050 hPa"
    page = PAGE.replace("SAE J1349", "DIN 70020")
    assert dict(report_of(tmp_path, page).facts)["Holds for"].startswith("no range known")


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("", "", "This car, on this day"),
        ("", "", "Bonferroni"),
        ("", "", "Measured at the wheels"),
        ("correction: none", "engine: {charging: turbo}\ncorrection: SAE J1349", "is charged"),
        ("correction: none", "smoothing: 100 rpm\ncorrection: none", "Smoothed: every curve"),
        ("{pull: data/after-3.csv,", "{pull: data/after-3.csv, conditions: {fan: half},",
         "Not the same for all pulls: fan (before 1 not given, after 3 half)"),
        ("kind: chassis}", "kind: chassis, last-verified: 2025-01-10}\ndate: 2026-06-01",
         "last verified on 2025-01-10"),
        ("correction: none", "correction: none", "Not corrected for the air"),
        ("correction: none", "correction: none", "By ISO 1585 the air alone would make +0.0 %"),
    ],
)  # fmt: skip
def test_cautions(tmp_path: Path, old: str, new: str, said: str) -> None:
    told = " ".join(map(plain, report_of(tmp_path, IN_UNITS.replace(old, new)).cautions))
    assert said in told


def test_air_that_differs_is_told_without_a_correction(tmp_path: Path) -> None:
    page = IN_UNITS
    for n in (1, 2, 3):
        line = f"after-{n}.csv, air: {{temperature: 25"
        page = page.replace(line, line.replace("25", "32"))
    told = " ".join(map(plain, report_of(tmp_path, page).cautions))
    # By hand: ((298/305)^0.6) and 40 % of 47.6 hPa against 31.7 hPa less in dry air: -2.1 %.
    assert "By ISO 1585 the air alone would make \u22122.1 %" in told


def test_a_pressure_reduced_to_sea_level_on_one_side_is_noticed(tmp_path: Path) -> None:
    page = PAGE.replace("after-3.csv, air: {temperature: 25 °C, pressure: 1000",
                        "after-3.csv, air: {temperature: 25 °C, pressure: 1040")  # fmt: skip
    told = " ".join(report_of(tmp_path, page).cautions)
    assert "none reduced to sea level" in told


def test_a_curve_that_loses_below_is_told(tmp_path: Path) -> None:
    def tilted(rpm: float, peak: float) -> float:
        return torque(rpm, peak) * rpm / 3500

    files = {f"after-{n}.csv": csv_of(partial(tilted, peak=200 + 0.2 * n)) for n in (1, 2, 3)}
    told = " ".join(map(plain, report_of(tmp_path, files=files).cautions))
    assert "Less power than before at 2000–34" in told
    assert "cross at 3500 rpm" in told or "cross at 3490 rpm" in told


def test_rows_left_out_are_told(tmp_path: Path) -> None:
    tail = "".join(f"{rpm},-20\n" for rpm in range(5950, 3000, -50))
    files = {"before-1.csv": pulls()["before-1.csv"] + tail}
    told = " ".join(report_of(tmp_path, files=files).cautions)
    assert "before 1 (0 before, 59 behind)" in told


def test_a_session_that_is_refused_says_why_and_gives_no_figure(tmp_path: Path) -> None:
    page = PAGE.replace(
        "{pull: data/after-3.csv,", "{pull: data/after-3.csv, conditions: {gear: 3},"
    )
    report = report_of(tmp_path, page)
    assert report.headline == "No gain is given: these pulls can't be compared."
    assert report.refused == ("after 3: gear `3`, before 1: `4`",)
    assert report.gains.rows == report.more.rows == report.claims.rows == ()


def test_a_session_that_was_not_read_whole_gives_no_figure(tmp_path: Path) -> None:
    report = report_of(tmp_path, PAGE.replace("humidity: 40 %", "humidity: 140 %"))
    assert "could not be read whole" in report.refused[0]


def test_single_pulls_are_told_without_interval(tmp_path: Path) -> None:
    page = "\n".join(
        line for line in IN_UNITS.split("\n") if "-2.csv" not in line and "-3.csv" not in line
    )
    report = report_of(tmp_path, page)
    row = rows_of(report.gains)["Peak torque"]
    assert (row["gain"], row["told"]) == ("+40.0 N·m", "not known")
    assert "no interval" in " ".join(report.cautions)
    assert {row["verdict"] for row in rows_of(report.claims).values()} == {"can't tell"}


def test_claims_stand_beside_what_was_measured(tmp_path: Path) -> None:
    rows = rows_of(report_of(tmp_path, PAGE).claims)
    assert rows["+10 hp power"]["verdict"] == "met"
    assert rows["+10 hp power"]["measured"].endswith(" hp")
    assert rows["+20 lbf·ft torque"]["verdict"] == "met"


def test_the_handover_sheet_has_the_gain(tmp_path: Path) -> None:
    ((label, text),) = gain_lines(Manual.read(write(tmp_path)), "fit-tf-1")
    assert label == "Measured gain"
    for said in (
        "Power +",
        "3 pulls before, 3 after",
        "SAE J1349",
        "at the wheels",
        "not on your car",
    ):
        assert said.lower() in text.lower()
    assert gain_lines(Manual.read(tmp_path), "another") == ()


def test_the_handover_sheet_does_not_sell_noise(tmp_path: Path) -> None:
    files: dict[str, str | bytes] = dict(pulls(200, 200.3, 1.0))
    ((_, text),) = gain_lines(Manual.read(write(tmp_path, files=files)), "fit-tf-1")
    assert text.startswith("No gain could be told from the spread of the pulls")
