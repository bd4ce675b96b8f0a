"""What a step needs at hand: its verbs, joints and words against its lists; hands and hazards.

Which gear which work asks for is common practice, no source.
"""

from __future__ import annotations

import re

import pytest

from procedures_lib.data_tables import toml_table
from procedures_lib.judging import checks as judging
from tests.helpers import findings_of

CAR = """
```{vehicle} car
name: Car
fixed: [body, engine]
```
```{parts}
gearbox: {name: Gearbox, mass: 41 kg, needs-support: true}
cover: {name: Cover, held-by: cover-bolts}
box: {name: Box}
pin: {name: Cotter pin, kind: cotter-pin, reuse: true}
```
```{connections}
hose: {name: Air hose, kind: hose, between: [cover, engine]}
feed: {name: Feed, kind: line, between: [box, engine], carries: fuel}
plug: {name: Plug, kind: plug, between: [box, engine], alike: plugs}
```
```{openings}
mouth: {name: Mouth, exposed-by: hose}
```
```{fasteners}
cover-bolts: {name: Cover bolts, kind: bolt, thread: M6x1.0, class: "8.8", head: hex 10 mm,
  condition: CONDITION, tighten: 10 N·m, source: S}
```
```{fluids}
oil: {name: Axle oil, kind: gear-oil, spec: 75W-90}
```
"""
HEAD = """
```{procedure} work
vehicle: car
revision: A
```
"""
OTHERS = (
    """
:::{step} Look
:do: inspect box
:tools: [inspection lamp]
At it.
:::
"""
    * 4
)


def asked(
    do: str, prose: str = "So.", lists: str = "", *, others: str = OTHERS, condition: str = "dry"
) -> list[str]:
    """The hints of what a step lacks, on a page that lists tools in the other steps."""
    step = f":::{{step}} Work\n---\ndo: [{do}]\n{lists}\n---\n{prose}\n:::\n"
    page = CAR.replace("CONDITION", condition) + HEAD + others + step
    return [found.hint for found in findings_of(page, "not-at-hand")]


CLOSED = "add what closes it: a cap, a plug, tape to its `tools` or `supplies`"


@pytest.mark.parametrize(
    ("do", "lists", "lacks"),
    [
        ("cover mouth", "", [CLOSED]),
        ("cover mouth", "supplies: [pipe cap]", []),
        ("cover mouth", "tools: [hose plugs]", []),
        ("tag plug", "supplies: [masking tape]", []),
        ("tag plug", "", ["add tags, tape or a marker to its `tools` or `supplies`"]),
        ("clean box", "", []),
        ("measure shaft runout", "tools: [steel rule]",
         ["add a dial gauge or the like to its `tools` or `supplies`"]),
        ("measure shaft runout", "tools: [dial indicator]", []),
        ("measure fuel level", "", []),
        ("fit pin", "", ["add cutters or pliers to its `tools` or `supplies`"]),
        ("fit pin", "tools: [side cutters]", []),
        ("apply a drop of oil", "", []),
        ("apply marking compound", "", []),
        ("apply marking compound", "supplies: [Marking compound]", []),
        ("fill oil", "tools: [oil pump]", ["add what is filled in to its `supplies`: 75W-90"]),
        ("fill oil", "tools: [oil pump]\nsupplies: [axle oil]", []),
        ("connect feed", "", ["add gloves to its `tools` or `supplies`",
                              "add safety glasses to its `tools` or `supplies`"]),
        ("connect feed", "tools: [goggles, nitrile gloves]", []),
    ],
)  # fmt: skip
def test_what_a_verb_asks_for(do: str, lists: str, lacks: list[str]) -> None:
    assert asked(do, lists=lists) == lacks


def test_two_hold_by_hand_what_they_can_lift() -> None:
    light = CAR.replace("mass: 41 kg, needs-support: true", "mass: 12 kg")
    step = ":::{step} Hold\n---\ndo: support gearbox\npeople: PEOPLE\n---\nSo.\n:::\n"

    def held(car: str, people: str) -> int:
        page = car.replace("CONDITION", "dry") + HEAD + OTHERS + step.replace("PEOPLE", people)
        return len(findings_of(page, "not-at-hand"))

    assert (held(light, "1"), held(light, "2"), held(CAR, "2")) == (1, 0, 1)


def test_what_a_joint_goes_in_with() -> None:
    do = "tighten cover-bolts"
    lacks = ["add thread-locker or sealant to its `tools` or `supplies`"]
    assert asked(do, condition="thread-locker") == lacks
    assert asked(do, condition="thread-locker", lists="supplies: [Thread locker 10 mL]") == []
    assert asked(do, condition="dry") == []


