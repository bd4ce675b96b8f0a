"""What the text of a step names, held against what the step does and where it stands."""

from __future__ import annotations

import pytest

from tests.helpers import findings_of

PAGE = """# Work
```{{vehicle}} car
name: Car
options: {{seats: [two, four]}}
fixed: [body]
```
```{{parts}}
hub: {{name: Hub, held-by: [hub-bolts, hub-nuts]}}
arm: {{name: Left arm, held-by: arm-bolts-left}}
```
```{{fasteners}}
hub-bolts: {{name: Hub bolts, kind: bolt, count: 4, thread: M12x1.5, class: "10.9",
  head: hex 17 mm, condition: dry, tighten: 70 N·m, source: S,
  positions: {{a: [0, 0], b: [90, 0], c: [0, 90], d: [90, 90]}}, order: [a, d, b, c]}}
hub-nuts: {{name: Hub nuts, kind: nut, count: 4, thread: M8x1.25, class: "8", head: hex 13 mm,
  condition: dry, tighten: 20 N·m, source: S}}
arm-bolts-left: {{name: Arm bolts, kind: bolt, count: 4, thread: M10x1.5, class: "10.9",
  head: hex 16 mm, condition: dry, tighten: 55 N·m, source: S}}
```
```{{procedure}} work
vehicle: car
revision: A
```
:::{{step}} Off
---
do:
  - remove hub-bolts, hub-nuts, hub
id: off
---
{first}
:::

:::{{step}} On
---
do:
  - fit hub
  - tighten hub-bolts, hub-nuts
id: hub-on
---
{then}
:::

:::{{step}} Arm
---
do:
  - remove arm-bolts-left, arm
  - fit arm
  - tighten arm-bolts-left
id: arms
when: seats=four
---
{last}
:::

:::{{step}} Look
---
do: inspect hub
id: looked
when: seats=two
---
Look.
:::
"""


def checks(first: str = "", then: str = "", last: str = "") -> list[tuple[str, str]]:
    page = PAGE.format(first=first, then=then, last=last)
    return [(found.check, str(found.level)) for found in findings_of(page)]


FOREIGN, BESIDE = ("foreign-joint", "error"), ("foreign-joint", "warning")
OTHERWISE = ("prose-disagrees", "warning")


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("All {fastener}`hub-bolts` by hand, {torque}`hub-bolts`.", []),
        ("All {fastener}`arm-bolts-left` by hand.", [BESIDE]),
        ("Not as tight as {fastener}`arm-bolts-left`.", []),
        ("Behind the {part}`arm` it goes in.", []),
        ("Then {torque}`arm-bolts-left`.", [FOREIGN]),
    ],
)
def test_a_thing_that_the_step_does_not_touch(text: str, expected: list[tuple[str, str]]) -> None:
    assert checks(then=text) == expected


def test_the_torque_of_a_joint_that_the_step_takes_out_only() -> None:
    page = PAGE.format(first="", then="", last="{torque}`hub-nuts`.").replace(
        "remove arm-bolts-left, arm\n", "remove arm-bolts-left, arm\n  - loosen hub-nuts\n"
    )
    assert ("foreign-joint", 53) in [(f.check, f.place.line) for f in findings_of(page)]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("As in {step}`off`, the other way.", []),
        ("Leave it so until {step}`arms`.", []),
        ("To the mark that you set in {step}`arms`.", [OTHERWISE]),
        ("Go back to {step}`looked`.", [OTHERWISE]),
        ("Go back to {step}`hub-on`.", [OTHERWISE]),
    ],
)
def test_a_reference_that_leads_another_way(text: str, expected: list[tuple[str, str]]) -> None:
    assert checks(then=text) == expected


