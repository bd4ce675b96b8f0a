"""Variants: findings name the cars in the shortest form; conditions that no car meets are found."""

from __future__ import annotations

import pytest

from tests.helpers import findings_of
from tests.walk.pages import CAR, HEAD, checks, found

PARTS = """
```{parts}
cover: {name: Cover}
guard: {name: Guard, when: gearbox=automatic}
eye: {name: Eye, when: tow-eye=fitted and gearbox=manual}
```
"""
ON, OFF = "fit cover", "remove cover"


@pytest.mark.parametrize(
    ("when", "variants"),
    [
        ("gearbox=manual", "gearbox=automatic"),
        ("not gearbox=manual", "gearbox=manual"),
        ("gearbox in [manual]", "gearbox=automatic"),
        ("gearbox=manual and tow-eye=fitted", "tow-eye=absent or gearbox=automatic"),
        ("gearbox=manual or tow-eye=fitted", "gearbox=automatic and tow-eye=absent"),
    ],
)
def test_put_back_on_some_cars_only(when: str, variants: str) -> None:
    assert found(PARTS, OFF, f"{ON}\n:when: {when}") == [("left-off", variants)]


def test_two_steps_that_together_reach_every_car() -> None:
    manual, automatic = (f"{ON}\n:when: gearbox={value}" for value in ("manual", "automatic"))
    assert found(PARTS, OFF, manual, automatic) == []
    assert found(PARTS, OFF, ON, automatic) == [("nothing-to-undo", "gearbox=automatic")]


def test_what_a_car_lacks_is_not_left_off() -> None:
    assert sorted(found(PARTS, "remove guard, eye")) == [
        ("left-off", "gearbox=automatic"),
        ("left-off", "gearbox=manual and tow-eye=fitted"),
    ]


@pytest.mark.parametrize(
    "block",
    [
        "```{parts}\nx: {name: X, when: gearbx=manual}\n```\n",
        "```{parts}\nx: {name: X, when: gearbox=manul}\n```\n",
        "```{fasteners}\nx: {name: X, kind: clip, when: not wibble=manual}\n```\n",
    ],
)
def test_an_option_named_nowhere(block: str) -> None:
    assert checks(block, "inspect x") == ["unknown-option"]


def test_a_slip_in_a_step_is_one_finding() -> None:
    assert checks(PARTS, "remove guard", "fit guard\n:when: gearbox=automatc") == ["unknown-option"]


@pytest.mark.parametrize(
    "when",
    ["gearbox=manual and gearbox=automatic", "not gearbox in [manual, automatic]"],
)
def test_a_condition_that_no_car_meets(when: str) -> None:
    assert checks(PARTS, f"inspect cover\n:when: {when}") == ["never-true"]
    part = f"```{{parts}}\nx: {{name: X, when: '{when}'}}\n```\n"
    assert checks(part, "inspect x") == ["never-true"]


LEVER = "```{parts}\nlever: {name: Lever, when: gearbox=manual}\n```\n"


@pytest.mark.parametrize(
    ("when", "found"),
    [("gearbox=automatic", ["never-true"]), ("tow-eye=fitted", []), ("gearbox=manual", [])],
)
def test_an_action_on_a_thing_that_no_car_of_its_step_has(when: str, found: list[str]) -> None:
    on = f"remove lever\n:when: {when}"
    assert checks(LEVER, on, on.replace("remove", "fit")) == found * 2


BOX = """
```{kit} kit
name: Kit
fits: {vehicle: car}
contents:
  - {part: lever, number: K-1, when: BOX}
  - {paper: Card}
```
"""


@pytest.mark.parametrize(
    ("when", "found"),
    [("gearbox=automatic", ["never-true"]), ("gearbox=manual", []), ("tow-eye=fitted", [])],
)
def test_a_thing_in_the_box_for_cars_that_do_not_have_it(when: str, found: list[str]) -> None:
    kit = BOX.replace("BOX", when)
    head = HEAD.replace("vehicle: car\n", "vehicle: car\nkit: kit\n")
    slips = checks(LEVER, "inspect lever", kit=kit, head=head)
    assert [name for name in slips if name == "never-true"] == found


