"""``procedures back-out``: the way back from a step, for the car asked about."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.world import run

DOCS = Path(__file__).resolve().parents[2] / "docs"


def back_out(*words: str) -> tuple[int, str, str]:
    result = run("back-out", *words, "--manual", str(DOCS))
    return result.exit_code, result.stdout.replace("\u00a0", " "), result.stderr


def test_the_way_back_ends_with_the_battery() -> None:
    code, out, _ = back_out("fit-tf-220", "--at", "6")
    assert code == 0
    assert out.splitlines()[-5:] == [
        "- Fit Front undertray",
        "- Tighten 9 × Undertray screws: 5 N·m (44 lbf·in)",
        "- Lower vehicle",
        "- Tighten Battery negative clamp nut: 6 N·m (53 lbf·in)",
        "- Restore battery",
    ]


def test_a_step_may_be_named_by_its_id() -> None:
    assert back_out("fit-tf-220", "--at", "bumper-off") == back_out("fit-tf-220", "--at", "10")


def test_before_the_first_step_nothing_has_to_be_done() -> None:
    _, out, _ = back_out("fit-tf-220", "--at", "0")
    assert out.splitlines()[-1] == "The car can leave as it stands."


def test_where_there_is_no_way_back_the_rest_of_the_job_is_named() -> None:
    code, out, _ = back_out("fit-tf-140", "--at", "9")
    assert code == 0
    assert "There is no way back: " in out
    assert "Do step 10: " in out


def test_the_car_is_one_that_the_kit_is_for() -> None:
    _, out, _ = back_out("fit-tf-140", "--at", "9", "--format", "json")
    assert json.loads(out)["car"]["wheels"] == "alloy"
    code, _, err = back_out("fit-tf-140", "--at", "9", "--when", "wheels=steel")
    assert code == 2
    assert "the kit is only for cars with `wheels=alloy`" in err


@pytest.mark.parametrize("step", ["31", "-1", "bumper", "1.5"])
def test_a_step_that_there_is_not(step: str) -> None:
    code, _, err = back_out("fit-tf-220", f"--at={step}")
    assert code == 2
    assert "the steps go from 1 to 30" in err


def test_json_holds_moves_and_lines() -> None:
    _, out, _ = back_out("fit-tf-220", "--at", "6", "--format", "json")
    value = json.loads(out)
    assert (value["after_step"], value["way_back"], value["steps"]) == (6, True, [])
    assert value["moves"][-1] == {"verb": "restore", "thing": "battery", "new": False}
    assert len(value["moves"]) == len(value["lines"])
