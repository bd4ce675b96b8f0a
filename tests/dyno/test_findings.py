"""What the checks find in dyno sessions and their files, and what they leave alone."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

import pytest

from procedures_lib.findings import Level, Place
from procedures_lib.fronts.tables.gain_report import gain_report
from procedures_lib.judging.checks.catalogue import CATALOGUE
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
from tests.helpers import findings_of

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from procedures_lib.findings import Finding

RUN = "results/run.md"


def found(
    root: Path, page: str = PAGE, files: Mapping[str, str | bytes] | None = None
) -> list[Finding]:
    return dyno_findings(write(root, page, files))


def only(root: Path, page: str = PAGE, files: Mapping[str, str | bytes] | None = None) -> Finding:
    findings = found(root, page, files)
    assert len(findings) == 1, [each.text() for each in findings]
    return findings[0]


def test_a_good_session_is_left_alone(tmp_path: Path) -> None:
    assert found(tmp_path) == []


def test_a_page_without_a_folder_is_asked_for_no_files() -> None:
    assert [f.check for f in findings_of(PAGE) if CATALOGUE[f.check].family == "dyno"] == []


# -- files -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "said", "hint"),
    [
        ("data/befor-1.csv", "does not exist", "did you mean `before-1.csv`?"),
        ("data", "is no file", "beside the page"),
        ("../../secret.csv", "leads out of the manual's folder", "beside the page"),
        ("/etc/hostname", "leads out of the manual's folder", "beside the page"),
        ("data\\\\before-1.csv", "is no path", "forward slashes"),
    ],
)
def test_files_that_cant_be_had(tmp_path: Path, name: str, said: str, hint: str) -> None:
    (tmp_path / "secret.csv").write_text(csv_of(torque))
    page = PAGE.replace("data/before-1.csv", f'"{name}"')
    one = only(tmp_path / "docs", page)
    assert (one.check, one.place) == ("unreadable-pull", Place(RUN, FIRST_PULL))
    assert said in one.message
    assert hint in one.hint


def test_a_link_that_leads_out_is_not_followed(tmp_path: Path) -> None:
    (tmp_path / "secret.csv").write_text(csv_of(torque))
    root = write(tmp_path / "docs")
    root.joinpath("results/data/before-1.csv").unlink()
    root.joinpath("results/data/before-1.csv").symlink_to(tmp_path / "secret.csv")
    assert ["leads out of the manual's folder" in f.message for f in dyno_findings(root)] == [
        True,  # the file
        True,  # the pull that names it
    ]


def test_a_link_to_itself_and_an_endless_name_are_refused(tmp_path: Path) -> None:
    root = write(tmp_path / "docs")
    root.joinpath("results/data/before-1.csv").unlink()
    root.joinpath("results/data/before-1.csv").symlink_to("before-1.csv")
    two = {(found.check, found.place.line) for found in dyno_findings(root)}
    assert two == {("unreadable-pull", FIRST_PULL), ("broken-link", 1)}
    long = only(tmp_path / "other", PAGE.replace("data/before-1.csv", f"data/{'a' * 300}.csv"))
    assert long.check == "unreadable-pull"


def test_another_folder_of_the_manual_may_be_named(tmp_path: Path) -> None:
    root = write(tmp_path, PAGE.replace("data/before-1.csv", "../other/a.csv"))
    (root / "other").mkdir()
    (root / "other" / "a.csv").write_text(pulls()["before-1.csv"], encoding="utf-8")
    assert dyno_findings(root) == []


@pytest.mark.parametrize(
    ("text", "line", "said"),
    [
        ("", 1, "the file is empty"),
        ("speed [rpm],torque [N·m]\n2000,150\n", 2, "at least 5 rows"),
        ("speed [rpm],torque [N·m]\n2000,150\n2050,nan\n", 3, "`nan` is no number"),
        (b"speed [rpm],torque [Nm]\n2000,150\n2050,1\xb70\n", 3, "not UTF-8"),
        ("speed [rpm],torque [N·m]\n".encode("utf-16"), 0, "UTF-16"),
        (pulls()["before-1.csv"].replace("[N·m]", ""), 1, "has no unit"),
    ],
)
def test_a_file_that_cant_be_read_is_named_with_its_line(
    tmp_path: Path, text: str | bytes, line: int, said: str
) -> None:
    one = only(tmp_path, files={"before-1.csv": text})
    assert (one.check, one.place) == ("unreadable-pull", Place(RUN, FIRST_PULL))
    assert said in one.message
    if line:
        assert one.related == (Place("results/data/before-1.csv", line),)
        assert f"results/data/before-1.csv:{line}: " in one.message


def test_one_bad_file_hides_no_other(tmp_path: Path) -> None:
    findings = found(tmp_path, files={"before-2.csv": "", "after-3.csv": "x\n"})
    assert [(f.check, f.place.line) for f in findings] == [
        ("unreadable-pull", FIRST_PULL + 1),
        ("unreadable-pull", FIRST_PULL + 6),
    ]


# -- comparing ---------------------------------------------------------------------

LAST = "  - {pull: data/after-3.csv, "


@pytest.mark.parametrize(
    ("conditions", "said"),
    [
        ("gear: 3", "after 3: gear `3`, before 1: `4`"),
        ("fuel: 91 AKI", "after 3: fuel `91 AKI`, before 1: `93 AKI`"),
        ("tyre-pressure: 260 kPa", "tyre-pressure `260 kPa`"),
        ("correction: DIN 70020", "correction `DIN 70020`, before 1: `SAE J1349`"),
        ("dyno: the other cell", "dyno `the other cell`, before 1: `chassis`"),
    ],
)
def test_pulls_that_differ_are_refused(tmp_path: Path, conditions: str, said: str) -> None:
    page = PAGE.replace(LAST, f"{LAST}conditions: {{{conditions}}}, ")
    one = only(tmp_path, page)
    assert (one.check, one.place.line, one.level) == (
        "not-comparable",
        FIRST_PULL + 6,
        Level.ERROR,
    )
    assert said in one.message
    assert one.related == (Place(RUN, FIRST_PULL),)
    assert measured_at(tmp_path).gains == ()


def test_a_side_in_another_gear_is_one_finding(tmp_path: Path) -> None:
    page = PAGE
    for n in (1, 2, 3):
        line = f"{{pull: data/after-{n}.csv, "
        page = page.replace(line, f"{line}conditions: {{gear: 3}}, ")
    one = only(tmp_path, page)
    assert (one.check, one.place.line) == ("not-comparable", FIRST_PULL + 4)
    assert one.message == "after 1, after 2, after 3: gear `3`, before 1: `4`"


def test_the_odd_one_out_is_named_even_if_it_is_the_first(tmp_path: Path) -> None:
    line = "{pull: data/before-1.csv, "
    one = only(tmp_path, PAGE.replace(line, f"{line}conditions: {{gear: 3}}, "))
    assert (one.place.line, one.message) == (FIRST_PULL, "before 1: gear `3`, before 2: `4`")


def test_pulls_of_one_side_that_differ_are_refused_too(tmp_path: Path) -> None:
    page = PAGE.replace(
        "{pull: data/before-2.csv, ", "{pull: data/before-2.csv, conditions: {gear: 3}, "
    )
    one = only(tmp_path, page)
    assert (one.check, one.place.line) == ("not-comparable", FIRST_PULL + 1)


def test_a_tyre_pressure_within_its_tolerance_and_a_fan_are_no_finding(tmp_path: Path) -> None:
    said = "conditions: {tyre-pressure: 2.45 bar, fan: half}, "
    assert found(tmp_path, PAGE.replace(LAST, LAST + said)) == []


@pytest.mark.parametrize("name", ["gear", "fuel"])
def test_a_condition_that_nobody_wrote_down(tmp_path: Path, name: str) -> None:
    given = {"gear": "gear: 4, ", "fuel": "fuel: 93 AKI, "}
    one = only(tmp_path, PAGE.replace(given[name], ""))
    assert (one.check, one.place.line) == ("not-comparable", SESSION)
    assert f"`{name}` is not written down" in one.message


def test_a_tyre_pressure_that_nobody_wrote_down_is_a_caution(tmp_path: Path) -> None:
    assert found(tmp_path, PAGE.replace(", tyre-pressure: 240 kPa", "")) == []
    report = gain_report(Manual.read(tmp_path), measured_at(tmp_path).session)
    assert "tyre pressure is not written down" in " ".join(report.cautions)


def test_a_condition_that_one_pull_alone_has(tmp_path: Path) -> None:
    page = PAGE.replace("gear: 4, ", "").replace(LAST, f"{LAST}conditions: {{gear: 4}}, ")
    one = only(tmp_path, page)
    assert "gear `4`, before 1: not given" in one.message


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (", air: {temperature: 25 °C, pressure: 1000 hPa, humidity: 40 %}", "", "needs the air"),
        (", humidity: 40 %", "", "humidity is not given"),
    ],
)
def test_air_that_is_not_known(tmp_path: Path, old: str, new: str, said: str) -> None:
    findings = found(tmp_path, PAGE.replace(old, new, 1))
    assert [(f.check, f.place.line) for f in findings] == [("not-comparable", FIRST_PULL)]
    assert said in findings[0].message
    assert found(tmp_path, PAGE.replace(old, new, 1).replace("SAE J1349", "none")) == []


@pytest.mark.parametrize(
    ("engine", "correction", "said"),
    [
        ("{ignition: diesel}", "SAE J1349", "no formula for a diesel engine"),
        ("{ignition: diesel, charging: turbo}", "ISO 1585", "needs the corrected fuel"),
        ("{ignition: diesel, charging: turbo, corrected-fuel: 50}", "ISO 1585", ""),
        ("{ignition: diesel}", "none", ""),
        ("{charging: mechanical}", "SAE J607", ""),
    ],
)
def test_engines_and_standards(tmp_path: Path, engine: str, correction: str, said: str) -> None:
    page = PAGE.replace("correction: SAE J1349", f"correction: {correction}\nengine: {engine}")
    findings = found(tmp_path, page)
    assert [f.check for f in findings] == ["not-comparable"] * bool(said)
    for each in findings:
        assert said in each.message
        assert each.message.startswith("before 1, before 2, before 3, after 1, after 2, after 3")


def test_pulls_over_different_speeds(tmp_path: Path) -> None:
    one = only(tmp_path, files={"after-1.csv": csv_of(torque, 5700, 7500)})
    assert (one.check, one.place.line) == ("not-comparable", SESSION)
    assert "all pulls together reach only 5700–6000 rpm" in one.message


def test_a_band_that_the_pulls_do_not_reach(tmp_path: Path) -> None:
    one = only(tmp_path, PAGE.replace("before:\n", "band: 3000–7000 rpm\nbefore:\n"))
    assert one.check == "not-comparable"
    assert one.hint == "write `band: 2000–6000 rpm`, or less"


@pytest.mark.parametrize(
    ("old", "new", "hint"),
    [
        ("pressure: 1000 hPa", "pressure: 29.2 hPa", "did you mean 29.2 inHg?"),
        ("humidity: 40 %", "humidity: 104 %", "between 0 and 100 %"),
        ("temperature: 25 °C", "temperature: 77 °C", "did you mean 77 °F?"),
    ],
)
def test_air_that_cant_be(tmp_path: Path, old: str, new: str, hint: str) -> None:
    one = only(tmp_path, PAGE.replace(old, new, 1))
    assert (one.check, one.place.line) == ("out-of-range", FIRST_PULL)
    assert hint in one.hint


# -- corrections, spread, claims -----------------------------------------------------


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("temperature: 25 °C", "temperature: 38 °C", "38 °C, allowed 15–35 °C"),
        ("pressure: 1000 hPa", "pressure: 850 hPa", "factor 1.2"),
    ],
)
def test_a_correction_out_of_its_range_is_a_warning(
    tmp_path: Path, old: str, new: str, said: str
) -> None:
    one = only(tmp_path, PAGE.replace(old, new))
    assert (one.check, one.level, one.place.line) == (
        "correction-out-of-range",
        Level.WARNING,
        FIRST_PULL,
    )
    assert said in one.message
    assert "before 1, before 2, before 3, after 1, after 2, after 3" in one.message
    assert measured_at(tmp_path).gains


def without(page: str, *names: str) -> str:
    lines = [line for line in page.split("\n") if not any(f"data/{n}.csv" in line for n in names)]
    return "\n".join(lines)


def test_two_pulls_are_too_few(tmp_path: Path) -> None:
    one = only(tmp_path, without(PAGE, "after-3"))
    assert (one.check, one.level, one.place.line) == ("too-few-pulls", Level.WARNING, SESSION)
    assert "3 before, 2 after" in one.message


def test_a_copy_is_no_pull(tmp_path: Path) -> None:
    one = only(tmp_path, files={"after-3.csv": pulls()["after-1.csv"]})
    assert one.check == "too-few-pulls"
    assert one.message.endswith("3 before, 2 after; after 3 is a copy of after 1")
    gain = measured_at(tmp_path).gain("power")
    assert gain is not None
    assert len(gain.after.peaks) == 2


def test_a_copy_in_other_air_is_still_a_copy(tmp_path: Path) -> None:
    page = PAGE.replace(f"{LAST}air: {{temperature: 25", f"{LAST}air: {{temperature: 24")
    one = only(tmp_path, page, {"after-3.csv": pulls()["after-1.csv"]})
    assert "after 3 is a copy of after 1" in one.message


def no_claims(page: str) -> str:
    return page.replace("claims: {power: +10 hp, torque: +20 lbf·ft}\n", "")


def test_a_gain_within_noise(tmp_path: Path) -> None:
    one = only(tmp_path, no_claims(PAGE), pulls(200.0, 200.3, 1.0))
    line = SESSION - 1  # the claims are gone
    assert (one.check, one.level, one.place.line) == ("gain-within-noise", Level.WARNING, line)
    assert one.message.startswith("the gain in peak power, +0.2 ± ")


def test_a_gain_at_the_peak_alone_is_not_called_noise(tmp_path: Path) -> None:
    def lifted(rpm: float, peak: float) -> float:
        return torque(rpm, peak) * (1.06 if rpm > 5000 else 0.99)

    files = pulls(200.0, 200.0, 0.3)
    for n in (1, 2, 3):
        files[f"after-{n}.csv"] = csv_of(partial(lifted, peak=200 + 0.3 * (n - 2)))
    assert found(tmp_path, no_claims(PAGE), files) == []


def test_single_pulls_tell_of_no_noise(tmp_path: Path) -> None:
    page = no_claims(without(PAGE, "before-2", "before-3", "after-2", "after-3"))
    assert only(tmp_path, page, pulls(200.0, 200.1)).check == "too-few-pulls"


def test_a_claim_that_is_not_met(tmp_path: Path) -> None:
    one = only(tmp_path, PAGE.replace("+10 hp, torque: +20", "+40 hp, torque: +20"))
    assert (one.check, one.level, one.place.line) == ("claim-not-met", Level.WARNING, SESSION)
    assert "claims +40\u00a0hp power; +28." in one.message
    assert one.related == (Place(RUN, 7),)


def test_a_claim_that_can_only_be_met_at_the_crank_is_left_alone(tmp_path: Path) -> None:
    page = PAGE.replace("+10 hp, torque: +20", "+31 hp, torque: +20")  # 28.6 hp at the wheels
    assert found(tmp_path, page) == []
    assert only(tmp_path, page.replace("kind: chassis", "kind: engine")).check == "claim-not-met"


@pytest.mark.parametrize(("unit", "meant"), [("hp", "as if kW and hp"), ("PS", "as if kW and PS")])
def test_power_that_is_not_torque_times_speed(tmp_path: Path, unit: str, meant: str) -> None:
    rows = [(rpm, torque(rpm)) for rpm in range(2000, 6001, 50)]
    text = f"speed [rpm],torque [N·m],power [{unit}]\n" + "".join(
        f"{rpm},{n_m:.1f},{n_m * rpm / 9549.2966:.1f}\n" for rpm, n_m in rows
    )
    one = only(tmp_path, files={"before-1.csv": text})
    assert (one.check, one.place.line) == ("power-torque-disagree", FIRST_PULL)
    assert meant in one.message
    assert one.related[0].page == "results/data/before-1.csv"
    assert found(tmp_path, files={"before-1.csv": text.replace(f"[{unit}]", "[kW]")}) == []


def test_coarse_numbers_do_agree(tmp_path: Path) -> None:
    rows = [(rpm, torque(rpm)) for rpm in range(2000, 6001, 50)]
    text = "speed [rpm],torque [lbf·ft],power [hp]\n" + "".join(
        f"{rpm},{n_m / 1.35582:.0f},{n_m / 1.35582 * rpm / 5252:.0f}\n" for rpm, n_m in rows
    )
    assert found(tmp_path, files={"before-1.csv": text}) == []


def test_a_session_with_a_slip_is_not_judged_further(tmp_path: Path) -> None:
    page = PAGE.replace("gear: 4, ", "").replace("correction: SAE J1349", "correction: SAE J1394")
    assert only(tmp_path, page).check == "unknown-word"


@pytest.mark.parametrize(
    ("old", "new", "check", "hint"),
    [
        ("kind: chassis}", "kind: chassis}\nunits: [hp, kW]", "wrong-dimension", "[kW, N·m]"),
        ("kind: chassis}", "kind: chassis}\nunits: [bhp]", "no-unit", ""),
        ("kind: chassis}", "kind: chassis}\nengine: {ignition: steam}", "unknown-word", "spark"),
        ("kind: chassis}", "kind: chassis}\nengine: {corrected-fuel: x}", "out-of-range", "50"),
        ("kind: chassis}", "kind: chassis}\nsmoothing: 5000 rpm", "out-of-range", "1000 rpm"),
    ],
)
def test_bad_fields(tmp_path: Path, old: str, new: str, check: str, hint: str) -> None:
    one = only(tmp_path, PAGE.replace(old, new))
    assert one.check == check
    assert hint in one.hint
