"""What stacks, settings, reach and hand-over look like to who reads the page."""

from __future__ import annotations

import json

from procedures_lib.fronts.formats.procedure_json import value_of
from procedures_lib.fronts.tables.definitions import definition_table
from procedures_lib.fronts.tables.procedure_tables import handover_lines, torque_table
from procedures_lib.language.entities.car import Fastener, Part
from procedures_lib.language.entities.work import Procedure
from procedures_lib.manual.shop import Shop
from procedures_lib.view.closing import closing, handover
from procedures_lib.view.uses import Uses, uses_of
from tests.helpers import manual_from

PAGE = """# Work
```{vehicle} car
name: Car
```
```{parts}
arm: {name: Arm, held-by: arm-bolts, mass: 30 kg, reached-from: below}
belt: {name: Belt, setting: 10–12 mm}
tray: {name: Tray}
```
```{fasteners}
arm-bolts: {name: Arm bolts, kind: bolt, count: 2, hidden-by: tray}
arm-washers: {name: Arm washers, kind: washer, count: 2}
arm-nuts: {name: Arm nuts, kind: nut, count: 2, with: [arm-bolts, arm-washers], tighten: 40 N·m,
  source: S, condition: dry}
arm-pins: {name: Arm pins, kind: cotter-pin, count: 2, with: arm-nuts}
```
```{procedure} work
vehicle: car
revision: A
ends-with: [tray-off]
```
:::{step} Do it
---
do:
  - tighten arm-nuts
  - adjust belt
---
Do it.
:::
"""


def uses() -> Uses:
    manual = manual_from({"page.md": PAGE})
    (procedure,) = manual.heads(Procedure)
    return uses_of(manual.plan(procedure))


def test_a_joint_says_what_goes_on_with_it() -> None:
    (record,) = torque_table(uses(), Shop(name="Any")).records()
    assert record["hardware"] == "re-used; with 2 × Arm bolts, 2 × Arm washers"


def test_the_list_of_things_says_how_they_are_reached_and_held() -> None:
    scope = uses().plan.scope
    fasteners = definition_table("fasteners", scope.all(Fastener), scope).records()
    assert [record["note"] for record in fasteners] == [
        "hidden by Tray", "", "goes on over Arm bolts, Arm washers", "locks Arm nuts"
    ]  # fmt: skip
    parts = definition_table("parts", scope.all(Part), scope).records()
    assert [record["note"].replace("\xa0", " ") for record in parts] == [
        "30 kg; held while it comes off and goes on; reached from below",
        "set to 10–12 mm (0.40–0.47 in)",
        "",
    ]


def test_what_is_handed_on_is_on_every_sheet() -> None:
    assert closing(uses()).left_open == ("Tray",)
    assert ("Still open", "Tray") in handover_lines(handover(uses()))
    # Whoever goes on from there drives the car.
    assert [test.what for test in closing(uses()).tests] == []


def test_a_setting_in_json_is_that_of_the_thing() -> None:
    manual = manual_from({"page.md": PAGE})
    value = json.loads(json.dumps(value_of(manual, uses())))
    nuts, belt = value["steps"][0]["actions"]
    assert (belt["verb"], belt["objects"][0]["setting"]) == ("adjust", "10–12 mm")
    assert nuts["objects"][0]["setting"] == ""
    assert (value["ends_with"], value["left_open"]) == (["tray-off"], ["Tray"])
