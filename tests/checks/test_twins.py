"""What is left and what is right of a car say the same."""

from __future__ import annotations

import pytest

from procedures_lib.judging.checks.twins import other_side
from tests.helpers import findings_of

PAGE = """# Car
```{{vehicle}} car
name: Car
fixed: [gearbox, hub]
```
```{{parts}}
left-shield: {{name: Left shield, held-by: left-bolts}}
right-shield: {{name: Right shield, held-by: right-bolts}}
pump: {{name: Pump}}
```
```{{connections}}
left-shaft: {{name: Left, kind: joint, between: [gearbox, hub], held-by: left-bolts{left}}}
right-shaft: {{name: Right, kind: joint, between: [gearbox, hub], held-by: right-bolts{right}}}
```
```{{fasteners}}
left-bolts:
  name: Left bolts
  kind: bolt
  count: 2
  thread: M8x1.25
  class: "10.9"
  head: hex 13 mm
  condition: dry
  positions: {{front: [20, 5], rear: [-20, 5]}}
  tighten: [10 N·m, 28 N·m]
  source: S 1
{on_left}
right-bolts:
  name: Right bolts
  kind: bolt
  count: 2
  thread: M8x1.25
  class: "10.9"
  head: hex 13 mm
  condition: dry
  positions: {{front: [-20, 5], rear: [20, 5]}}
  tighten: [10 N·m, 28 N·m]
  source: S 2
{on_right}
```
"""


def told(left: str = "", right: str = "", on_left: str = "", on_right: str = "") -> list[str]:
    page = PAGE.format(left=left, right=right, on_left=on_left, on_right=on_right)
    return [found.message for found in findings_of(page, "twins-differ")]


@pytest.mark.parametrize(
    ("on_left", "on_right"),
    [
        ("  recheck: 100 km", "  recheck: 100 km"),
        ("  hidden-by: left-shield", "  hidden-by: [right-shield, pump]"),
        ("  turns: left", ""),
        ("  recheck: 100 km", "  note: the sheet asks for it on the left alone"),
        ("  order: [front, rear]", "  order: [rear, front]"),
        ("  front: left", "  front: right"),
    ],
)
def test_the_same_on_both_sides(on_left: str, on_right: str) -> None:
    assert told(on_left=on_left, on_right=on_right) == []


@pytest.mark.parametrize(
    ("on_left", "on_right", "says"),
    [
        ("  recheck: 100 km", "  recheck: 1000 km", "`recheck` 1000 km, for 100 km"),
        ("  recheck: 100 km", "", "`recheck` not given, for 100 km"),
        ("", "  reuse: false", "`reuse` false, for nothing"),
        ("  at: ride-height", "", "`at` not given, for ride-height"),
        ("  order: [front, rear]", "", "`order` given for one of them alone"),
    ],
)
def test_one_side_alone(on_left: str, on_right: str, says: str) -> None:
    assert [message.partition(": ")[2] for message in told(on_left=on_left, on_right=on_right)] == [
        says
    ]


def test_positions_are_mirrored() -> None:
    page = PAGE.format(left="", right="", on_left="", on_right="")
    moved = page.replace("front: [-20, 5]", "front: [-22, 5]")
    assert [found.check for found in findings_of(moved)] == ["twins-differ"]


def test_what_a_joint_is_between_and_what_is_before_it() -> None:
    assert told(", behind: left-shield", ", behind: pump") == []
    assert told(", carries: oil", "") == ["`right-shaft` says otherwise than `left-shaft`: "
                                          "`carries` not given, for oil"]  # fmt: skip
    page = PAGE.format(left="", right="", on_left="", on_right="")
    turned = page.replace("[gearbox, hub]", "[hub, gearbox]", 1)
    assert findings_of(turned, "twins-differ") == []


def test_the_other_side_of_a_name() -> None:
    assert other_side("left-header-nuts, bright, Leftover") == "right-header-nuts, bright, Leftover"


@pytest.mark.parametrize(
    ("plug", "washer", "number"),
    [
        ("gearbox=manual", "gearbox=manual", 0),
        ("gearbox=manual", "gearbox=automatic", 1),
        ("gearbox=manual", "not gearbox=manual", 1),
        ("gearbox=manual", "seats=two", 0),
    ],
)
def test_a_thing_that_leans_on_one_of_other_cars(plug: str, washer: str, number: int) -> None:
    text = f"""```{{vehicle}} car
name: Car
options: {{gearbox: [manual, automatic], seats: [two, four]}}
```
```{{fasteners}}
washer: {{name: Washer, kind: crush-washer, when: {washer}}}
drain: {{name: Plug, kind: plug, with: washer, when: {plug}}}
```
"""
    assert len(findings_of(text, "never-true")) == number


def test_two_pictures_may_be_taken_from_where_one_sees_best() -> None:
    page = PAGE.format(left="", right="", on_left="", on_right="")
    for side, seen, at in (("left", "from the left", 7), ("right", "from below", 9)):
        page += f"```{{picture}} bay-{side}\nfile: {side}.jpg\nseen: {seen}\n"
        page += f"shows: {{pump: [5, {at}]}}\n```\n"
    assert findings_of(page, "twins-differ") == []
