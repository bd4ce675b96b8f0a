"""Rules and hazards on the site: at the step, in the preparation, and rebuilt when they change."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.site.building import SmallManual

if TYPE_CHECKING:
    from pathlib import Path

RULES = """# Rules

```{rule} clean-hands
---
name: Clean hands
about: [cover]
source: shop rule 2
---
Gloves *off* before {part}`cover` is touched.
```

```{hazards}
sharp-cover:
  name: Sharp cover
  signal: CAUTION
  harm: Its edge cuts.
  avoid: Hold it by its handle.
  called-by: cover
  tools: [cover hook]
  protection: [cut-proof gloves]
  when: transmission=manual
```
"""
SIGN = """```{caution} Oil
---
hazard: sharp-cover
when: transmission=manual
---
It drips.
```

Both {fastener}"""


@pytest.fixture
def small(tmp_path: Path) -> SmallManual:
    return SmallManual(tmp_path / "manual")


def test_a_step_shows_its_rules_and_what_its_hazards_ask_for(small: SmallManual) -> None:
    small.write("rules.md", RULES)
    page = small.build(fatal=True).page("lift-cover")
    before, work = page.split('id="step-1"')
    first, second = work.split('id="step-2"')
    for part in (before, first, second):
        assert part.count("Gloves off before engine cover is touched.") == 1
        assert 'href="rules.html#definition-clean-hands"' in part
    assert "cut-proof gloves (steps 1, 2)" in before
    assert "cover hook" in before
    assert "cut-proof gloves" in first
    assert 'data-when="transmission=manual"' in first


def test_its_own_page_shows_a_rule_whole(small: SmallManual) -> None:
    small.write("rules.md", RULES)
    page = small.build(fatal=True).page("rules")
    rule = page[page.index('<aside class="rule"') :].split("</aside>")[0]
    assert "<em>off</em>" in rule
    assert "Source: shop rule 2" in rule


def test_a_changed_rule_rebuilds_the_pages_that_show_it(small: SmallManual) -> None:
    small.write("rules.md", RULES)
    small.build()
    small.change("rules.md", "Gloves *off*", "Rings off")
    built = small.build()
    assert built.read == ["lift-cover", "rules"]
    assert "Rings off before" in built.page("lift-cover")
    small.write("more.md", RULES.replace("clean-hands", "dry-hands").split("```{hazards}")[0])
    assert small.build().read == ["index", "lift-cover", "more"]


def test_a_sign_for_some_cars_says_so(small: SmallManual) -> None:
    small.write("rules.md", RULES)
    small.change("lift-cover.md", "Both {fastener}", SIGN)
    page = small.build(fatal=True).page("lift-cover")
    first = page.split('id="step-1"')[1].split('id="step-2"')[0]
    assert '<aside class="signal signal-caution" data-when="transmission=manual">' in first
    assert first.count("CAUTION") == 1  # the sign covers every car that the hazard is for
