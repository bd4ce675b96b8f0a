"""Rules: read as blocks, about words that mean something, shown by some step or cited."""

from __future__ import annotations

import pytest

from procedures_lib.fronts.formats.procedure_json import procedure_json
from procedures_lib.fronts.paper.card import make_card
from procedures_lib.judging.checks.rule_uses import rules_used
from procedures_lib.judging.compare import compare
from procedures_lib.judging.compare.change import Group
from procedures_lib.language.entities.car import CARRIES, PART_KINDS
from procedures_lib.language.entities.hazard import BUILTIN_HAZARDS
from procedures_lib.language.entities.verbs import VERBS
from procedures_lib.language.entities.work import Rule
from procedures_lib.language.variants import ALWAYS, read_condition
from procedures_lib.manual import Manual
from procedures_lib.view.step import rules_of_step
from tests.demo import demo
from tests.helpers import content_from, findings_of, manual_from

RULES = """
# Rules of the shop

```{rule} no-flames
---
name: No flames near open fuel
about: [fuel-pressure]
source: shop rule 4
---
Nobody smokes within {q}`5 m`, and no {part}`pump` is tried dry.

- Lamps stay cold.
```
"""
WORK = """
# Work

```{vehicle} finch
name: Finch
options: {gearbox: [manual, automatic]}
fixed: [body]
```

```{parts}
pump: {name: Pump}
shield: {name: Shield}
```

```{connections}
feed-line: {name: Feed line, kind: line, between: [pump, body], carries: fuel}
```

```{procedure} work
vehicle: finch
revision: A
```

```{preparation}
```

:::{step} Look
:do: inspect shield
Look.
:::

:::{step} Open
---
do:
  - relieve fuel-pressure
  - isolate battery
  - disconnect feed-line
when: gearbox=manual
---
Off.
:::

:::{step} Close
---
do:
  - connect feed-line
  - restore battery
  - restore fuel-pressure
  - test leaks fuel
when: gearbox=manual
---
On.
:::
"""
PAGES = {"procedures/work.md": WORK, "common/rules.md": RULES}


def pages(old: str = "", new: str = "") -> dict[str, str]:
    assert not old or any(old in text for text in PAGES.values())
    return {name: text.replace(old, new) if old else text for name, text in PAGES.items()}


def checks(old: str = "", new: str = "") -> list[tuple[str, str, int]]:
    found = findings_of(pages(old, new))
    return [(each.check, each.place.page, each.place.line) for each in found]


def test_a_rule_is_an_entity_with_its_text() -> None:
    content = content_from(RULES)
    (rule,) = content.entities
    assert isinstance(rule, Rule)
    assert (rule.id, rule.name, rule.source) == ("no-flames", "No flames near open fuel",
                                                 "shop rule 4")  # fmt: skip
    assert list(map(str, rule.about)) == ["fuel-pressure"]
    assert rule.text.startswith("Nobody smokes")
    assert content.findings == ()


def test_a_page_of_rules_alone_is_seen_by_all_procedures() -> None:
    assert checks() == []
    manual = manual_from(PAGES)
    plan = manual.plan_of_page("procedures/work.md")
    assert plan is not None
    value = procedure_json(manual, plan)
    assert [step["rules"] for step in value["steps"]] == [[], ["no-flames"], ["no-flames"]]
    (rule,) = value["rules"]
    assert rule["text"] == ["Nobody smokes within 5 m (16.5 ft), and no pump is tried dry.",
                            "• Lamps stay cold."]  # fmt: skip
    assert (rule["steps"], rule["when"], rule["source"]) == (
        [2, 3],
        "gearbox=manual",
        "shop rule 4",
    )
    assert procedure_json(manual, plan, read_condition("gearbox=automatic"))["rules"] == []


@pytest.mark.parametrize("about", ["disconnect", "feed-line", "fuel", "battery"])
def test_a_rule_is_about_hazards_verbs_things_and_what_is_carried(about: str) -> None:
    manual = manual_from(pages("[fuel-pressure]", f"[{about}]"))
    plan = manual.plan_of_page("procedures/work.md")
    assert plan is not None
    card = make_card(manual, plan, ALWAYS)
    assert [rule.name for rule in card.steps[1].rules] == ["No flames near open fuel"]
    assert card.steps[0].rules == ()
    assert [rule.name for rule in card.rules] == ["No flames near open fuel"]


