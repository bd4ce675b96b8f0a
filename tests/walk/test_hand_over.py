"""What a procedure begins with open ends closed, or is handed on: begins-with and ends-with."""

from __future__ import annotations

import pytest

from procedures_lib.language.entities.work import Job
from procedures_lib.walk.visit import combine
from tests.helpers import findings_of, manual_from
from tests.walk.pages import CAR, HEAD, checks

BEGINS = HEAD.replace("revision", "begins-with: %s\nrevision")
BOTH = HEAD.replace("revision", "begins-with: %s\nends-with: %s\nrevision")
BLOCKS = """
```{parts}
pump: {name: Pump, held-by: [pump-bolts, pump-nuts]}
```
```{connections}
pump-line: {name: Pump line, kind: line, between: [pump, body], held-by: line-bolts,
  carries: brake-fluid}
pump-plug: {name: Pump plug, kind: plug, between: [pump, harness], carries: signal}
steering-rod: {name: Rod, kind: linkage, between: [body, engine]}
```
```{fasteners}
pump-bolts: {name: Pump bolts, kind: bolt, tighten: 9 N·m, source: S, condition: dry}
pump-nuts: {name: Pump nuts, kind: nut, tighten: 9 N·m, source: S, condition: dry,
  with: pump-washers}
pump-washers: {name: Pump washers, kind: washer}
line-bolts: {name: Line bolts, kind: bolt, tighten: 9 N·m, source: S, condition: dry}
```
```{fluids}
brake-fluid: {name: Brake fluid, kind: brake-fluid}
```
"""
PUMP_ON = "fit pump\nfit pump-washers\ntighten pump-bolts, pump-nuts\nconnect pump-plug"
LINE_ON = "connect pump-line\ntighten line-bolts"
TRIED = "bleed brake-fluid\ntest brakes"


def test_what_it_began_with_open_ends_closed() -> None:
    head = BEGINS % "pump-off"
    assert checks(BLOCKS, PUMP_ON, LINE_ON, TRIED, head=head) == []
    assert checks(BLOCKS, LINE_ON.replace("connect", "inspect"), head=head) != []


@pytest.mark.parametrize(
    ("left_out", "expected"),
    [
        ("fit pump-washers", {"stack-order"}),
        ("tighten line-bolts", {"filled-while-open", "left-loose"}),
        ("connect pump-plug", {"left-disconnected"}),
        ("bleed brake-fluid", {"left-unbled"}),
        ("test brakes", {"no-brake-test"}),
    ],
)
def test_all_that_came_off_with_a_part_goes_on_with_it(left_out: str, expected: set[str]) -> None:
    steps = "\n".join([PUMP_ON, LINE_ON, TRIED]).replace(left_out, "inspect it")
    assert set(checks(BLOCKS, steps, head=BEGINS % "pump-off")) <= expected
    assert checks(BLOCKS, steps, head=BEGINS % "pump-off")


def test_a_brake_line_that_began_open_is_bled_and_tried() -> None:
    assert checks(BLOCKS, LINE_ON, TRIED, head=BEGINS % "pump-line") == []
    assert set(checks(BLOCKS, LINE_ON, head=BEGINS % "pump-line")) == {
        "left-unbled", "no-brake-test"
    }  # fmt: skip


@pytest.mark.parametrize(
    ("ends", "expected"),
    [
        ("pump-plug", []),
        ("pump-line", ["left-disconnected", "left-unbled", "no-brake-test"]),
        ("steering-rod", ["left-disconnected"]),
    ],
)
def test_brakes_and_steering_are_never_excused(ends: str, expected: list[str]) -> None:
    assert sorted(checks(BLOCKS, "inspect pump", head=BOTH % (ends, ends))) == expected


OUT = """
# Pump out
{car}
{blocks}
```{{procedure}} pump-out
vehicle: car
revision: A
ends-with: [pump-in]
```
:::{{step}} Out
---
do:
  - remove line-bolts
  - disconnect pump-line, pump-plug
  - remove pump-bolts, pump-nuts, pump-washers, pump
---
Out.
:::
"""
IN = """
# Pump in
```{{procedure}} pump-in
vehicle: car
revision: A
begins-with: [{begins}]
```
:::{{step}} In
---
do:
{do}
---
In.
:::
"""


def pair(*lines: str, begins: str = "pump-out") -> list[tuple[str, str]]:
    """What is found on the removal page and on the installation page."""
    do = "\n".join(f"  - {line}" for step in lines for line in step.splitlines())
    pages = {
        "out.md": OUT.format(car=CAR, blocks=BLOCKS),
        "in.md": IN.format(do=do, begins=begins),
    }
    found = findings_of(pages)
    return [(f.place.page, f.check) for f in found]


def test_what_one_page_leaves_open_the_other_closes() -> None:
    assert pair(PUMP_ON, LINE_ON, TRIED) == []
    assert pair(PUMP_ON.removesuffix("\nconnect pump-plug"), LINE_ON, TRIED) == [
        ("in.md", "left-disconnected")
    ]
    assert pair(PUMP_ON, LINE_ON) != []


def test_a_pair_whose_pages_do_not_name_each_other() -> None:
    found = pair(PUMP_ON, LINE_ON, TRIED, begins="as it arrives")
    assert ("out.md", "ends-otherwise") in found


def test_a_visit_with_both_pages_does_each_once() -> None:
    do = "\n".join(
        f"  - {line}" for step in (PUMP_ON, LINE_ON, TRIED) for line in step.splitlines()
    )
    job = "# Both\n```{job} both\nvehicle: car\nprocedures: [pump-in, pump-out]\n```\n"
    pages = {
        "out.md": OUT.format(car=CAR, blocks=BLOCKS),
        "in.md": IN.format(do=do, begins="pump-out"),
        "job.md": job,
    }
    assert findings_of(pages) == []
    manual = manual_from(pages)
    visit = combine(manual, next(iter(manual.heads(Job))))
    assert visit is not None
    assert (visit.order, len(visit.steps)) == (("pump-out", "pump-in"), 2)
