"""A small procedure whose views and tables are looked at."""

from __future__ import annotations

from procedures_lib.language.entities.car import Fastener
from procedures_lib.language.entities.work import Procedure
from procedures_lib.language.variants import read_condition
from procedures_lib.manual import Plan
from procedures_lib.manual.shop import Shop, TorqueWrench
from procedures_lib.view.uses import Uses, uses_of
from tests.helpers import entity_from, manual_from

CAR = """
    ```{vehicle} finch
    name: Finch
    years: 2018-2022
    options: {transmission: [manual, automatic], tow-eye: [fitted, absent]}
    ```
    ```{parts}
    cooler: {name: Old cooler, held-by: [cooler-bolts, cooler-clips]}
    sensor: {name: Sensor, on: cooler, held-by: sensor-screws}
    sensor-ring: {name: Sensor O-ring, kind: o-ring, on: sensor}
    ```
    ```{connections}
    fuel-line: {name: Fuel line, kind: line, between: [cooler, body], carries: fuel}
    drain-hose: {name: Drain hose, kind: hose, between: [cooler, body]}
    ```
    ```{fasteners}
    cooler-bolts: {name: Cooler bolts, kind: bolt, count: 4, head: hex 10 mm, tighten: 9 N·m}
    cooler-clips: {name: Clips, kind: clip, count: 6}
    sensor-screws:
      name: Sensor screws
      kind: screw
      count: 2
      thread: M5x0.8
      class: "8.8"
      head: torx T25
      reuse: false
      condition: thread-locker
      tighten: [snug, 4 N·m]
      source: Sheet 12-3
    ```
    ```{hazards}
    sharp: {name: Sharp fins, signal: CAUTION, harm: Cuts., avoid: Gloves., called-by: [cooler]}
    ```
    """
KIT = """
    ```{kit} tf-1
    name: Cooler kit
    fits: {vehicle: finch, years: 2019-2021, when: tow-eye=absent}
    contents:
      - {part: big-cooler, number: TF-1, name: Big cooler, replaces: cooler}
      - {fastener: big-bolts, number: TF-2, qty: 5, spare: 1, replaces: cooler-bolts}
      - {part: spacer, number: TF-3, qty: 2, when: transmission=automatic}
      - {supply: Cable tie, number: TF-4, qty: 6}
      - {supply: Grease, number: TF-6, qty: 30 g}
      - {paper: Card, number: TF-5, note: read first}
    returns: [cooler]
    needs: {fuel: 93 AKI, calibration: {manual: FC-1, automatic: FC-2}}
    emissions: {label: EO label, note: check the year}
    ```
    ```{fasteners}
    big-bolts:
      name: Big bolts
      kind: bolt
      count: 4
      thread: M8x1.25
      class: "10.9"
      head: hex 13 mm
      reach: 150 mm extension
      condition: dry
      turns: left
      at: ride-height
      positions: {ll: [0, 0], lr: [420, 0], ul: [0, 180], ur: [420, 180]}
      order: [ll, ur, lr, ul]
      tighten: [10 N·m, 22 N·m, {stage: +45°, order: [ul, lr, ur, ll]}]
      recheck: 100 km
      source: Maker's sheet, page 7
    spacer-bolts: {name: Spacer bolts, kind: bolt, head: hex 10 mm, tighten: 12 ± 1 N·m}
    ```
    """
PROCEDURE = """
    # Fit the cooler

    ```{procedure} fit-tf-1
    vehicle: finch
    kit: tf-1
    revision: C
    reviewed: 2026-09-14
    begins-with: as it arrives
    hazards: [spring-energy]
    handover: [Wash the car by hand for a week.]
    ```
    :::{step} Open
    ---
    do:
      - raise vehicle
      - disconnect fuel-line
      - remove sensor-screws, sensor
      - remove cooler-clips, cooler-bolts, cooler
      - disconnect drain-hose
    tools: [trim lever]
    supplies: [Cable tie, masking tape]
    people: 2
    time: 1 h
    ---
    :::
    :::{step} Close
    ---
    do:
      - fit big-cooler
      - start big-bolts
      - fit sensor on big-cooler
      - discard sensor-screws, drain-hose
      - tighten sensor-screws
      - fit cooler-clips
    time: 25 min
    ---
    :::
    :::{step} Spacers
    ---
    do: [fit spacer, tighten spacer-bolts]
    when: transmission=automatic
    supplies: [masking tape]
    time: 10 min
    ---
    :::
    :::{step} Finish
    ---
    do:
      - tighten big-bolts
      - connect fuel-line
      - test leaks fuel
      - test road
    tools: [trim lever]
    ---
    :::
    """
PAGES = {"car.md": CAR, "kit.md": KIT, "fit.md": PROCEDURE}


def plan() -> Plan:
    manual = manual_from(PAGES)
    head = manual.head(Procedure, "fit-tf-1")
    assert head is not None
    return manual.plan(head)


def uses(when: str = "") -> Uses:
    return uses_of(plan(), read_condition(when)) if when else uses_of(plan())


def fastener_with(**fields: str) -> Fastener:
    """A bolt with these fields, or what else ``kind`` says."""
    lines = "".join(f"\n  {key}: {value}" for key, value in {"kind": "bolt", **fields}.items())
    entity = entity_from(f"```{{fasteners}}\nj:{lines}\n```\n", "j")
    assert isinstance(entity, Fastener)
    return entity


def judged(**changes: str) -> Fastener:
    """A bolt of which enough is known to judge it, with some fields changed."""
    return fastener_with(**{**_JUDGED, **changes})


_JUDGED = {
    "thread": "M8x1.25",
    "class": '"8.8"',
    "head": "hex 13 mm",
    "condition": "dry",
    "tighten": "[22 N·m]",
    "grip": "1 in",
    "into": "{material: aluminium, engagement: 12 mm}",
}


def with_lengths(shop: Shop) -> Shop:
    """The shop whose wrenches state their length."""
    wrenches = tuple(
        TorqueWrench.model_validate(
            {"id": str(w.id), "name": w.name, "range": w.range, "length": "300 mm"}
        )
        for w in shop.torque_wrenches
    )
    return shop.model_copy(update={"torque_wrenches": wrenches})