def test_a_reference_to_a_step_of_other_cars() -> None:
    assert checks(last="See {step}`looked`.") == [OTHERWISE]
    assert checks(last="See {step}`off`.") == []


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Left to {torque}`arm-bolts-left`.", []),
        ("Right to {torque}`arm-bolts-left`.", [OTHERWISE]),
        ("Turn right, then {torque}`arm-bolts-left`.", []),
        ("Remove {fastener}`arm-bolts-left`, then {part}`arm`.", []),
    ],
)
def test_a_side_beside_a_thing_of_the_other(text: str, expected: list[tuple[str, str]]) -> None:
    assert checks(last=text) == expected


@pytest.mark.parametrize(
    ("first", "then", "expected"),
    [
        ("Undo the {fastener}`hub-bolts`.", "Fit {part}`hub`.", []),
        ("Tighten the {fastener}`hub-bolts`.", "", [OTHERWISE]),
        ("", "Clean it, then remove {part}`hub`.", [OTHERWISE]),
        ("", "It was hard to remove: {part}`hub` on, straight.", []),
    ],
)
def test_the_opposite_of_what_the_step_does(
    first: str, then: str, expected: list[tuple[str, str]]
) -> None:
    assert checks(first, then) == expected


def test_a_drawing_that_is_spoken_of() -> None:
    drawing = "\n\n```{order-drawing} hub-bolts\n```"
    assert checks(then="{torque}`hub-bolts`, in the order drawn.") == [OTHERWISE]
    assert checks(then="{torque}`hub-bolts`, in the order drawn." + drawing) == []
    assert checks(then="It is drawn on to its dowels; drawn off, no.") == []


SIGNS = """# Work
```{{vehicle}} car
name: Car
```
```{{procedure}} work
vehicle: car
revision: A
```
::::{{step}} Look
---
do: inspect lamp
hazards: [airbag, battery]
---
{above}

Words.

{below}
::::
"""


def sign(title: str, hazard: str = "", word: str = "danger") -> str:
    return f":::{{{word}}} {title}\n{hazard and f':hazard: {hazard}'}\nMind it.\n:::"


@pytest.mark.parametrize(
    ("above", "below", "expected"),
    [
        (sign("Airbag: kills", "airbag"), "", []),
        (sign("It kills", "airbag"), "", []),
        (sign("Airbag: kills", "battery"), "", ["hazard-not-shown"]),
        ("\n\n".join([*[sign("It kills", "airbag")] * 2, sign("It kills", "battery", "warning")]),
         "", ["hazard-not-shown"]),
        (sign("Once cut, cut", word="notice"), "", []),
        ("", sign("Once cut, cut", word="notice"), ["signal-order"]),
    ],
)  # fmt: skip
def test_signs_of_a_step(above: str, below: str, expected: list[str]) -> None:
    found = findings_of(SIGNS.format(above=above, below=below))
    known = {"hazard-not-shown", "signal-order"}
    assert [each.check for each in found if each.check in known] == expected


def test_a_fastener_is_brought_to_its_own_torque() -> None:
    assert checks(then="{fastener}`hub-nuts` to {torque}`hub-nuts`.") == []
    assert checks(then="Bring {fastener}`hub-nuts` to\n{torque}`hub-bolts`.") == [FOREIGN]
    assert checks(then="{fastener}`hub-nuts`, {fastener}`hub-bolts` to {torque}`hub-bolts`.") == []


SIDES = """# Swap
```{{vehicle}} car
name: Car
fixed: [body]
```
```{{parts}}
left-pipe: {{name: Left pipe}}
right-pipe: {{name: Right pipe}}
left-probe: {{name: Left probe, on: left-pipe}}
```
```{{procedure}} swap
vehicle: car
revision: A
```
:::{{step}} Swap
---
do:
  - remove left-probe
  - fit left-probe on {target}
---
Mind the tip.
:::
"""


@pytest.mark.parametrize(("target", "told"), [("left-pipe", False), ("right-pipe", True)])
def test_what_is_left_goes_on_what_is_left(target: str, told: bool) -> None:
    found = [finding.message for finding in findings_of(SIDES.format(target=target))]
    assert ("`fit left-probe on right-pipe`: left goes on right" in found) is told
