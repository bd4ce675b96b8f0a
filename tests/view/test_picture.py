"""Pictures: labels and numbers come from the blocks, and labels cover no point."""

from __future__ import annotations

from procedures_lib.fronts.tables.picture_words import (
    around_title,
    order_note,
    picture_alternative,
    picture_caption,
    thing_line,
)
from procedures_lib.language.entities.car import Fastener
from procedures_lib.language.entities.picture import Picture
from procedures_lib.language.entities.work import Procedure
from procedures_lib.view.picture import PictureView, picture_view, pictures_of
from procedures_lib.view.step import StepView, steps_in
from procedures_lib.view.uses import uses_of
from tests.demo import demo
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
        "The numbers are the order of tightening of stage 1. Other stages go otherwise"
    )


WORK = """
```{procedure} work
vehicle: car
revision: A
```

"""
SHOWN = "\n```{picture} below\n```\n:::\n"
STAGES = (
    "order: [lower left, upper right, lower right, upper left]\n  tighten: [5 N·m,"
    " {stage: 10 N·m, order: [upper left, lower right, upper right, lower left]}]"
)


def in_steps(*doings: str, how: str = "order: cross\n  tighten: 10 N·m") -> list[PictureView]:
    """The picture of the cooler and its bolts as each of some steps shows it."""
    shows = f"{{cooler-bolts: {POINTS}, cooler: [50, 40]}}"
    steps = [f":::{{step}} S\n---\ndo: [{do}]\n---\nLook.\n{SHOWN}" for do in doings]
    manual = manual_from({"car.md": PAGE.format(shows=shows, how=how) + WORK + "".join(steps)})
    procedure = manual.head(Procedure, "work")
    assert procedure is not None
    uses = uses_of(manual.plan(procedure))
    return [view for step in steps_in(uses) for view in pictures_of(step, uses)]


def lines(view: PictureView) -> list[str]:
    return [thing_line(each, "") for each in view.of_step]


def test_in_a_step_stands_what_it_works_on_and_only_the_torque_that_it_reaches() -> None:
    out, back, looked = in_steps("remove cooler-bolts", "fit cooler, tighten cooler-bolts", "")
    assert lines(out) == ["A1 to A4  4 × Cooler bolts"]
    assert [thing_line(each, "") for each in out.around] == ["B  Charge-air cooler"]
    assert around_title(out) == "Also in the picture"
    both = in_steps("fit cooler", "tighten cooler-bolts")
    assert [lines(view) for view in both] == [
        ["B  Charge-air cooler"],
        ["A1 to A4  4 × Cooler bolts: 10\u00a0N·m (89\u00a0lbf·in)"],
    ]
    assert back.around == ()
    assert lines(looked) == []
    assert [each.label for each in looked.around] == ["A", "B"]
    assert around_title(looked) == "In the picture"


def test_the_words_of_a_picture_lead_with_what_its_step_works_on() -> None:
    [view] = in_steps("fit cooler")
    assert picture_alternative(view).endswith("shows charge-air cooler B; cooler bolts A1 to A4.")


def test_a_step_that_does_one_stage_shows_its_torque_in_its_order() -> None:
    first, second, all_of_them = in_steps(
        "tighten cooler-bolts stage 1", "tighten cooler-bolts stage 2", "tighten cooler-bolts",
        how=STAGES,
    )  # fmt: skip
    assert lines(first) == ["A1 to A4  4 × Cooler bolts: stage 1: 5\u00a0N·m (44\u00a0lbf·in)"]
    assert lines(second) == ["A1 to A4  4 × Cooler bolts: stage 2: 10\u00a0N·m (89\u00a0lbf·in)"]
    assert [view.things[0].marks[0].position for view in (first, second, all_of_them)] == [
        "lower left", "upper left", "lower left",
    ]  # fmt: skip
    assert order_note(second.things[0]) == (
        "The numbers are the order of tightening of stage 2."
        " Other stages go otherwise: see the drawing."
    )
    assert order_note(all_of_them.things[0]).endswith("Every bolt through stage 1 before stage 2.")


def test_a_torque_that_differs_from_car_to_car_has_its_cars() -> None:
    car = PAGE.replace("name: Car", "name: Car\noptions: {{model: [long, short]}}")
    how = 'order: cross\n  tighten: {"model=long": [9 N·m], "model=short": [7 N·m]}'
    page = car.format(shows=f"{{cooler-bolts: {POINTS}}}", how=how)
    step = f":::{{step}} S\n---\ndo: [tighten cooler-bolts]\n---\nLook.\n{SHOWN}"
    manual = manual_from({"car.md": page + WORK + step})
    procedure = manual.head(Procedure, "work")
    assert procedure is not None
    uses = uses_of(manual.plan(procedure))
    [view] = pictures_of(steps_in(uses)[0], uses)
    assert lines(view) == [
        "1 to 4  4 × Cooler bolts: model=long: 9\u00a0N·m (80\u00a0lbf·in);"
        " model=short: 7\u00a0N·m (62\u00a0lbf·in)"
    ]


def torques_of(step: StepView) -> set[str]:
    """The torques that the actions of a step ask for, as their blocks have them."""
    return {stage.shown() for action in step.actions for thing in action.things
            for stage in action.stages(thing)}  # fmt: skip


def test_no_step_of_the_demo_has_a_torque_in_its_pictures_that_is_of_another_step() -> None:
    seen = 0
    for procedure in demo().heads(Procedure):
        uses = uses_of(demo().plan(procedure))
        for step in steps_in(uses):
            own = torques_of(step)
            for view in pictures_of(step, uses):
                for each in view.things:
                    tight = thing_line(each, "").partition(each.thing.name)[2]
                    for joint in (
                        (each.thing.entity,) if isinstance(each.thing.entity, Fastener) else ()
                    ):
                        others = {stage.shown() for stage in joint.how_tight.every} - own
                        assert not any(torque in tight for torque in others), (
                            step.step.title,
                            tight,
                        )
                        seen += bool(tight)
    assert seen > 20
