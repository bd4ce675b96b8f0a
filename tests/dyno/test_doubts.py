"""What the report and the checks say first: faults of a session written as a page."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import pytest

from procedures_lib.findings import Level
from procedures_lib.fronts.formats.dyno_json import gain_json
from procedures_lib.fronts.tables.gain_report import GainReport, gain_report
from procedures_lib.language.entities.dyno_session import DynoSession
from procedures_lib.manual import Manual
from tests.dyno.world import (
    FIRST_PULL,
    PAGE,
    SESSION,
    csv_of,
    dyno_findings,
    measured_at,
    pulls,
    torque,
    write,
)

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from procedures_lib.findings import Finding

AIR = "air: {temperature: 25 °C, pressure: 1000 hPa, humidity: 40 %}"
TIMES = ("10:00", "10:20", "10:40", "10:10", "10:30", "10:50")


def found(
    root: Path, page: str = PAGE, files: Mapping[str, str | bytes] | None = None
) -> list[Finding]:
    return dyno_findings(write(root, page, files))


def only(root: Path, page: str = PAGE, files: Mapping[str, str | bytes] | None = None) -> Finding:
    findings = found(root, page, files)
    assert len(findings) == 1, [each.text() for each in findings]
    return findings[0]


def report_at(root: Path) -> GainReport:
    manual = Manual.read(root)
    return gain_report(manual, manual.heads(DynoSession)[0])


def after_air(air: str) -> str:
    """The page with other air for the pulls after."""
    head, tail = PAGE.split("after:\n", 1)
    return f"{head}after:\n{tail.replace(AIR, f'air: {{{air}}}')}"


def timed(page: str = PAGE, times: tuple[str, ...] = TIMES) -> str:
    """The page with the time of each pull."""
    for time in times:
        page = page.replace("csv, air:", f"csv, time: '{time}', air :", 1)
    return page.replace("air :", "air:")


def two_per_cent() -> dict[str, str]:
    """Pulls after that have 2 % more at all speeds."""
    return pulls(200.0, 204.0, 0.2)


# -- on both sides, air, humidity ----------------------------------------------------


def test_a_file_on_both_sides_gives_no_gain(tmp_path: Path) -> None:
    one = only(tmp_path, files={"after-2.csv": pulls()["before-1.csv"]})
    assert (one.check, one.level, one.place.line) == ("not-comparable", Level.ERROR, FIRST_PULL + 5)
    assert one.message == "after 2 is before 1: the same samples stand on both sides"
    assert not measured_at(tmp_path).gains


@pytest.mark.parametrize(
    ("air", "said"),
    [
        ("temperature: 25 °C, pressure: 1059 hPa, humidity: 40 %", "1059 hPa"),
        ("temperature: 9 °C, pressure: 1000 hPa, humidity: 40 %", "that of after 1 9 °C"),
    ],
)
def test_air_that_jumps(tmp_path: Path, air: str, said: str) -> None:
    findings = [f for f in found(tmp_path, after_air(air)) if f.check == "air-jumps"]
    (one,) = findings
    assert said in one.message
    headline = report_at(tmp_path).headline
    assert headline.startswith("Not to be relied on: the ")


def test_pressures_of_two_days_may_differ(tmp_path: Path) -> None:
    days = tuple(f"2026-07-2{n // 3} {time}" for n, time in enumerate(TIMES))
    page = timed(after_air("temperature: 25 °C, pressure: 1028 hPa, humidity: 40 %"), days)
    assert found(tmp_path, page) == []


def test_no_correction_in_unlike_air_gives_no_gain(tmp_path: Path) -> None:
    page = after_air("temperature: 32 °C, pressure: 930 hPa, humidity: 40 %")
    page = page.replace("SAE J1349", "none")
    messages = [f.message for f in found(tmp_path, page) if f.check == "not-comparable"]
    assert len(messages) == 1
    assert "the air alone would make \u221210." in messages[0]
    assert report_at(tmp_path).headline.startswith("No gain is given")


def test_no_correction_in_like_air_does(tmp_path: Path) -> None:
    page = after_air("temperature: 26 °C, pressure: 1001 hPa").replace("SAE J1349", "none")
    assert found(tmp_path, page) == []
    assert measured_at(tmp_path).gains


@pytest.mark.parametrize(
    ("water", "check", "said"),
    [
        ("humidity: 0.45 %", "out-of-range", "did you mean 45 %?"),
        ("humidity: 0 %", "out-of-range", "leave it out"),
        ("humidity: 40 %, dew-point: 10 °C", "wrong-shape", "keep one of"),
        ("dew-point: 28 °C", "out-of-range", "the air's own is the highest"),
        ("wet-bulb: 3 °C", "out-of-range", "look at both readings"),
        ("dew-point: 10.5 °C", "", ""),
        ("wet-bulb: 16 °C", "", ""),
    ],
)
def test_the_water_in_the_air(tmp_path: Path, water: str, check: str, said: str) -> None:
    page = PAGE.replace("humidity: 40 %", water, 1)
    findings = found(tmp_path, page)
    assert [f.check for f in findings] == ([check] if check else [])
    for each in findings:
        assert said in each.hint
        assert each.place.line == FIRST_PULL


def test_a_dew_point_is_a_humidity(tmp_path: Path) -> None:
    write(tmp_path, PAGE.replace("humidity: 40 %", "dew-point: 10.5 °C", 1))
    first, second = measured_at(tmp_path).before[:2]
    assert first.weather is not None
    assert first.weather.humidity == pytest.approx(40, abs=0.3)
    assert first.correction is not None
    assert second.correction is not None
    assert first.correction.factor == pytest.approx(second.correction.factor, abs=2e-4)


# -- in the pulls themselves ---------------------------------------------------------


def leaping(rpm: float, peak: float) -> float:
    return torque(rpm, peak) * (1.4 if rpm == 5000 else 1.0)


def test_a_row_that_leaps_is_said_first_and_left_out(tmp_path: Path) -> None:
    files = {f"after-{n}.csv": csv_of(partial(leaping, peak=240 + n / 2)) for n in (1, 2, 3)}
    one = only(tmp_path, files=files)
    assert (one.check, one.level, one.place.line) == (
        "rows-that-leap", Level.WARNING, FIRST_PULL + 4,
    )  # fmt: skip
    assert one.message.startswith("3 rows leap out of 3 of the pulls, by +40.0 % at 5000 rpm")
    report = report_at(tmp_path)
    assert report.headline.startswith("Not to be relied on: 3 rows leap out of the pulls. Power +")
    gain = report.measured.gain("torque")
    assert gain is not None
    assert gain.at_peak.estimate == pytest.approx(41, abs=0.5)
    assert "left out: the row at 5000 rpm" in " ".join(
        str(cell) for row in report.pulls.rows for cell in row.cells
    )


def test_another_unit_is_named(tmp_path: Path) -> None:
    files = {
        name: csv_of(partial(torque, peak=215 / 1.3558 + n / 2))
        for n, name in enumerate(("after-1.csv", "after-2.csv", "after-3.csv"))
    }
    one = next(f for f in found(tmp_path, files=files) if f.check == "pulls-apart")
    assert one.place.line == SESSION
    assert one.message == (
        "after, there is 0.80 times the torque of before, as if N·m and lbf·ft, or kW and hp, were"
        " mixed up"
    )


def test_one_pull_apart_is_named(tmp_path: Path) -> None:
    one = next(f for f in found(tmp_path, files={"before-2.csv": csv_of(partial(torque, peak=150))})
               if f.check == "pulls-apart")  # fmt: skip
    assert one.message.startswith("before 2 has 0.75 times the torque of its side")


def in_seconds(pull: str, rate: float) -> str:
    """A pull with a column of the time, at so many rpm a second."""
    head, *rows = pull.splitlines()
    told = [f"{(int(row.split(',')[0]) - 2000) / rate:.2f},{row}" for row in rows]
    return "\n".join([f"time [s],{head}", *told]) + "\n"


def test_another_gear_shows_in_the_time(tmp_path: Path) -> None:
    files = {n: in_seconds(p, 900 if n.startswith("after") else 500) for n, p in pulls().items()}
    one = only(tmp_path, files=files)
    assert one.check == "sweep-differs"
    assert one.message == "from 2000 to 6000 rpm after 1 took 4.4 s, before 1 8.0 s"


@pytest.mark.parametrize("rate", [500, 600])
def test_the_same_gear_with_more_torque_does_not(tmp_path: Path, rate: float) -> None:
    files = {n: in_seconds(p, rate if n.startswith("after") else 500) for n, p in pulls().items()}
    assert found(tmp_path, files=files) == []


def test_a_time_that_cant_be_read_is_passed_over(tmp_path: Path) -> None:
    files = {n: in_seconds(p, 500) for n, p in pulls().items()}
    files["after-1.csv"] = in_seconds(pulls()["after-1.csv"], 900).replace("\n0.00", "\n0:00:00")
    assert found(tmp_path, files=files) == []


# -- drift, turns ----------------------------------------------------------------------


def no_claims(page: str) -> str:
    return page.replace("claims: {power: +10 hp, torque: +20 lbf·ft}\n", "")


def test_two_per_cent_at_all_speeds_may_be_a_drift(tmp_path: Path) -> None:
    one = only(tmp_path, no_claims(PAGE), two_per_cent())
    assert one.check == "gain-like-drift"
    assert one.message.startswith("the gain is +2.0 % at all speeds alike")


def test_pulls_in_turns_tell_it_from_a_drift(tmp_path: Path) -> None:
    assert found(tmp_path, timed(no_claims(PAGE)), two_per_cent()) == []
    report = report_at(tmp_path)
    assert report.measured.gains[0].in_turns
    assert "The pulls were made in turns" in " ".join(report.cautions)
    value = gain_json(report, Manual.read(tmp_path))
    assert value["gains"][0]["drift_taken_out"] is True
    assert value["pulls"][0]["time"] == "10:00"


def test_a_drift_is_taken_out_of_the_peak(tmp_path: Path) -> None:
    minutes = {"before": (0, 20, 40), "after": (10, 30, 50)}
    files = {
        f"{side}-{n}.csv": csv_of(partial(torque, peak=peak - 0.2 * at + 0.05 * (n % 2)))
        for side, peak in (("before", 200), ("after", 230))
        for n, at in enumerate(minutes[side], start=1)
    }
    write(tmp_path, timed(PAGE.replace("SAE J1349", "none")), files)
    gain = measured_at(tmp_path).gain("torque")
    assert gain is not None
    assert gain.at_peak.estimate == pytest.approx(30, abs=0.1)
    assert gain.at_peak.half is not None
    assert gain.at_peak.half < 0.5


@pytest.mark.parametrize(
    ("old", "new", "check", "said"),
    [
        ("time: '10:20', ", "", "missing-field", "before 2 has no `time`"),
        ("'10:20'", "'2026-07-23 10:20'", "missing-field", "has no day"),
        ("'10:20'", "'25:20'", "wrong-shape", "no time of day"),
        ("'10:20'", "'2026-13-01 10:20'", "wrong-shape", "is no day"),
    ],
)
def test_times_that_cant_be(tmp_path: Path, old: str, new: str, check: str, said: str) -> None:
    one = only(tmp_path, timed().replace(old, new))
    assert one.check == check
    assert said in one.message


def test_peak_and_band_that_disagree_stand_in_the_first_line(tmp_path: Path) -> None:
    def lifted(rpm: float, peak: float) -> float:
        return torque(rpm, peak) * (1.04 + 0.14 * (rpm - 5000) / 3000)

    files = pulls(200.0, 200.0, 0.1)
    for n in (1, 2, 3):
        files[f"after-{n}.csv"] = csv_of(partial(lifted, peak=200 + 0.1 * (n - 2)))
    assert found(tmp_path, no_claims(PAGE), files) == []
    told = report_at(tmp_path).headline.replace("\u00a0", " ")
    assert told.startswith("Power +")
    assert "peak against peak; over the band, torque \u2212" in told
