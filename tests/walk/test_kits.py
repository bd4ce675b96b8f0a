"""Kits: what replaces what, what has to be used, returned, transferred, and what fits what."""

from __future__ import annotations

import pytest

from tests.walk.pages import (
    BUMPER_OFF,
    BUMPER_ON,
    COOLER_OFF,
    FRONT,
    HOSE_OFF,
    HOSE_ON,
    checks,
    found,
    one,
    walked,
)

HEAD = """
```{procedure} work
vehicle: car
kit: kit
revision: A
```
"""
KIT = """
```{kit} kit
name: Kit
fits: {vehicle: car}
contents:
  - {part: new-cooler, replaces: cooler}
  - {connection: new-hose, replaces: hot-hose}
  - {fastener: new-clamp, qty: 2, spare: 1, replaces: hot-clamp}
  - {fastener: new-bolts, qty: 4, replaces: cooler-bolts, note: it has four ears}
  - {supply: Cable tie}
  - {paper: Card}
returns: [cooler]
```
```{parts}
new-cooler: {name: New cooler, held-by: new-bolts, behind: bumper}
```
```{connections}
new-hose: {name: New hose, kind: hose, between: [new-cooler, engine], clamp: new-clamp}
```
```{fasteners}
new-bolts: {name: New bolts, kind: bolt, count: 4, tighten: 20 N·m, condition: dry, source: S}
new-clamp: {name: New clamp, kind: clamp, tighten: 5 N·m, condition: dry, source: S}
```
"""
OFF = (
    BUMPER_OFF,
    f"{HOSE_OFF}\nremove hot-clamp\ndiscard hot-hose, hot-clamp",
    f"{COOLER_OFF}\nremove sensor-screw, sensor\nfit sensor on new-cooler\ntighten sensor-screw\n"
    "return cooler\ndiscard cooler-bolts",
)
ON = (
    "fit new-cooler\ntighten new-bolts\n:supplies: [Cable tie]",
    "uncover turbo-mouth\nconnect new-hose\ntighten new-clamp\nconnect sensor-plug",
    BUMPER_ON,
)


def with_kit(*steps: str, kit: str = KIT) -> list[str]:
    return checks(FRONT, *steps, kit=kit, head=HEAD)


def changed(old: str, new: str = "") -> list[str]:
    steps = [step.replace(old, new) for step in (*OFF, *ON)]
    assert steps != [*OFF, *ON]
    return with_kit(*steps)


def test_the_new_cooler_takes_the_place_of_the_old_one() -> None:
    assert with_kit(*OFF, *ON) == []


@pytest.mark.parametrize(
    ("left_out", "check"),
    [
        ("fit new-cooler\n", "not-reachable"),
        ("tighten new-bolts\n", "left-loose"),
        ("connect new-hose\n", "left-disconnected"),
        ("\ntighten new-clamp", "left-loose"),
        ("\nfit sensor on new-cooler", "not-reachable"),
        ("\nconnect sensor-plug", "left-disconnected"),
        ("return cooler\n", "not-returned"),
        ("\n:supplies: [Cable tie]", "not-used"),
        ("uncover turbo-mouth\n", "fitted-over-cover"),
    ],
)
def test_one_thing_left_out(left_out: str, check: str) -> None:
    assert changed(left_out) == [check]


def test_the_sensor_left_on_the_old_cooler() -> None:
    late = "\nremove sensor-screw, sensor\nfit sensor on new-cooler\ntighten sensor-screw"
    assert changed(late) == ["left-on-discarded"]


def test_the_sensor_moved_after_the_old_cooler_has_gone() -> None:
    steps = [step.replace("return cooler\n", "") for step in OFF]
    steps[2] = steps[2].replace("\nremove sensor-screw", "\nreturn cooler\nremove sensor-screw")
    assert with_kit(*steps, *ON) == ["left-on-discarded"]


def test_the_sensor_fitted_back_on_the_old_cooler() -> None:
    steps = changed("fit sensor on new-cooler", "fit sensor on cooler")
    assert steps == ["left-on-discarded"]


def test_the_old_cooler_goes_back_instead_of_the_new_one() -> None:
    back = "disconnect sensor-plug\nremove cooler-bolts, cooler", "fit cooler\ntighten cooler-bolts"
    steps = [BUMPER_OFF, HOSE_OFF, *back, "connect sensor-plug", HOSE_ON, BUMPER_ON]
    assert with_kit(*steps, ":supplies: [Cable tie]") == ["not-used"] * 4


