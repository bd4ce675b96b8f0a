"""Circuits: full, closed, free of air and proved, before they are used.

That every hydraulic or air line is relieved before it is opened and looked at for leaks under
pressure afterwards is common practice (OSHA 29 CFR 1910.147(d)(5): stored energy is relieved
before service), and so is bleeding before the pedal is tried.
"""

from __future__ import annotations

import pytest

from procedures_lib.walk.way_back import back_out
from tests.walk.pages import checks, one, walked

AXLE = """
```{parts}
axle-cover: {name: Axle cover, held-by: cover-bolts}
```
```{fasteners}
cover-bolts: {name: Cover bolts, kind: bolt, tighten: 20 N·m, source: S, condition: dry}
drain-plug: {name: Drain plug, kind: plug, tighten: 30 N·m, source: S, condition: dry}
drain-washer: {name: Drain plug washer, kind: crush-washer}
```
```{fluids}
axle-oil: {name: Axle oil, kind: gear-oil, drain: [drain-plug, axle-cover]}
```
"""
OPEN = "drain axle-oil\nremove cover-bolts, axle-cover"
SHUT = "fit axle-cover\ntighten cover-bolts"


@pytest.mark.parametrize(
    ("steps", "expected"),
    [
        ((OPEN, SHUT, "fill axle-oil", "test leaks axle-oil", "test road"), []),
        ((OPEN, SHUT, "fill axle-oil", "test road", "inspect axle leaks"), []),
        ((OPEN, "fill axle-oil", SHUT, "test leaks oil"), ["filled-while-open"]),
        ((OPEN, SHUT, "test road", "fill axle-oil", "test leaks oil"), ["driven-too-early"]),
        ((OPEN, SHUT, "fill axle-oil", "test road"), ["no-leak-test"]),
        ((OPEN, SHUT, "test leaks oil"), ["left-drained"]),
        ((OPEN, SHUT, "top-up axle-oil", "test leaks oil"), ["nothing-to-undo"]),
    ],
)
def test_an_axle_is_closed_then_filled_then_driven(
    steps: tuple[str, ...], expected: list[str]
) -> None:
    assert checks(AXLE, *steps) == expected


COOLING = """
```{parts}
radiator: {name: Radiator, held-by: radiator-bolts}
```
```{connections}
top-hose: {name: Top hose, kind: hose, between: [radiator, engine], clamp: top-clamp,
  carries: coolant}
```
```{fasteners}
radiator-bolts: {name: Radiator bolts, kind: bolt, tighten: 9 N·m, source: S, condition: dry}
top-clamp: {name: Top clamp, kind: clamp, tighten: 3 N·m, source: S, condition: dry}
```
```{fluids}
coolant: {name: Coolant, kind: coolant}
```
"""
HOSE_OFF = "cool engine\ndrain coolant\nloosen top-clamp\ndisconnect top-hose"
RADIATOR = "remove radiator-bolts, radiator", "fit radiator\ntighten radiator-bolts"
HOSE_ON = "connect top-hose\ntighten top-clamp"
FILL = "fill coolant\nbleed coolant"
PROVED = "test leaks coolant"


def test_coolant_with_a_hose_off_because_its_part_is_off() -> None:
    assert checks(COOLING, HOSE_OFF, *RADIATOR, HOSE_ON, FILL, PROVED) == []
    early = HOSE_OFF, RADIATOR[0], FILL, RADIATOR[1], HOSE_ON, PROVED
    assert set(checks(COOLING, *early)) == {"filled-while-open"}


def test_a_system_is_filled_with_its_clamps_tight() -> None:
    early = HOSE_OFF, *RADIATOR, "connect top-hose", FILL, "tighten top-clamp", PROVED
    assert set(checks(COOLING, *early)) == {"filled-while-open"}


def test_the_engine_runs_when_it_is_full() -> None:
    steps = HOSE_OFF, *RADIATOR, HOSE_ON, "test engine at idle", FILL, PROVED
    assert checks(COOLING, *steps) == ["driven-too-early"]
    assert checks(COOLING, *steps[:4], FILL, "test engine at idle", PROVED) == []


BRAKE = """
```{connections}
caliper-line: {name: Caliper line, kind: line, between: [body, engine], held-by: banjo-bolt,
  carries: brake-fluid}
```
```{fasteners}
banjo-bolt: {name: Banjo bolt, kind: bolt, tighten: 30 N·m, source: S, condition: dry,
  with: banjo-washers}
banjo-washers: {name: Banjo washers, kind: crush-washer, count: 2}
```
```{fluids}
brake-fluid: {name: Brake fluid, kind: brake-fluid}
```
"""
BANJO_OFF = """
remove banjo-bolt, banjo-washers
discard banjo-washers
disconnect caliper-line
:supplies: [banjo washers]
"""
BANJO_ON = "connect caliper-line\nfit banjo-washers\ntighten banjo-bolt"
TRIED = "bleed brake-fluid\ntop-up brake-fluid", "test brakes"


