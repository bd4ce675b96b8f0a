"""Order of work: what is in the way, still held, still connected, or not there to be undone.

The rules are those of the page language; that work goes outside in and comes back inside out is
common practice (no source).
"""

from __future__ import annotations

import pytest

from tests.walk.pages import (
    BUMPER_OFF,
    BUMPER_ON,
    COOLER_OFF,
    COOLER_ON,
    FRONT,
    HOSE_OFF,
    HOSE_ON,
    TRAY_OFF,
    TRAY_ON,
    checks,
    found,
    one,
)

ALL_OFF = (BUMPER_OFF, HOSE_OFF, COOLER_OFF)
ALL_ON = (COOLER_ON, HOSE_ON, BUMPER_ON)


def test_everything_off_and_on_again_has_no_finding() -> None:
    assert checks(FRONT, *ALL_OFF, *ALL_ON) == []


def test_a_procedure_without_actions_has_no_finding() -> None:
    assert checks(FRONT, "inspect bumper", "clean bumper") == []


def test_a_part_behind_another() -> None:
    finding = one(FRONT, BUMPER_OFF.replace(TRAY_OFF, ""), BUMPER_ON.replace(TRAY_ON, ""))
    assert finding.check == "not-reachable"
    assert "Undertray" in finding.message
    assert "undertray" in finding.hint


def test_one_thing_in_the_way_is_found_once() -> None:
    steps = [step.replace(TRAY_OFF, "").replace(TRAY_ON, "") for step in (*ALL_OFF, *ALL_ON)]
    assert checks(FRONT, *steps) == ["not-reachable"]


def test_a_part_fitted_before_the_one_behind_it() -> None:
    assert checks(FRONT, *ALL_OFF, BUMPER_ON, COOLER_ON, HOSE_ON) == ["not-reachable"]


@pytest.mark.parametrize(
    ("left_out", "check"),
    [
        ("remove tray-screws, undertray", "not-reachable"),
        ("disconnect fog-plug", "still-connected"),
        ("loosen hot-clamp", "still-held"),
        ("disconnect hot-hose", "nothing-to-undo"),
        ("cover turbo-mouth", "uncovered-opening"),
        ("disconnect sensor-plug", "still-connected"),
        ("uncover turbo-mouth", "fitted-over-cover"),
        ("connect hot-hose", "left-disconnected"),
        ("tighten hot-clamp", "left-loose"),
        ("fit cooler", "not-reachable"),
        ("tighten cooler-bolts", "left-loose"),
        ("connect sensor-plug", "left-disconnected"),
        ("tighten bumper-bolts", "left-loose"),
        ("connect fog-plug", "left-disconnected"),
        ("fit undertray", "left-off"),
        ("tighten tray-screws", "left-loose"),
    ],
)
def test_one_action_left_out_is_one_finding(left_out: str, check: str) -> None:
    steps = [
        "\n".join(line for line in step.splitlines() if line != left_out)
        for step in (*ALL_OFF, *ALL_ON)
    ]
    assert steps != [*ALL_OFF, *ALL_ON]
    assert checks(FRONT, *steps) == [check]


def test_fasteners_left_in() -> None:
    steps = BUMPER_OFF.replace("bumper-bolts, bumper-clips", "bumper-bolts"), BUMPER_ON
    assert checks(FRONT, *steps) == ["still-held"]


def test_a_finding_names_both_places_and_what_to_do() -> None:
    finding = one(FRONT, *ALL_OFF, *(step.replace("connect fog-plug\n", "") for step in ALL_ON))
    text_at = {place.line for place in finding.related}
    assert finding.place.line not in text_at
    assert len(text_at) >= 2  # the last step, and the plug's own line
    assert finding.hint == "`connect fog-plug` before the end"


@pytest.mark.parametrize(
    "steps",
    [
        ("remove tray-screws", "remove tray-screws", "tighten tray-screws"),
        ("remove tray-screws, undertray", "remove undertray", TRAY_ON),
        ("connect fog-plug",),
        ("fit bumper",),
        ("uncover turbo-mouth",),
        ("cover turbo-mouth", "uncover turbo-mouth"),
        ("lower vehicle",),
        ("restore battery",),
        ("tighten tray-screws",),
        ("seat bumper",),
        ("discard fog-plug",),
    ],
)
def test_there_is_nothing_to_undo(steps: tuple[str, ...]) -> None:
    assert set(checks(FRONT, *steps)) == {"nothing-to-undo"}


def test_a_trial_fit_counts_as_nothing() -> None:
    trial = "fit cooler\nremove cooler"
    assert checks(FRONT, *ALL_OFF, trial, *ALL_ON) == []


def test_bolts_tight_before_the_part_is_in() -> None:
    on = "tighten cooler-bolts\nfit cooler\nconnect sensor-plug"
    finding = one(FRONT, *ALL_OFF, on, *ALL_ON[1:])
    assert finding.check == "tightened-too-early"
    assert finding.related, "the line that fits the part"


def test_a_part_with_things_on_it_takes_them_along() -> None:
    assert checks(FRONT, BUMPER_OFF, "remove tow-cover\nfit tow-cover", BUMPER_ON) == []


def test_a_thing_that_a_car_does_not_have_is_not_worked_on() -> None:
    forgotten = BUMPER_OFF, "remove tow-cover", BUMPER_ON
    assert found(FRONT, *forgotten) == [("left-off", "tow-eye=fitted")]


LIFT = """
```{parts}
module: {name: Module, held-by: module-clips}
```
```{connections}
top-plug: {name: Top plug, kind: plug, between: [module, harness]}
low-plug: {name: Low plug, kind: plug, between: [module, body], reach: lifted}
```
```{fasteners}
module-clips: {name: Module clips, kind: clip}
```
"""


def test_a_plug_that_is_reached_while_its_part_is_lifted() -> None:
    off = "disconnect top-plug\nremove module-clips\nlift module\n"
    off += "disconnect low-plug\nremove module"
    on = "position module\nconnect low-plug\nseat module\nfit module-clips\nconnect top-plug"
    assert checks(LIFT, off, on) == []
    assert checks(LIFT, off.replace("lift module\n", ""), on) == ["not-reachable"]
    assert checks(LIFT, off, "fit module, module-clips\nconnect low-plug, top-plug") == [
        "not-reachable"
    ]
    neither = off.replace("disconnect low-plug\n", ""), on.replace("connect low-plug\n", "")
    assert checks(LIFT, *neither) == ["still-connected"]


def test_a_lifted_part_keeps_its_lines() -> None:
    assert checks(LIFT, "remove module-clips\nlift module", "seat module\nfit module-clips") == []


def test_a_part_that_is_left_lifted() -> None:
    assert checks(LIFT, "remove module-clips\nlift module\nfit module-clips") == ["left-off"]
