"""``procedures joint``: figures as bounds, a verdict, and what it refuses."""

from __future__ import annotations

import json

import pytest

from tests.cli.world import run


def test_the_figures_and_a_verdict() -> None:
    result = run("joint", "M8x1.25", "8.8", "25", "N·m", "--condition", "oiled")
    assert result.exit_code == 0
    lines = dict(line.split("  ", 1) for line in result.stdout.splitlines() if "  " in line)
    assert lines["Thread"].strip() == "M8x1.25, stress area 36.6 mm²"
    assert lines["Proof stress"].strip() == "580 MPa (8.8), proof load 21.2 kN"
    assert lines["Friction"].strip() == "0.08 to 0.2 (oiled)"
    assert set(lines) >= {"Clamp load", "Share of proof load", "K in T = K d F", "Combined stress"}
    assert result.stdout.rstrip().endswith("Nothing here is implausible.")


def test_an_implausible_torque_is_a_finding() -> None:
    result = run("joint", "M6", "8.8", "89 lbf·ft", "--condition", "dry", "--head", "hex 10 mm")
    assert result.exit_code == 1
    assert "error: torque-implausible: 89\N{NO-BREAK SPACE}lbf·ft on M6x1 8.8" in result.stdout
    assert "89 lbf·in would be usual" in result.stdout


def test_a_warning_is_no_failure() -> None:
    result = run("joint", "M12", "8.8", "65 lbf·in", "--condition", "dry")
    assert result.exit_code == 0
    assert "warning: torque-implausible" in result.stdout


@pytest.mark.parametrize(
    "words",
    [("20", "N·m,", "+90°"), ("20 N·m, +90°",), ("20 N·m", "+90°"), ("20 N·m,", "+1/4 turn")],
)
def test_stages_with_commas_or_in_quotes(words: tuple[str, ...]) -> None:
    result = run("joint", "M10", "10.9", *words, "--grip", "80 mm", "--json")
    value = json.loads(result.stdout)
    alone = json.loads(run("joint", "M10", "10.9", "20 N·m", "--json").stdout)
    assert value["clamp_load_N"][0] > alone["clamp_load_N"][0]


def test_json_has_the_figures_as_pairs() -> None:
    words = ("1/2-13 UNC", "grade 5", "55 lbf·ft", "--condition", "dry")
    depth = ("--into", "steel", "--engagement", "13 mm")
    value = json.loads(run("joint", *words, *depth, "--json").stdout)
    assert value["format"] == 1
    assert value["class"] == "grade 5"
    assert value["stress_area_mm2"] == pytest.approx(0.1419 * 25.4**2, rel=1e-3)  # ASME B1.1
    assert value["proof_load_N"] == pytest.approx(12_060 * 4.448222, rel=1e-3)  # SAE J429 × area
    low, high = value["share_of_proof_load"]
    assert 0.1 < low < high < 1
    assert value["strip_load_N"][0] > value["clamp_load_N"][1]
    assert value["findings"] == []


def test_stages_that_fall_are_found() -> None:
    result = run("joint", "M8", "8.8", "25 N·m, 10 N·m", "--json")
    assert result.exit_code == 1
    assert [one["check"] for one in json.loads(result.stdout)["findings"]] == ["stage-falls"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("M8x", "8.8", "25 N·m"), "no thread designation"),
        (("M8", "9.7", "25 N·m"), "look at the mark on the head: `9.8`, "),
        (("M8", "grade 5", "25 N·m"), "inch threads"),
        (("M8", "unknown", "25 N·m"), "Nothing is known of the strength of `unknown`"),
        (("M8", "8.8", "25"), "has no unit"),
        (("M8", "8.8", "25 N·m", "--grip", "40"), "has no unit"),
        (("M8", "8.8", "25 N·m", "--condition", "wet"), "'dry'"),
        (("M8", "8.8", ","), "no stage"),
    ],
)
def test_what_is_refused_says_why(words: tuple[str, ...], said: str) -> None:
    result = run("joint", *words)
    assert result.exit_code == 2
    assert said in result.stderr


def test_a_share_and_a_stretch() -> None:
    # 0.14 mm over 44 mm of grip is a strain of 0.32 %, of the 0.47 % at the 970 MPa of 12.9
    result = run("joint", "M9x1.0", "12.9", "50 %, 30 N·m, stretch 0.14 mm", "--grip", "44 mm")
    assert result.exit_code == 0
    assert "Nothing here is implausible." in result.stdout
    wrong = run("joint", "M9x1.0", "12.9", "30 N·m, stretch 6 mm", "--grip", "44 mm")
    assert wrong.exit_code == 1
    assert "error: stretch-implausible: stretch 6" in wrong.stdout
    alone = run("joint", "M8x1.25", "8.8", "50 %")
    assert alone.exit_code == 2
    assert "share of the joint's last torque" in alone.stderr