def test_brakes_are_bled_with_the_sealing_washers_in() -> None:
    assert checks(BRAKE, BANJO_OFF, BANJO_ON, *TRIED) == []
    late = BANJO_OFF, "connect caliper-line", *TRIED, "fit banjo-washers\ntighten banjo-bolt"
    assert checks(BRAKE, *late) == ["filled-while-open"]
    bare = BANJO_OFF, "connect caliper-line\ntighten banjo-bolt", *TRIED
    assert checks(BRAKE, *bare) == ["stack-order"]


LINES = """
```{connections}
air-line: {name: Air line, kind: line, between: [body, engine], carries: air}
ram-hose: {name: Ram hose, kind: hose, between: [body, engine], carries: hydraulic}
oil-line: {name: Oil line, kind: line, between: [body, engine], carries: oil}
```
```{fluids}
ram-oil: {name: Ram oil, kind: hydraulic}
engine-oil: {name: Engine oil, kind: oil}
```
"""
AIR = ("relieve air-pressure", "disconnect air-line", "connect air-line", "restore air-pressure",
       "test leaks air")  # fmt: skip
RAM = ("relieve hydraulic-pressure", "disconnect ram-hose", "connect ram-hose",
       "inspect ram-oil", "restore hydraulic-pressure", "test leaks hydraulic")  # fmt: skip


@pytest.mark.parametrize("steps", [AIR, RAM])
def test_pressure_is_relieved_restored_and_proved(steps: tuple[str, ...]) -> None:
    assert checks(LINES, *steps) == []
    without = dict.fromkeys(steps)
    expected = {"relieve": "hazard-live", "connect": "left-disconnected", "test": "no-leak-test",
                "inspect": "left-drained"}  # fmt: skip
    for left_out in steps:
        check = expected.get(left_out.partition(" ")[0])
        if check:
            assert set(checks(LINES, *(each for each in without if each != left_out))) <= {
                check, "nothing-to-undo"
            }  # fmt: skip


def test_a_leak_test_without_pressure_proves_nothing() -> None:
    assert checks(LINES, *AIR[:3], AIR[4], AIR[3]) == ["no-leak-test"]
    assert checks(LINES, *AIR[:3], AIR[4], AIR[3], AIR[4]) == []


def test_an_opened_oil_line_wants_its_level_looked_at() -> None:
    assert checks(LINES, "disconnect oil-line\nconnect oil-line", "test leaks oil") == [
        "left-drained"
    ]
    assert checks(LINES, "disconnect oil-line\nconnect oil-line", "measure engine-oil",
                  "test leaks oil") == []  # fmt: skip


def test_the_way_back_proves_what_was_opened() -> None:
    moves = [str(move) for move in back_out(walked(LINES, *RAM), 2, {}).moves]
    assert moves == ["connect ram-hose", "top-up ram-oil", "restore hydraulic-pressure",
                     "test leaks hydraulic"]  # fmt: skip


PLUGGED = """
```{parts}
blank: {name: Blanking plate, closes: port, held-by: blank-bolts}
valve: {name: Valve, held-by: blank-bolts}
```
```{openings}
port: {name: Port, exposed-by: valve}
```
```{fasteners}
blank-bolts: {name: Blank bolts, kind: bolt, tighten: 9 N·m, source: S, condition: dry}
```
```{kit} k
name: Kit
fits: {vehicle: car}
contents:
  - {part: blank}
```
"""


def test_a_plug_shuts_an_opening_for_good() -> None:
    head = "\n```{procedure} work\nvehicle: car\nkit: k\nrevision: A\n```\n"
    off, on = (
        "remove blank-bolts, valve\ncover port\nreturn valve",
        "fit blank\ntighten blank-bolts",
    )
    assert checks(PLUGGED, off, "uncover port\n" + on, "inspect valve", head=head) == []
    finding = one(PLUGGED, off, on, head=head)
    assert (finding.check, finding.place.line) == ("fitted-over-cover", finding.place.line)


BOOST = """
```{connections}
boost-hose: {name: Boost hose, kind: hose, between: [engine, body], carries: charge-air}
```
"""


def test_charge_air_is_looked_for_with_its_hoses_on() -> None:
    off, on, leaks = "disconnect boost-hose", "connect boost-hose", "test leaks charge-air"
    assert checks(BOOST, off, on, leaks) == []
    assert checks(BOOST, off, leaks, on) == ["no-leak-test"]