@pytest.mark.parametrize(
    ("prose", "lists"),
    [
        ("Left and right in chalk.", "supplies: [chalk]"),
        ("Jack under it.", "tools: [trolley jack]"),
        ("Lamp in, finger round.", "tools: [inspection lamp]"),
        ("Dial square to a tooth.", "tools: [dial gauge]"),
        ("Gloves, and the back of the hand.", "tools: [gloves]"),
        ("One with the extinguisher.", "tools: [fire extinguisher]"),
        ("A touch of grease in the cup.", "supplies: [grease]"),
        ("The scan tool shows it.", "tools: [scan tool]"),
        ("Read the tester.", "tools: [battery tester]"),
    ],
)
def test_what_the_words_ask_for(prose: str, lists: str) -> None:
    assert len(asked("inspect box", prose)) == 1
    assert asked("inspect box", prose, lists) == []


@pytest.mark.parametrize(
    "prose",
    ["Never a puller.", "Without a scraper.", "Not with a hammer.", "No grease on the seat.",
     "The earth strap is behind it.", "By the chalk.", "Jack away."],
)  # fmt: skip
def test_what_is_not_used_is_not_asked_for(prose: str) -> None:
    assert asked("inspect box", prose) == []


def test_a_page_that_lists_little_is_left_alone() -> None:
    few = OTHERS.replace(":tools: [inspection lamp]\n", "")
    assert asked("cover mouth", "Jack under it.", others=few) == []


def test_a_tool_that_a_role_names_is_in_the_list_of_its_step() -> None:
    first = ":::{step} A\n:tools: [press]\nIn.\n:::\n"
    others = OTHERS.replace(":tools: [inspection lamp]\n", "")
    found = asked("inspect box", "Out with the {tool}`press`.", others=others + first)
    assert found == ["add `press` to its `tools` or `supplies`"]
    assert asked("inspect box", "{tool}`press`.", "tools: [press]", others=others + first) == []


def test_what_is_put_on_is_what_the_kit_has_for_it() -> None:
    others = OTHERS + ":::{step} A\n:supplies: [Marking compound]\n:tools: [awl]\nSo.\n:::\n"
    found = asked("apply marking compound", others=others)
    assert found == ["add it to its `tools` or `supplies`"]
    assert asked("apply marking compound", lists="supplies: [Compound]", others=others) == []


def test_what_a_rule_of_the_shop_speaks_of() -> None:
    rule = """
```{rule} no-sparks
---
about: [feed]
source: shop rule 4
---
An extinguisher within reach.
```
"""
    lists = "tools: [goggles, nitrile gloves, inspection lamp]"
    found = asked("connect feed", lists=lists, others=OTHERS + rule)
    assert found == ["add a fire extinguisher to its `tools` or `supplies`"]
    at_hand = OTHERS.replace("inspection lamp", "inspection lamp, fire extinguisher")
    assert asked("connect feed", lists=lists, others=at_hand + rule) == []


# -- hands -----------------------------------------------------------------------------------------


def hands(page: str) -> list[tuple[str, int]]:
    found = findings_of(CAR.replace("CONDITION", "dry") + HEAD + page)
    named = [f for f in found if f.check in {"prose-disagrees", "not-at-hand"}]
    return [(f.check, f.place.line - 34) for f in named]


@pytest.mark.parametrize(
    ("prose", "said"),
    [
        ("Meanwhile your\nhelper watches.", True),
        ("One of you turns.", True),
        ("One holds it, the other turns.", True),
        ("The one at the jack lowers when the other has called clear.", True),
        ("One after the other.", False),
        ("It holds by itself.", False),
        ("The other way round.", False),
    ],
)
def test_how_a_step_speaks_of_a_second_one(prose: str, said: bool) -> None:
    step = ":::{step} Do\n---\ndo: inspect box\nPEOPLE\n---\n" + prose + "\n:::\n"
    assert bool(hands(step.replace("PEOPLE", "id: a"))) == said
    assert hands(step.replace("PEOPLE", "people: 2")) == []


def test_a_hazard_that_asks_for_two_people_gets_them() -> None:
    hazard = """
```{hazards}
hanging-box: {name: Box on its jack, signal: WARNING, harm: It tips., called-by: box,
  avoid: "Strap on, and two people."}
```
"""
    step = ":::{step} Off\n:do: remove box\n:people: 1\nSo.\n:::\n"
    assert [check for check, _ in hands(hazard + step)] == ["not-at-hand"]
    assert hands(hazard + step.replace("people: 1", "people: 2")) == []


def test_what_two_took_off_two_put_on() -> None:
    off = ":::{step} Off\n:do: [support gearbox, remove gearbox]\n:people: 2\nSo.\n:::\n"
    on = ":::{step} On\n:do: [fit gearbox, release gearbox]\n:people: 1\nSo.\n:::\n"
    assert [check for check, _ in hands(off + on)] == ["not-at-hand"]
    assert hands(off + on.replace("people: 1", "people: 2")) == []


def test_each_row_of_the_table_can_be_used() -> None:
    table = toml_table(judging.__name__, "gear.toml")
    assert all(row["any"] and row["called"] for row in table["verb"] + table["condition"])
    for row in table["words"]:
        assert re.compile(row["prose"])
        assert any(word in row["prose"] for word in row["first"]), row
