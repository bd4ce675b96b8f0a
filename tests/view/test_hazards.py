"""Hazards in the views: what must be at hand and worn, and signal words for some cars."""

from __future__ import annotations

from procedures_lib.fronts.formats.procedure_json import procedure_json
from procedures_lib.fronts.paper.card import make_card
from procedures_lib.language.variants import ALWAYS, read_condition
from procedures_lib.manual import Manual, Plan
from procedures_lib.view.preparation import preparation
from procedures_lib.view.step import steps_in
from procedures_lib.view.uses import uses_of
from tests.helpers import findings_of, manual_from

PAGE = """
# Work

```{vehicle} finch
name: Finch
options: {gearbox: [manual, automatic]}
fixed: [body, pump]
```

```{connections}
feed-line: {name: Feed line, kind: line, between: [pump, body], carries: fuel}
```

```{parts}
spring: {name: Spring}
```

```{hazards}
fuel-pressure: {tools: [catch bottle]}
spring-energy: {called-by: spring, tools: [spring compressor], when: gearbox=automatic}
```

```{procedure} work
vehicle: finch
revision: A
```

::::{step} Open
---
do:
  - relieve fuel-pressure
  - isolate battery
  - disconnect feed-line
tools: [rag, catch bottle]
id: opened
---
:::{warning} Fuel
---
hazard: fuel-pressure
when: gearbox=manual
---
Mind your eyes.
:::

Off.
::::

::::{step} Spring out and in
---
do:
  - remove spring
  - fit spring
---
For people certified for it.
::::

:::{step} Close
---
do:
  - connect feed-line
  - restore battery
  - restore fuel-pressure
  - test leaks fuel
---
On.
:::
"""


def planned(text: str = PAGE) -> tuple[Manual, Plan]:
    manual = manual_from({"page.md": text})
    plan = manual.plan_of_page("page.md")
    assert plan is not None
    return manual, plan


def test_the_page_is_clean() -> None:
    assert findings_of(PAGE) == []


def test_tools_and_protection_of_hazards_are_laid_out() -> None:
    manual, plan = planned()
    ready = preparation(uses_of(plan), manual.shop)
    tools = {tool.name: tool.steps for tool in ready.tools}
    # Of the built-in hazard and of the page together; what the step names too stands once.
    assert tools == {"rag": (1,), "catch bottle": (1, 3), "spring compressor": (2,)}
    worn = [(each.name, each.steps, str(each.when)) for each in ready.protection]
    assert worn == [("eye protection", (1, 2, 3), "")]
    manual_cars = uses_of(plan, read_condition("gearbox=manual"))
    assert [p.steps for p in preparation(manual_cars, manual.shop).protection] == [(1, 3)]


def test_a_step_says_what_it_does_not_begin_without() -> None:
    _, plan = planned()
    first, second, _ = steps_in(uses_of(plan))
    assert (first.tools, first.protection) == (("rag", "catch bottle"), ("eye protection",))
    assert second.tools == ("spring compressor",)


def test_a_sign_for_some_cars_shows_its_hazard_there_only() -> None:
    _, plan = planned()
    first = steps_in(uses_of(plan))[0]
    assert [hazard.id for hazard in first.called] == ["fuel-pressure", "battery"]
    everywhere = planned(PAGE.replace("when: gearbox=manual\n---\nMind", "---\nMind"))[1]
    assert [h.id for h in steps_in(uses_of(everywhere))[0].called] == ["battery"]


def test_card_and_json_leave_out_the_signs_of_other_cars() -> None:
    manual, plan = planned()
    for when, count in (("gearbox=manual", 1), ("gearbox=automatic", 0)):
        cars = read_condition(when)
        signals = make_card(manual, plan, cars).steps[0].signals
        assert [s.lines for s in signals if s.title == "Fuel"] == [("Mind your eyes.",)] * count
        assert len(procedure_json(manual, plan, cars)["steps"][0]["signals"]) == count
    both = make_card(manual, plan, ALWAYS)
    assert [s.lines[0] for s in both.steps[0].signals if s.title == "Fuel"] == [
        "Only: gearbox=manual"
    ]
    assert both.protection == ("eye protection (steps 1, 2, 3)",)


def test_the_json_says_what_is_worn() -> None:
    manual, plan = planned()
    value = procedure_json(manual, plan)
    assert value["protection"] == [{"name": "eye protection", "steps": [1, 2, 3], "when": ""}]
    assert value["steps"][1]["protection"] == ["eye protection"]
    spring = next(h for h in value["hazards"] if h["id"] == "spring-energy")
    assert (spring["tools"], spring["when"]) == (["spring compressor"], "gearbox=automatic")


def test_an_impossible_sign_is_found() -> None:
    for bad, check in (("gearbox=none", "unknown-option"), ("not gearbox", "unreadable-condition")):
        text = PAGE.replace("when: gearbox=manual\n---\nMind", f"when: {bad}\n---\nMind")
        assert [f.check for f in findings_of(text)][:1] == [check]


def test_a_sign_in_a_step_has_its_hazard_listed_before_step_1() -> None:
    sign = ":::{warning} Hot\n:hazard: coolant-heat\nWait.\n:::\n\nOff."
    manual, plan = planned(PAGE.replace("Off.", sign))
    hazards = {met.hazard.id: met.steps for met in preparation(uses_of(plan), manual.shop).hazards}
    assert hazards["coolant-heat"] == (1,)
    assert "coolant-heat" in procedure_json(manual, plan)["steps"][0]["hazards"]


def test_hazards_of_other_cars_are_left_out() -> None:
    manual, plan = planned(PAGE.replace("For people certified", "For those certified"))
    uses = uses_of(plan, read_condition("gearbox=manual"))
    assert "spring-energy" not in {met.hazard.id for met in preparation(uses, manual.shop).hazards}
    assert steps_in(uses)[1].tools == ()
    card = make_card(manual, plan, read_condition("gearbox=manual"))
    assert card.steps[1].signals == ()
