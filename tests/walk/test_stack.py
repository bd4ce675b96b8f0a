"""The stack of a joint: what lies under what, and the order in which it goes on and comes off.

Washers go under what is turned, and before it (ASME PCC-1-2013, section 4 on washers; from
memory); cotter pins and safety wire go in when the torque is reached, and castle nuts are never
turned back to a slot (FAA AC 43.13-1B, chapter 7, sections 4 and 7; from memory).
"""

from __future__ import annotations

import pytest

from procedures_lib.walk.way_back import back_out
from tests.walk.pages import checks, one, walked

ARM = """
```{parts}
arm: {name: Arm, held-by: arm-bolts}
```
```{fasteners}
arm-bolts: {name: Arm bolts, kind: bolt, count: 2}
arm-washers: {name: Arm washers, kind: washer, count: 2}
arm-nuts: {name: Arm nuts, kind: nut, count: 2, with: [arm-bolts, arm-washers], tighten: 40 N·m,
  source: S, condition: dry}
```
"""
OFF = "remove arm-nuts, arm-washers, arm-bolts\nremove arm"
ON = "fit arm\nfit arm-bolts, arm-washers\ntighten arm-nuts"


def test_with_the_nut_tight_the_bolt_is_tight() -> None:
    assert checks(ARM, OFF, ON) == []


def test_in_one_breath_the_order_goes_without_saying() -> None:
    assert checks(ARM, "remove arm-bolts, arm-washers, arm-nuts, arm", ON) == []
    assert (
        checks(ARM, OFF, "fit arm\nstart arm-nuts, arm-washers, arm-bolts\ntighten arm-nuts") == []
    )


@pytest.mark.parametrize(
    ("off", "on", "expected"),
    [
        (OFF, "fit arm\nfit arm-bolts\ntighten arm-nuts\nfit arm-washers", "stack-order"),
        (
            OFF,
            "fit arm\nstart arm-nuts\nfit arm-washers, arm-bolts\ntighten arm-nuts",
            "stack-order",
        ),
        ("remove arm-washers\nremove arm-nuts, arm-bolts, arm", ON, "stack-order"),
        ("remove arm-bolts\nremove arm-nuts, arm-washers, arm", ON, "stack-order"),
        (OFF, "fit arm\nfit arm-bolts\ntighten arm-nuts", "stack-order"),
        (OFF, "fit arm\nfit arm-bolts, arm-washers\nstart arm-nuts", "left-loose"),
        (OFF, "fit arm\nfit arm-bolts, arm-washers", "left-loose"),
        (OFF, "fit arm", "left-loose"),
        ("loosen arm-nuts", "inspect arm", "left-loose"),
    ],
)
def test_one_piece_out_of_its_order_is_one_finding(off: str, on: str, expected: str) -> None:
    assert checks(ARM, off, on) == [expected]


def test_the_way_back_runs_the_stack_in_reverse() -> None:
    done = walked(ARM, OFF, ON)
    moves = [str(move) for move in back_out(done, 1, {}).moves]
    assert moves == ["fit arm", "start arm-bolts", "fit arm-washers", "tighten arm-nuts"]


CASTLE = """
```{parts}
hub: {name: Hub, held-by: hub-nut}
```
```{fasteners}
hub-nut: {name: Hub nut, kind: nut, tighten: ["90 N·m", "next slot, at most 120 N·m"], source: S,
  condition: dry}
hub-cotter: {name: Hub cotter pin, kind: cotter-pin, with: hub-nut}
```
"""
NEW = "\n:supplies: [Hub cotter pin]"


def test_a_cotter_goes_in_after_its_nut_is_tight_and_out_before() -> None:
    off = "remove hub-cotter, hub-nut, hub\ndiscard hub-cotter"
    right = "fit hub\ntighten hub-nut\nfit hub-cotter" + NEW
    assert checks(CASTLE, off, right) == []
    early = "fit hub\nstart hub-nut\nfit hub-cotter\ntighten hub-nut" + NEW
    assert checks(CASTLE, off, early) == ["stack-order"]
    half = "fit hub\ntighten hub-nut stage 1\nfit hub-cotter\ntighten hub-nut stage 2" + NEW
    assert checks(CASTLE, off, half) == ["stack-order"]
    in_ = "remove hub-nut\nremove hub-cotter, hub\ndiscard hub-cotter"
    assert checks(CASTLE, in_, right) == ["stack-order"]


@pytest.mark.parametrize(
    ("left_out", "expected"),
    [("fit hub-cotter", "left-loose"), ("tighten hub-nut", "stack-order")],
)
def test_a_hub_without_nut_or_cotter_is_not_closed(left_out: str, expected: str) -> None:
    steps = ["fit hub", "tighten hub-nut", "fit hub-cotter" + NEW]
    on = [step for step in steps if not step.startswith(left_out)]
    assert checks(CASTLE, "remove hub-cotter, hub-nut, hub\ndiscard hub-cotter", *on) == [expected]


