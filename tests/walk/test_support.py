"""Heavy parts, what is reached from below or hidden, and settings."""

from __future__ import annotations

import pytest

from procedures_lib.language.entities.car import LIFTED_ALONE
from procedures_lib.walk.way_back import back_out
from tests.walk.pages import checks, walked

BOX = """
```{parts}
gearbox: {name: Gearbox, held-by: box-bolts, needs-support: true, mass: 48 kg}
```
```{fasteners}
box-bolts: {name: Gearbox bolts, kind: bolt, tighten: 45 N·m, source: S, condition: dry}
```
"""
OUT = "support gearbox\nremove box-bolts, gearbox"
IN = "support gearbox\nfit gearbox\ntighten box-bolts\nrelease gearbox"


def test_on_the_jack_all_the_way() -> None:
    assert checks(BOX, OUT, IN) == []


@pytest.mark.parametrize(
    ("out", "in_", "expected"),
    [
        ("remove box-bolts, gearbox", IN, "unsupported-part"),
        (OUT + "\nrelease gearbox", "fit gearbox\ntighten box-bolts", "unsupported-part"),
        (OUT, "fit gearbox\ntighten box-bolts", "left-supported"),
        (OUT, IN.removesuffix("\nrelease gearbox"), "left-supported"),
        (
            OUT,
            "support gearbox\nfit gearbox\nrelease gearbox\ntighten box-bolts",
            "unsupported-part",
        ),
        ("support gearbox\nsupport gearbox\nremove box-bolts, gearbox", IN, "nothing-to-undo"),
        (OUT, IN + "\nrelease gearbox", "nothing-to-undo"),
    ],
)
def test_one_slip_with_a_heavy_part_is_one_finding(out: str, in_: str, expected: str) -> None:
    assert checks(BOX, out, in_) == [expected]


def test_the_way_back_has_it_on_the_jack() -> None:
    out = OUT + "\nrelease gearbox"
    moves = [str(move) for move in back_out(walked(BOX, out, IN), 1, {}).moves]
    assert moves == ["support gearbox", "fit gearbox", "tighten box-bolts", "release gearbox"]


@pytest.mark.parametrize(
    ("mass", "people", "expected"),
    [
        ("22 kg", 1, []),
        ("51 lb", 1, ["unsupported-part"]),
        ("40 kg", 2, []),
        ("40 kg", 1, ["unsupported-part"]),
        ("48 kg", 2, ["unsupported-part"]),
        ("48 kg", 3, []),
    ],
)
def test_what_one_lifts_alone_and_two_together(mass: str, people: int, expected: list[str]) -> None:
    seat = BOX.replace("needs-support: true, mass: 48 kg", f"mass: {mass}")
    step = f"remove box-bolts, gearbox\nfit gearbox\ntighten box-bolts\n:people: {people}"
    assert checks(seat, step) == expected


def test_one_lifts_no_more_than_the_load_constant() -> None:
    # DHHS (NIOSH) publication 94-110, table 1: load constant 23 kg, printed as 51 lb too.
    assert LIFTED_ALONE == 23
    assert round(LIFTED_ALONE / 0.45359237) == 51


BELOW = """
```{parts}
tray: {name: Tray, held-by: tray-screws, reached-from: below}
wheel: {name: Wheel, held-by: wheel-nuts}
```
```{connections}
return-hose: {name: Return hose, kind: hose, between: [body, engine], reached-from: below}
speed-plug: {name: Speed plug, kind: plug, between: [body, engine], hidden-by: wheel}
```
```{openings}
vent: {name: Vent, exposed-by: return-hose, hidden-by: wheel}
```
```{fasteners}
tray-screws: {name: Tray screws, kind: screw, tighten: 2 N·m, source: S, condition: dry}
wheel-nuts: {name: Wheel nuts, kind: nut, tighten: 100 N·m, source: S, condition: dry}
drain-plug: {name: Drain plug, kind: plug, tighten: 30 N·m, source: S, condition: dry,
  hidden-by: tray, reached-from: below}
```
```{fluids}
oil: {name: Oil, kind: gear-oil, drain: drain-plug}
```
"""
UP, DOWN = "raise vehicle\n:tools: [two-post lift]", "lower vehicle"
TRAY_OFF, TRAY_ON = "remove tray-screws, tray", "fit tray\ntighten tray-screws"
CHANGE = "drain oil\nremove drain-plug\ntighten drain-plug\nfill oil\ntest leaks oil"


