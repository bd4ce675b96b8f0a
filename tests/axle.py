"""A page on which every form of `tighten` stands: one nut differs from car to car."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.language.variants import read_condition
from procedures_lib.view.uses import uses_of
from tests.helpers import manual_from

if TYPE_CHECKING:
    from procedures_lib.manual import Manual, Plan
    from procedures_lib.view.uses import Uses

PAGE = """# Refit the drive shaft

```{vehicle} hatch
name: Small hatch
options:
  axle: [long, short]
fixed: [hub]
```

```{parts}
shaft: {name: Drive shaft, held-by: [hub-nut, flange-bolts, boot-clamp, cap-screw, pin-nut]}
```

```{fasteners}
hub-nut:
  name: Hub nut
  kind: nut
  thread: M24x1.5
  class: "10"
  head: hex 36 mm
  condition: dry
  recheck: 100 km
  tighten: {"axle=long": [250 N·m], "axle=short": [120 N·m, +60°]}
  source: Axle sheet, page 2
flange-bolts:
  name: Flange bolts
  kind: bolt
  count: 4
  thread: M10x1.5
  class: "10.9"
  head: hex 16 mm
  condition: oiled
  grip: 60 mm
  positions: {top: [0, 40], right: [40, 0], bottom: [0, -40], left: [-40, 0]}
  order: cross
  tighten: [{stage: 10 N·m, only: [top, bottom]}, 50 %, 60 N·m, stretch 0.12–0.18 mm]
  source: Axle sheet, page 3
boot-clamp: {name: Boot clamp, kind: clamp, tighten: {until: 1 to 1 1/2 teeth show}}
cap-screw: {name: Cap screw, kind: screw, tighten: {see: "axle sheet, page 4"}}
pin-nut:
  name: Pin nut
  kind: nut
  thread: M12x1.25
  class: "8"
  head: hex 19 mm
  condition: dry
  tighten: [20 N·m or next slot, back off at most 1/4 turn]
  source: Axle sheet, page 5
```

```{procedure} refit-shaft
vehicle: hatch
revision: A
```

:::{step} Take it out
---
do:
  - remove boot-clamp, cap-screw, pin-nut, hub-nut, flange-bolts, shaft
---
Look at it.
:::

::::{step} Fit it
---
do:
  - fit shaft
  - start flange-bolts
  - tighten flange-bolts, boot-clamp, cap-screw, pin-nut
  - tighten hub-nut
---
The nut takes {torque}`hub-nut`, the bolts {torque}`flange-bolts`, the clamp {torque}`boot-clamp`.

```{order-drawing} flange-bolts
```
::::

```{torque-table}
```

```{close-up}
```
"""
NO_TORQUE = PAGE.replace(', tighten: {see: "axle sheet, page 4"}', "")


def axle_manual(page: str = PAGE) -> Manual:
    """The manual of this one page."""
    return manual_from({"page.md": page})


def axle_plan(page: str = PAGE) -> Plan:
    """The plan of its procedure."""
    (plan,) = axle_manual(page).plans()
    return plan


def axle_uses(when: str = "", page: str = PAGE) -> Uses:
    """The uses of its steps, for some cars."""
    plan = axle_plan(page)
    return uses_of(plan, read_condition(when)) if when else uses_of(plan)