KIT = """
```{kit} kit
name: Kit
fits: {vehicle: car, when: gearbox=manual}
contents:
  - {paper: Card}
```
"""


def test_a_step_for_cars_that_the_kit_does_not_fit() -> None:
    head = HEAD.replace("vehicle: car\n", "vehicle: car\nkit: kit\n")
    step = "inspect cover\n:when: gearbox=automatic"
    assert checks(PARTS, step, kit=KIT, head=head) == ["never-true"]
    # Among the cars that the kit fits, every one is meant.
    assert found(PARTS, OFF, kit=KIT, head=head) == [("left-off", "")]
    assert found(PARTS, f"{OFF}\n:when: tow-eye=fitted", kit=KIT, head=head) == [
        ("left-off", "tow-eye=fitted")
    ]


COMMON = """# Common

```{common} shared
vehicle: car
```

:::{step} Off
:do: remove cover
:when: gearbox=automatic
Off with it.
:::
"""


def test_common_steps_are_done_where_they_are_called_for() -> None:
    page = f"# Work\n{CAR}{PARTS}{HEAD}\n:::{{common-steps}} shared\n:::\n"
    again = "\n:::{step} On\n:do: fit cover\n:when: gearbox=automatic\nOn.\n:::\n"
    assert findings_of({"page.md": page + again, "common.md": COMMON}) == []
    (left,) = findings_of({"page.md": page, "common.md": COMMON})
    assert (left.check, left.variants) == ("left-off", "gearbox=automatic")
    assert left.place.page == "page.md"
    assert "common.md" in {place.page for place in left.related}


def test_common_steps_that_never_apply_through_a_call() -> None:
    page = f"# Work\n{CAR}{PARTS}{HEAD}\n:::{{common-steps}} shared\n:when: gearbox=manual\n:::\n"
    (never,) = findings_of({"page.md": page, "common.md": COMMON})
    assert (never.check, never.place.page) == ("never-true", "page.md")


BEGINS = HEAD.replace("revision", "begins-with: %s\nrevision")


@pytest.mark.parametrize("state", ["[cover-off]", "[cover]", "cover"])
def test_a_state_that_another_procedure_left(state: str) -> None:
    assert checks(PARTS, ON, head=BEGINS % state) == []
    assert checks(PARTS, "inspect body", head=BEGINS % state) == ["left-off"]
    ends = (BEGINS % state).replace("revision", f"ends-with: {state}\nrevision")
    assert checks(PARTS, "inspect body", head=ends) == []
    assert checks(PARTS, ON, head=ends) == ["ends-otherwise"]
    assert checks(PARTS, ON, head=BEGINS % "as it arrives") == ["nothing-to-undo"]


@pytest.mark.parametrize(
    ("word", "expected"),
    [
        ("cover", []),
        ("cover-off", []),
        ("covr-off", ["unknown-id"]),
        ("battery-isolatd", ["unknown-id"]),
        ("as it arives", ["unknown-id"]),
        ("wheels-off", []),
    ],
)
def test_a_misspelt_beginning_is_found_and_an_unknown_one_let_pass(
    word: str, expected: list[str]
) -> None:
    slips = checks(PARTS, "inspect cover", head=BEGINS % f"[{word}]")
    assert [name for name in slips if name == "unknown-id"] == expected


def test_it_begins_with_common_steps_that_were_done() -> None:
    page = f"# Work\n{CAR}{PARTS}{BEGINS % 'shared'}"
    again = "\n:::{step} On\n:do: fit cover\n:when: gearbox=automatic\nOn.\n:::\n"
    assert findings_of({"page.md": page + again, "common.md": COMMON}) == []