def test_what_is_reached_from_below_wants_the_car_up() -> None:
    assert checks(BELOW, UP, TRAY_OFF, CHANGE, TRAY_ON, DOWN) == []
    assert checks(BELOW, TRAY_OFF, UP, CHANGE, TRAY_ON, DOWN) == ["not-reachable"]
    assert checks(BELOW, UP, TRAY_OFF, CHANGE, DOWN, TRAY_ON) == ["not-reachable"]
    assert checks(BELOW, "disconnect return-hose\nconnect return-hose") == ["not-reachable"]


def test_a_drain_plug_that_a_tray_hides() -> None:
    assert checks(BELOW, UP, CHANGE, DOWN) == ["not-reachable"]
    half = "drain oil\nremove drain-plug", TRAY_ON, "tighten drain-plug\nfill oil\ntest leaks oil"
    assert checks(BELOW, UP, TRAY_OFF, *half, DOWN) == ["not-reachable"]


def test_what_hides_a_thing_does_not_keep_it_from_coming_off() -> None:
    off, on = "remove wheel-nuts, wheel", "fit wheel\nstart wheel-nuts"
    plug = "disconnect speed-plug\nconnect speed-plug"
    assert checks(BELOW, UP, off, plug, on, DOWN, "tighten wheel-nuts") == []
    assert checks(BELOW, plug) == ["not-reachable"]
    hose = "disconnect return-hose\ncover vent\nuncover vent\nconnect return-hose"
    assert checks(BELOW, UP, hose, DOWN) == ["not-reachable"]
    assert checks(BELOW, UP, off, hose, on, DOWN, "tighten wheel-nuts") == []


BELT = """
```{parts}
belt: {name: Belt, setting: 10–12 mm, held-by: slider}
```
```{connections}
cable: {name: Clutch cable, kind: cable, between: [body, engine], setting: 3 clicks}
```
```{fasteners}
slider: {name: Slider bolt, kind: bolt, tighten: 20 N·m, source: S, condition: dry}
```
"""


@pytest.mark.parametrize(
    ("steps", "expected"),
    [
        (["loosen slider", "adjust belt\ntighten slider"], []),
        (["loosen slider", "tighten slider"], ["not-adjusted"]),
        (["adjust belt\nloosen slider", "tighten slider"], ["not-adjusted"]),
        (["remove slider, belt", "fit belt\ntighten slider\nadjust belt to 11 mm"], []),
        (["disconnect cable", "connect cable\nadjust cable to 3 clicks"], []),
        (["disconnect cable", "connect cable"], ["not-adjusted"]),
        (["disconnect cable", "adjust cable\nconnect cable"], ["nothing-to-undo"]),
        (["adjust slider"], ["missing-field"]),
        (["adjust belt to 14 mm"], ["expect-disagrees"]),
        (["adjust belt to 0.4–0.45 in"], []),
        (["adjust cable to 5 clicks"], ["expect-disagrees"]),
    ],
)
def test_what_has_a_setting_is_adjusted_again(steps: list[str], expected: list[str]) -> None:
    assert checks(BELT, *steps) == expected


def test_what_is_held_and_is_said_to_need_none() -> None:
    light = BOX.replace("needs-support: true, mass: 48 kg", "needs-support: false")
    assert checks(light, OUT, IN) == ["unsupported-part"]
    assert checks(light.replace("needs-support: false", "mass: 48 kg"), OUT, IN) == []