@pytest.mark.parametrize(
    ("old", "new", "check", "line"),
    [
        ("[fuel-pressure]", "[fuel-presure]", "unknown-id", 6),
        ("[fuel-pressure]", "[coolant-heat]", "unused-entity", 3),
        ("about: [fuel-pressure]\n", "", "unused-entity", 3),
        ("about:", "abuot:", "unknown-field", 6),
        ("{q}`5 m`", "5 m", "hand-typed-number", 9),
        ("{part}`pump`", "{part}`pomp`", "unknown-id", 9),
        ("- Lamps stay cold.", ":::{notice} Lamps\nCold.\n:::", "unreadable-block", 11),
        ("- Lamps stay cold.", ":::{raw} html\n<b>\n:::", "raw-html", 11),
        ("- Lamps stay cold.", "<script>alert(1)</script>", "raw-html", 11),
        ("- Lamps stay cold.", "![x](https://a.example/x.png)", "foreign-address", 11),
    ],
)
def test_one_slip_in_a_rule_is_one_finding(old: str, new: str, check: str, line: int) -> None:
    assert checks(old, new) == [(check, "common/rules.md", line)]


def test_a_rule_that_is_cited_is_used() -> None:
    cited = WORK.replace("Look.", "Mind {rule}`no-flames`.")
    about_nothing = RULES.replace("about: [fuel-pressure]\n", "")
    assert findings_of({"procedures/work.md": cited, "common/rules.md": about_nothing}) == []
    manual = manual_from({"procedures/work.md": cited, "common/rules.md": about_nothing})
    plan = manual.plan_of_page("procedures/work.md")
    assert plan is not None
    said = make_card(manual, plan, ALWAYS).steps[0].prose
    assert said == ("Mind “No flames near open fuel”.",)
    assert [f.check for f in findings_of(WORK.replace("Look.", "Mind {rule}`no-flame`."))] == [
        "unknown-id"
    ]


def test_a_rule_without_words_says_nothing() -> None:
    empty = "# Rules\n\n```{rule} quiet\n:about: [disconnect]\n```\n"
    found = findings_of({"procedures/work.md": WORK, "common/rules.md": empty})
    assert [(f.check, f.place.line) for f in found] == [("missing-field", 3)]


def test_a_changed_rule_touches_safety() -> None:
    old, new = manual_from(PAGES), manual_from(pages("Nobody smokes", "Nobody lights a match"))
    groups = {(change.group, change.topic) for change in compare(old, new).changes}
    assert (Group.SAFETY, "text") in groups
    broken = manual_from(pages("Nobody smokes", "Nobody\nsmokes"))
    assert compare(old, broken).changes == ()
    gone = manual_from({**PAGES, "common/rules.md": "# Rules of the shop\n\nNone.\n"})
    assert any(
        change.group is Group.SAFETY and change.topic == "rule"
        for change in compare(old, gone).changes
    )


def rules_about_every_word(manual: Manual) -> str:
    """A page with a rule for each word that one can be about."""
    words = {*manual.known_ids, *VERBS, *BUILTIN_HAZARDS, *CARRIES, *PART_KINDS}
    rules = "".join(
        f"```{{rule}} about-{number}\n---\nname: About it\nabout: [{word}]\nsource: rule\n---\n"
        "Words.\n```\n\n"
        for number, word in enumerate(sorted(words))
    )
    return f"# Rules\n\n{rules}"


def test_rules_used_are_those_of_every_step_of_every_procedure() -> None:
    contents = [*demo().contents.values()]
    every = content_from(rules_about_every_word(demo()), "common/every-word.md")
    manual = Manual([*contents, every], demo().shop)
    steps = [(step, plan) for plan in manual.plans() for step in plan.steps]
    shown = {(r.place.page, r.id) for step, plan in steps for r in rules_of_step(step, plan)}
    of_words = {key for key in rules_used(manual) if key[0] == every.page.name}
    assert of_words == {key for key in shown if key[0] == every.page.name}
    assert 100 < len(of_words) < len(every.entities)