def test_discarded_with_no_new_one_anywhere() -> None:
    off = "remove hub-cotter, hub-nut, hub\ndiscard hub-cotter"
    finding = one(CASTLE, off, "fit hub\ntighten hub-nut")
    assert (finding.check, "no new one goes in" in finding.message) == ("left-loose", True)
    again = "fit hub\ntighten hub-nut\nfit hub-cotter"
    assert checks(CASTLE, off, again) == ["nothing-to-undo"]


def test_discarded_bolts_whose_new_ones_never_go_in() -> None:
    bolts = ARM.replace("arm-bolts: {", "arm-bolts: {reuse: false, ")
    off = OFF + "\ndiscard arm-bolts\n:supplies: [Arm bolts]"
    assert checks(bolts, off, ON) == []
    assert checks(bolts, off, "fit arm\nfit arm-washers\ntighten arm-nuts") == ["stack-order"]
    assert checks(bolts, off, "fit arm") == ["left-loose"]


def test_a_newer_nut_does_without_what_it_does_not_name() -> None:
    kit = """
```{kit} k
name: Kit
fits: {vehicle: car}
contents:
  - {fastener: flange-nuts, qty: 2, replaces: arm-nuts}
```
```{fasteners}
flange-nuts: {name: Flange nuts, kind: nut, count: 2, with: arm-bolts, tighten: 40 N·m, source: S,
  condition: dry}
```
"""
    head = "\n```{procedure} work\nvehicle: car\nkit: k\nrevision: A\n```\n"
    off = OFF + "\ndiscard arm-nuts, arm-washers"
    on = "fit arm\nfit arm-bolts\ntighten flange-nuts"
    assert checks(ARM, off, on, kit=kit, head=head) == []


WIRED = """
```{parts}
cover: {name: Cover, held-by: [left-bolts, right-bolts]}
```
```{fasteners}
left-bolts: {name: Left bolts, kind: bolt, count: 2, tighten: 9 N·m, source: S, condition: dry}
right-bolts: {name: Right bolts, kind: bolt, count: 2, tighten: 9 N·m, source: S, condition: dry}
wire: {name: Lock wire, kind: lock-wire, with: [left-bolts, right-bolts]}
```
"""


def test_lock_wire_goes_through_bolts_that_are_tight() -> None:
    off = "remove wire, left-bolts, right-bolts, cover\ndiscard wire\n:supplies: [lock wire]"
    assert checks(WIRED, off, "fit cover\ntighten left-bolts, right-bolts\nfit wire") == []
    one_side = "fit cover\ntighten left-bolts\nfit wire\ntighten right-bolts"
    assert checks(WIRED, off, one_side) == ["stack-order"]
    assert checks(WIRED, "remove left-bolts\nremove wire, right-bolts, cover\ndiscard wire"
                  "\n:supplies: [lock wire]", "fit cover\ntighten left-bolts, right-bolts\nfit wire"
                  ) == ["stack-order"]  # fmt: skip


def test_a_bolt_that_is_turned_takes_its_nut_along() -> None:
    said = "tighten: 40 N·m,\n  source: S, condition: dry"
    turned = ARM.replace(f", {said}", "")
    turned = turned.replace("kind: bolt, count: 2", f"kind: bolt, count: 2, {said}")
    on = "fit arm\nstart arm-bolts\nfit arm-washers\nstart arm-nuts\ntighten arm-bolts"
    assert checks(turned, OFF, on) == []
    nut_missing = "fit arm\nstart arm-bolts\nfit arm-washers\ntighten arm-bolts"
    assert checks(turned, OFF, nut_missing) == ["stack-order"]


BENCH = """
```{parts}
pump: {name: Pump, behind: cover}
motor: {name: Motor}
cover: {name: Cover, held-by: cover-screws}
```
```{connections}
link: {name: Link hose, kind: hose, between: [pump, motor]}
```
```{fasteners}
flange-bolts: {name: Flange bolts, kind: bolt, into: {part: motor}, tighten: 9 N·m, source: S,
  condition: dry}
cover-screws: {name: Cover screws, kind: screw, tighten: 2 N·m, source: S, condition: dry}
```
"""


def test_a_joint_between_two_parts_that_are_off_is_made_on_the_bench() -> None:
    held = BENCH.replace("pump: {name: Pump,", "pump: {name: Pump, held-by: flange-bolts,")
    off = "remove cover-screws, cover\ndisconnect link\nremove flange-bolts, pump\nremove motor"
    bench = "connect link\nstart flange-bolts\ntighten flange-bolts"
    home = "fit motor, pump\nfit cover\ntighten cover-screws"
    assert checks(held, off, bench, home) == []
    half = "fit motor\nconnect link", "fit pump\ntighten flange-bolts"
    assert checks(held, off, *half, "fit cover\ntighten cover-screws") == ["not-reachable"]
