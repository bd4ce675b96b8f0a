"""One cause, one finding: what follows from something found already is not found again.

The pages are walked too, so that a slip in a word may not come back as an open item.
"""

from __future__ import annotations

import pytest

from tests.helpers import findings_of

CAR = """
```{vehicle} finch
name: Finch
fixed: [body, harness]
options: {transmission: [manual, automatic]}
```
```{parts}
bumper: {name: Bumper, held-by: bumper-bolts}
bracket: {name: Bracket, behind: bumper, held-by: bracket-bolts}
```
```{connections}
fog-plug: {name: Fog plug, kind: plug, between: [bumper, harness], carries: signal}
```
```{fasteners}
bumper-bolts:
  name: Bolts
  kind: bolt
  count: 2
  thread: M6x1.0
  class: "8.8"
  condition: dry
  tighten: 8 N·m
  source: Sheet 1
bracket-bolts:
  name: Bolts
  kind: bolt
  count: 2
  thread: M6x1.0
  class: "8.8"
  condition: dry
  tighten: 8 N·m
  source: Sheet 1
```
"""
KIT = """
```{kit} tf-1
name: Kit
fits: {vehicle: finch}
contents:
  - {part: bracket-2, name: New bracket, replaces: bracket}
returns: [bracket]
```
"""
PROCEDURE = """
# Fit it
```{procedure} fit
vehicle: finch
kit: tf-1
revision: A
```
```{preparation}
```
:::{step} Off
---
do:
  - disconnect fog-plug
  - remove bumper-bolts, bumper
  - remove bracket-bolts, bracket
  - return bracket
---
Undo.
:::
:::{step} On
---
do:
  - fit bracket-2
  - tighten bracket-bolts
  - fit bumper
  - tighten bumper-bolts
  - connect fog-plug
---
Bring {torque}`bumper-bolts` up.
:::
```{expect} Sheet
bumper-bolts: 8 N·m
```
"""
PAGES = {"car.md": CAR, "kit.md": KIT, "fit.md": PROCEDURE}

