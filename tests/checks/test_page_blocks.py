"""Blocks that a page lacks, or that stand below another step than they tell of."""

from __future__ import annotations

from tests.helpers import findings_of

CAR = """# Car
```{vehicle} car
name: Car
fixed: [body]
```
```{parts}
hub: {name: Hub, held-by: hub-bolts}
```
```{fasteners}
hub-bolts: {name: Bolts, kind: bolt, count: 4, thread: M12x1.5, class: "10.9", head: hex 17 mm,
  condition: dry, tighten: 70 N·m, source: S}
```
"""
PAGE = """# Work
```{procedure} %s
vehicle: car
revision: A
```
:::{step} Off
:do: remove hub-bolts, hub
:id: off
Off.
:::
%s
:::{step} On
---
do:
  - fit hub
  - tighten hub-bolts
id: hub-on
---
On.
:::
%s
"""
BLOCKS = "\n".join(f"```{{{name}}}\n```" for name in ("torque-table", "close-up"))


def lacking(last: str, others: int = 5) -> list[str]:
    pages = {f"{n}.md": PAGE % (f"work-{n}", "", BLOCKS) for n in range(others)}
    pages |= {"car.md": CAR, "last.md": last}
    return [found.message for found in findings_of(pages, "block-missing")]


def test_a_block_that_all_other_pages_have() -> None:
    lost = PAGE % ("last", "", "```{torque-table}\n```")
    said = "the page of `last` has no {close-up}, as 5 of 6 pages of procedures have"
    assert lacking(lost) == [said]
    assert lacking(PAGE % ("last", "", BLOCKS)) == []


def test_a_custom_of_few_pages_is_none() -> None:
    assert lacking(PAGE % ("last", "", ""), others=4) == []


def test_a_procedure_that_tightens_nothing_needs_no_torque_table() -> None:
    look = "# Look\n```{procedure} look\nvehicle: car\nrevision: A\n```\n```{close-up}\n```\n"
    assert lacking(look) == []


def open_after(name: str, above: bool = True) -> list[str]:
    block = f"```{{open-items}}\n:after: {name}\n```"
    page = PAGE % (("work", block, "") if above else ("work", "", block))
    found = findings_of({"car.md": CAR, "page.md": page}, "after-another-step")
    return [each.hint for each in found]


def test_a_list_below_another_step() -> None:
    assert open_after("off") == []
    assert open_after("hub-on") == ["write `:after: off`, or move it"]
    assert open_after("off", above=False) == []
