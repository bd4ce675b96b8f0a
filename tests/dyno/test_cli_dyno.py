"""``procedures dyno``: text, CSV, JSON, and what it refuses."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest

from tests.cli.world import CONF, run
from tests.dyno.world import PAGE, write

RUN = "docs/results/run.md"
WRONG = "{pull: data/after-3.csv, conditions: {gear: 3},"


@pytest.fixture
def manual(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    write(tmp_path / "docs")
    (tmp_path / "conf").mkdir()
    (tmp_path / "conf" / "conf.py").write_text(CONF, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.mark.parametrize("named", ["run", RUN])
def test_text(manual: Path, named: str) -> None:
    result = run("dyno", named)
    assert (result.exit_code, result.stderr) == (0, "")
    lines = result.stdout.splitlines()
    assert lines[0].startswith("run: Power +28.")
    assert any(line.startswith("Peak torque") for line in lines)
    assert any(line.startswith("before 1  data/before-1.csv") for line in lines)
    assert "- This car, on this day" in result.stdout
    assert "\u00a0" not in result.stdout


def test_csv_has_the_figures(manual: Path) -> None:
    rows = list(csv.DictReader(io.StringIO(run("dyno", "run", "--format", "csv").stdout)))
    assert rows[0]["what"] == "Peak power"
    assert rows[0]["gain"].startswith("'+28.")  # guarded, as in all tables
    assert len(rows) == 14


def test_csv_has_the_curves(manual: Path) -> None:
    text = run("dyno", "run", "--format", "csv", "--curves").stdout
    rows = list(csv.DictReader(io.StringIO(text)))
    assert (rows[0]["speed [rpm]"], rows[-1]["speed [rpm]"]) == ("2000", "6000")
    at_peak = next(row for row in rows if row["speed [rpm]"] == "4000")
    gain = float(at_peak["torque after [lbf·ft]"]) - float(at_peak["torque before [lbf·ft]"])
    assert gain == pytest.approx(float(at_peak["torque gain [lbf·ft]"]), abs=2e-3)
    assert float(at_peak["torque gain low [lbf·ft]"]) < gain


def test_json(manual: Path) -> None:
    value = json.loads(run("dyno", "run", "--format", "json").stdout)
    assert (value["format"], value["session"], value["refused"]) == (1, "run", [])
    power, torque = value["gains"]
    assert (power["unit"], torque["unit"]) == ("kW", "N·m")
    # The factor of SAE J1349 at 25 °C, 1000 hPa, 40 % is 1.18 · 990/987.326 - 0.18 = 1.00320.
    assert torque["at_peak"]["estimate"] == pytest.approx(40 * 1.0032, rel=1e-4)
    assert torque["peak_before"]["rpm"] == pytest.approx(4000, abs=1)
    assert [pull["pull"] for pull in value["pulls"]][-1] == "after 3"
    assert {claim["verdict"] for claim in value["claims"]} == {"met"}
    assert len(torque["curve"]["rpm"]) == len(torque["curve"]["gain"]) == 81


def test_json_of_single_pulls_has_no_infinity(manual: Path) -> None:
    text = "\n".join(x for x in PAGE.split("\n") if "-2.csv" not in x and "-3.csv" not in x)
    write(manual / "docs", text)
    value = json.loads(run("dyno", "run", "--format", "json").stdout)
    assert value["gains"][0]["at_peak"]["low"] is None


def test_a_refused_session_exits_with_1(manual: Path) -> None:
    write(manual / "docs", PAGE.replace("{pull: data/after-3.csv,", WRONG))
    result = run("dyno", "run")
    assert result.exit_code == 1
    assert "run: No gain is given" in result.stdout
    assert "- after 3: gear `3`, before 1: `4`" in result.stdout
    assert f"See `procedures check {RUN}`." in result.stderr


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("runn",), "no page or dyno session `runn`: did you mean `run`?"),
        (("docs/results/other.md",), "no page or dyno session"),
        (("docs/index.md",), "holds no `{dyno-session}`"),
        (("run", "--curves"), "--curves goes with `--format csv`"),
    ],
)
def test_what_is_refused(manual: Path, words: tuple[str, ...], said: str) -> None:
    (manual / "docs" / "index.md").write_text("# Index\n", encoding="utf-8")
    result = run("dyno", *words)
    assert result.exit_code == 2
    assert said in result.stderr
    assert result.stdout == ""


def test_csv_holds_one_session(manual: Path) -> None:
    _, session = PAGE.split("```{dyno-session}")
    second = "\n```{dyno-session}" + session.replace(" run", " run-2", 1).split("```{gain")[0]
    write(manual / "docs", PAGE + second)
    assert len(json.loads(run("dyno", RUN, "--format", "json").stdout)) == 2
    assert run("dyno", RUN).stdout.count("\nPeak power") == 2
    refused = run("dyno", RUN, "--format", "csv")
    assert (refused.exit_code, refused.stdout) == (2, "")
    assert "name one of run, run-2" in refused.stderr