ONE_FAULT = [
    # In the car's own blocks.
    ("car.md", "bumper: {name: Bumper,", "bumper: {name: 'Bumper,", 7, "unreadable-block"),
    ("car.md", "held-by: bumper-bolts", "held-by: bumper-bolt", 7, "unknown-id"),
    ("car.md", "held-by: bumper-bolts", "hold-by: bumper-bolts", 7, "unknown-field"),
    ("car.md", "behind: bumper", "behind: bmper", 8, "unknown-id"),
    ("car.md", "kind: plug", "kind: plog", 11, "unknown-word"),
    ("car.md", "kind: bolt", "kind: blot", 16, "unknown-word"),
    ("car.md", "kind: bolt", "knid: bolt", 16, "unknown-field"),
    ("car.md", "tighten: 8 N·m", "tighten: 8", 21, "no-unit"),
    ("car.md", "tighten: 8 N·m", "tigten: 8 N·m", 21, "unknown-field"),
    ("car.md", 'class: "8.8"', 'class: "8.8', 19, "unreadable-block"),
    ("car.md", "bumper-bolts:\n", "Bumper Bolts:\n", 14, "bad-id"),
    ("car.md", "```{fasteners}", "```{fastners}", 13, "unknown-block"),
    ("car.md", "```\n```{connections}", "```{connections}", 6, "unreadable-block"),
    # In its head.
    ("car.md", "```{vehicle} finch", "```{vehicle} Finch", 1, "bad-id"),
    ("car.md", "name: Finch", "nam: Finch", 2, "unknown-field"),
    ("car.md", "name: Finch", "name: [Finch", 2, "unreadable-block"),
    ("car.md", "[manual, automatic]}\n```\n", "[manual, automatic]}\n", 1, "unreadable-block"),
    (
        "car.md",
        "{transmission: [manual, automatic]}",
        "{transmission: [manual}",
        4,
        "unreadable-block",
    ),
    # On the kit page.
    ("kit.md", "fits: {vehicle: finch}", "fits: {vehicle: finch", 3, "unreadable-block"),
    ("kit.md", "fits: {vehicle: finch}\n", "", 1, "missing-field"),
    ("kit.md", "name: Kit", "name: [Kit", 2, "unreadable-block"),
    ("kit.md", "{part: bracket-2", "{prt: bracket-2", 5, "missing-field"),
    ("kit.md", "replaces: bracket", "replaces: braket", 5, "unknown-id"),
    ("kit.md", "returns: [bracket]", "returns: [braket]", 6, "unknown-id"),
    # In the procedure's head.
    ("fit.md", "vehicle: finch", "vehicle: finhc", 3, "unknown-id"),
    ("fit.md", "vehicle: finch", "vehicle: {", 3, "unreadable-block"),
    ("fit.md", "vehicle: finch\n", "", 2, "missing-field"),
    ("fit.md", "kit: tf-1", "kit: tf-2", 4, "unknown-id"),
    ("fit.md", "revision: A\n", "", 2, "missing-field"),
    ("fit.md", "```{procedure} fit", "```{procedure}", 2, "missing-field"),
    ("fit.md", "```{procedure} fit", "```{procedure} Fit It", 2, "bad-id"),
    # In its steps.
    ("fit.md", "- disconnect fog-plug", "- disconect fog-plug", 12, "unknown-verb"),
    ("fit.md", "- connect fog-plug", "- conect fog-plug", 26, "unknown-verb"),
    ("fit.md", "- connect fog-plug", "- connect fog-plugs", 26, "unknown-id"),
    ("fit.md", "- fit bumper\n", "- fit bumpr\n", 24, "unknown-id"),
    ("fit.md", "- tighten bumper-bolts", "- remove fog-plug", 25, "wrong-verb"),
    ("fit.md", "do:\n  - fit", "do\n  - fit", 21, "unreadable-block"),
    ("fit.md", "do:\n  - disconnect", "do: {\n  - disconnect", 11, "unreadable-block"),
    ("fit.md", ":::{step} On", ":::{stepp} On", 19, "unknown-block"),
    ("fit.md", "Undo.\n:::\n", "Undo.\n", 9, "unreadable-block"),
    ("fit.md", "```{expect} Sheet", "```{expect}", 30, "missing-field"),
    ("fit.md", "bumper-bolts: 8 N·m", "bumper-bolts: 8", 31, "no-unit"),
]


def test_nothing_is_wrong_at_first() -> None:
    assert findings_of(PAGES) == []


@pytest.mark.parametrize(("page", "old", "new", "line", "check"), ONE_FAULT)
def test_one_fault_is_one_finding(page: str, old: str, new: str, line: int, check: str) -> None:
    assert old in PAGES[page]
    found = findings_of({**PAGES, page: PAGES[page].replace(old, new, 1)})
    assert [(f.place.page, f.place.line, f.check) for f in found] == [(page, line, check)]
    assert found[0].hint


def test_a_page_that_is_no_utf8_makes_no_id_of_its_own_unknown() -> None:
    found = findings_of({**PAGES, "car.md": CAR.replace("Finch", "Finch\u00e9").encode("latin-1")})
    assert [(f.place.page, f.check) for f in found] == [("car.md", "unreadable-page")]


def test_other_faults_beside_a_lost_entity_are_still_found() -> None:
    pages = {
        "car.md": CAR.replace("kind: bolt", "kind: blot", 1).replace("held-by", "held-bi", 1),
        "kit.md": KIT,
        "fit.md": PROCEDURE.replace("Undo.", "Undo {part}`bumpr`."),
    }
    found = [(f.place.page, f.place.line, f.check) for f in findings_of(pages)]
    assert found == [
        ("car.md", 7, "unknown-field"),
        ("car.md", 16, "unknown-word"),
        ("fit.md", 17, "unknown-id"),
    ]