def test_the_new_part_while_the_old_one_is_there() -> None:
    steps = [BUMPER_OFF, OFF[1], ON[0], ON[1].replace("\nconnect sensor-plug", ""), ON[2]]
    assert "not-reachable" in with_kit(*steps)


def test_a_new_hose_where_the_old_one_is_still_on() -> None:
    finding = one(
        "```{connections}\nold: {name: Old, kind: hose, between: [body, engine]}\n```\n",
        "connect new",
        kit=(
            "```{kit} kit\nname: Kit\nfits: {vehicle: car}\ncontents:\n"
            "  - {connection: new, replaces: old}\n```\n"
            "```{connections}\nnew: {name: New, kind: hose, between: [body, engine]}\n```\n"
        ),
        head=HEAD,
    )
    assert finding.check == "still-connected"
    assert "Old" in finding.message


@pytest.mark.parametrize(
    ("old", "new", "check"),
    [
        ("qty: 4,", "qty: 3,", "quantity-short"),
        ("qty: 4,", "qty: 5,", "count-mismatch"),
        ("qty: 2, spare: 1,", "qty: 2,", "count-mismatch"),
        ("count: 4", "count: 6", "quantity-short"),
    ],
)
def test_what_the_box_holds_is_what_is_fitted(old: str, new: str, check: str) -> None:
    assert with_kit(*OFF, *ON, kit=KIT.replace(old, new)) == [check]


def test_a_part_of_the_kit_that_no_step_fits() -> None:
    kit = KIT.replace("contents:\n", "contents:\n  - {part: label, name: Label}\n")
    assert with_kit(*OFF, *ON, kit=kit) == ["not-used"]
    spare = kit.replace("name: Label", "name: Label, spare: 1")
    assert with_kit(*OFF, *ON, kit=spare) == []


STUDS = """
```{parts}
header: {name: Header, held-by: studs}
```
```{fasteners}
studs: {name: Studs, kind: stud, tighten: 8 N·m, condition: dry, source: S}
```
"""
NEW_STUDS = """
```{kit} kit
name: Kit
fits: {vehicle: car}
contents:
  - {fastener: new-studs, replaces: studs}
```
```{fasteners}
new-studs: {name: New studs, kind: stud, tighten: 8 N·m, condition: dry, source: S}
```
"""


def test_new_studs_do_not_go_in_beside_the_old_ones() -> None:
    out, in_ = "remove studs", "tighten new-studs"
    # Without the header off: the studs are held to be what holds it, and go one by one.
    assert checks(STUDS, out, in_, kit=NEW_STUDS, head=HEAD) == []
    assert checks(STUDS, in_, kit=NEW_STUDS, head=HEAD) == ["not-reachable"]


def test_a_spare_for_one_use_that_a_step_fits_after_all() -> None:
    pins = KIT.replace("  - {supply: Cable tie}", "  - {fastener: pin, qty: 2, spare: 1}\n"
                       "  - {supply: Cable tie}") + (
        "```{fasteners}\npin: {name: Pin, kind: cotter-pin}\n```\n"
    )  # fmt: skip
    fitted = ON[0].replace("tighten new-bolts", "tighten new-bolts\nfit pin")
    assert with_kit(*OFF, fitted, *ON[1:], kit=pins) == []
    short = pins.replace("qty: 2, spare: 1}\n  - {supply", "qty: 1, spare: 1}\n  - {supply")
    assert with_kit(*OFF, fitted, *ON[1:], kit=short) == ["quantity-short"]
    assert with_kit(*OFF, *ON, kit=short) == []


def test_a_new_thing_that_is_not_in_the_box() -> None:
    line = "  - {fastener: new-bolts, qty: 4, replaces: cooler-bolts, note: it has four ears}\n"
    said = "new-bolts: {name: New bolts, replaces: cooler-bolts, note: it has four ears,"
    kit = KIT.replace(line, "").replace("new-bolts: {name: New bolts,", said)
    assert kit.count("cooler-bolts") == 1
    assert with_kit(*OFF, *ON, kit=kit) == ["not-in-kit"]


