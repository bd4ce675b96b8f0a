"""Pictures: labels and numbers come from the blocks, and labels cover no point."""

from __future__ import annotations

from procedures_lib.fronts.tables.picture_words import (
    order_note,
    picture_alternative,
    picture_caption,
    thing_line,
)
from procedures_lib.language.entities.picture import Picture
from procedures_lib.view.picture import PictureView, picture_view
from tests.helpers import manual_from

PAGE = """\
```{{vehicle}} car
name: Car
```

```{{parts}}
cooler: {{name: Charge-air cooler, held-by: cooler-bolts}}
```

```{{fasteners}}
cooler-bolts:
  name: Cooler bolts
  kind: bolt
  count: 4
  {how}
  positions: {{lower left: [0, 0], lower right: [9, 0], upper left: [0, 6], upper right: [9, 6]}}
```

```{{picture}} below
name: Charge-air cooler
file: a.jpg
seen: from below, front of the car up
shows: {shows}
```
"""
POINTS = "[[10, 60], [90, 60], [10, 20], [90, 20]]"


def view_of(shows: str, how: str = "order: cross\n  tighten: 10 N·m") -> PictureView:
    manual = manual_from({"car.md": PAGE.format(shows=shows, how=how)})
    scope = manual.scope("car.md")
    picture = scope.of(Picture, "below")
    assert picture is not None
    return picture_view(picture, scope)


def labels(view: PictureView) -> list[dict[str, tuple[int, int]]]:
    return [{m.label: (m.x, m.y) for m in thing.marks} for thing in view.things]


def test_the_numbers_are_those_of_the_order_at_their_positions() -> None:
    view = view_of(f"{{cooler-bolts: {POINTS}, cooler: [50, 40]}}",
                   "order: [lower left, upper right, lower right, upper left]\n"
                   "  tighten: 10 N·m")  # fmt: skip
    assert labels(view) == [
        {"A1": (10, 60), "A2": (90, 20), "A3": (90, 60), "A4": (10, 20)},
        {"B": (50, 40)},
    ]
    assert picture_alternative(view) == (
        "Charge-air cooler, from below, front of the car up; shows cooler bolts A1 to A4 in the"
        " order of tightening 1 lower left, 2 upper right, 3 lower right, 4 upper left;"
        " charge-air cooler B."
    )
    assert picture_caption(view) == "Charge-air cooler. Seen from below, front of the car up."
    assert [thing_line(each, str(each.thing.when)) for each in view.things] == [
        "A1 to A4  4 × Cooler bolts: 10\u00a0N·m (89\u00a0lbf·in)",
        "B  Charge-air cooler",
    ]


def test_a_group_alone_has_numbers_only() -> None:
    assert list(labels(view_of(f"{{cooler-bolts: {POINTS}}}"))[0]) == ["1", "2", "3", "4"]


def test_named_points_need_no_order_on_the_page_and_some_may_be_out_of_sight() -> None:
    named = "{upper right: [90, 20], lower left: [10, 60]}"
    how = "order: [lower left, upper right, lower right, upper left]\n  tighten: 10 N·m"
    assert labels(view_of(f"{{cooler-bolts: {named}}}", how)) == [{"1": (10, 60), "2": (90, 20)}]


def test_a_group_without_an_order_has_its_letter_at_each_point() -> None:
    view = view_of(f"{{cooler-bolts: {POINTS}}}", "tighten: 10 N·m")
    assert [mark.label for mark in view.things[0].marks] == ["A"] * 4
    assert order_note(view.things[0]) == ""


def test_the_numbers_say_of_which_stage_they_are_when_stages_differ() -> None:
    how = (
        "order: [lower left, upper right, lower right, upper left]\n  tighten: [5 N·m,"
        " {stage: 10 N·m, order: [upper left, lower right, upper right, lower left]}]"
    )
    view = view_of(f"{{cooler-bolts: {POINTS}}}", how)
    assert {m.position: m.label for m in view.things[0].marks}["lower left"] == "1"
    assert order_note(view.things[0]).startswith(
        "The numbers are the order of tightening of stage 1. Later stages go otherwise"
    )