THREAD = """
```{parts}
bracket: {name: Bracket, thread: M8x1.25, held-by: bolts}
```
```{fasteners}
bolts: {name: Bolts, kind: bolt, thread: %s, into: {part: bracket}}
```
"""


@pytest.mark.parametrize(
    ("thread", "expected"),
    [("M8x1.25", []), ("M8", []), ("M8x1.0", ["thread-mismatch"]), ("M6x1.0", ["thread-mismatch"])],
)
def test_a_fastener_goes_into_its_own_thread(thread: str, expected: list[str]) -> None:
    # M8 without a pitch is the coarse one, 1.25 mm: ISO 261.
    assert checks(THREAD % thread, "inspect bracket") == expected


def test_an_old_bolt_in_a_new_part_of_another_thread() -> None:
    kit = """
```{kit} kit
name: Kit
fits: {vehicle: car}
contents:
  - {part: new-bracket, replaces: bracket}
```
```{parts}
new-bracket: {name: New bracket, thread: 1/4-20 UNC, held-by: bolts}
```
"""
    steps = "remove bolts, bracket", "fit new-bracket\nstart bolts\ntighten bolts"
    blocks = (THREAD % "M8").replace("into:", "tighten: 20 N·m, condition: dry, source: S, into:")
    assert checks(blocks, *steps, kit=kit, head=HEAD) == ["thread-mismatch"]


def test_only_on_some_cars() -> None:
    kit = KIT.replace("needs", "").replace(
        "fastener: new-clamp, qty: 2,", "fastener: new-clamp, when: gearbox=automatic, qty: 2,"
    )
    steps = [step.replace("hot-hose, hot-clamp", "hot-hose") for step in (*OFF, *ON)]
    # On the manual the old clamp has to come back.
    assert found(FRONT, *steps, kit=kit, head=HEAD) == [("left-loose", "gearbox=manual")]


CALIBRATED = """
```{kit} kit
name: Kit
fits: {vehicle: car}
contents:
  - {paper: Card}
needs: {calibration: %s}
```
"""
PROGRAM = "program calibration\n:tools: [battery charger]"


@pytest.mark.parametrize(
    ("needs", "steps", "expected"),
    [
        ("C-1", (PROGRAM,), []),
        ("{manual: C-1, automatic: C-2}", (PROGRAM,), []),
        ("{manual: C-1}", (PROGRAM,), [("no-calibration-for", "gearbox=automatic")]),
        ("C-1", ("inspect body",), [("left-uncalibrated", "")]),
        ("{manuel: C-1}", (PROGRAM,), [("unknown-option", "")]),
        (
            "C-1",
            (f"{PROGRAM}\n:when: gearbox=manual",),
            [("left-uncalibrated", "gearbox=automatic")],
        ),
    ],
)
def test_calibrations(needs: str, steps: tuple[str, ...], expected: list[tuple[str, str]]) -> None:
    assert found("", *steps, kit=CALIBRATED % needs, head=HEAD) == expected


A_PIPE = """
```{kit} kit
name: Kit
fits: {vehicle: car}
contents:
  - {part: new-pipe, replaces: hot-hose}
returns: [hot-hose, hot-clamp]
```
```{parts}
new-pipe: {name: New pipe}
```
"""
"""A part in the place of a connection."""

FOR_A_PIPE = (
    BUMPER_OFF,
    f"{HOSE_OFF}\nremove hot-clamp\nreturn hot-hose, hot-clamp",
    "uncover turbo-mouth\nfit new-pipe",
    "inspect new-pipe",
    "measure new-pipe",
    BUMPER_ON,
)


def test_a_part_closes_what_the_hose_in_its_place_closed() -> None:
    assert with_kit(*FOR_A_PIPE, kit=A_PIPE) == []
    done = walked(FRONT, *FOR_A_PIPE, kit=A_PIPE, head=HEAD)
    assert "turbo-mouth" in {item.thing for item in done.open_items(2)}
    assert "turbo-mouth" not in {item.thing for item in done.open_items(3)}


def test_a_part_while_the_hose_in_its_place_is_connected() -> None:
    finding = one(FRONT, "fit new-pipe\nreturn hot-hose\nremove hot-clamp\nreturn hot-clamp",
                  kit=A_PIPE, head=HEAD)  # fmt: skip
    assert (finding.check, finding.hint) == ("not-reachable", "disconnect `hot-hose` first")
