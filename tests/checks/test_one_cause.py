"""One cause, one finding: what follows from something found already is not found again."""

from __future__ import annotations

import pytest

from tests.helpers import findings_of, summary

CAR = """
```{vehicle} finch
name: Finch
```
```{parts}
bumper: {name: Bumper, held-by: bumper-bolts}
```
```{fasteners}
bumper-bolts: {name: Bolts, kind: bolt, tighten: 10 N·m}
```
"""
KIT = """
```{kit} tf-1
name: Kit
fits: {vehicle: finch}
contents:
  - {part: cooler, name: Cooler}
```
```{connections}
new-plug: {kind: plug, between: [cooler, harness]}
```
"""
PROCEDURE = """
```{procedure} fit
vehicle: finch
kit: tf-1
revision: A
```
:::{step} S
---
do:
  - disconnect new-plug
  - remove bumper-bolts, bumper
  - fit cooler
  - tighten bumper-bolts
---
{torque}`bumper-bolts` {part}`cooler` {connection}`new-plug`
:::
```{expect} Sheet
bumper-bolts: 10 N·m
```
"""
PAGES = {"car.md": CAR, "kit.md": KIT, "fit.md": PROCEDURE}


def after(page: str, old: str, new: str) -> list[tuple[str, int, str]]:
    """The findings after one change to one page."""
    assert old in PAGES[page]
    pages = {**PAGES, page: PAGES[page].replace(old, new)}
    return [(f.place.page, f.place.line, f.check) for f in findings_of(pages)]


def test_nothing_is_wrong_at_first() -> None:
    assert findings_of(PAGES) == []


@pytest.mark.parametrize(
    ("page", "old", "new", "line", "check"),
    [
        ("car.md", "bumper: {name: Bumper,", "bumper: {name: 'Bumper,", 5, "unreadable-block"),
        ("car.md", "kind: bolt", "kind: blot", 8, "unknown-word"),
        ("car.md", "tighten: 10 N·m", "tighten: 10", 8, "no-unit"),
        ("car.md", "tighten: 10 N·m", "tigten: 10 N·m", 8, "unknown-field"),
        ("car.md", "bumper-bolts: {name: Bolts, kind: bolt, tighten: 10 N·m}", "bumper-bolts: bolt", 8, "unreadable-block"),
        ("car.md", "bumper-bolts: {name", "Bumper Bolts: {name", 8, "bad-id"),
        ("car.md", "```{fasteners}", "```{fastners}", 7, "unknown-block"),
        ("car.md", "```{vehicle} finch", "```{vehicle} Finch", 1, "bad-id"),
        ("car.md", "name: Finch", "nam: Finch", 2, "unknown-field"),
        ("car.md", "name: Finch", "name: [Finch", 2, "unreadable-block"),
        ("car.md", "name: Finch\n```\n", "name: Finch\n\n", 1, "unreadable-block"),
        ("kit.md", "fits: {vehicle: finch}", "fits: {vehicle: finch", 3, "unreadable-block"),
        ("kit.md", "fits: {vehicle: finch}", "", 1, "missing-field"),
        ("kit.md", "contents:\n  - {part: cooler, name: Cooler}", "contents: [", 4, "unreadable-block"),
        ("kit.md", "{part: cooler, name: Cooler}", "{prt: cooler, name: Cooler}", 5, "missing-field"),
        ("kit.md", "kind: plug", "kind: plog", 8, "unknown-word"),
        ("fit.md", "vehicle: finch", "vehicle: finhc", 2, "unknown-id"),
        ("fit.md", "kit: tf-1", "kit: tf-2", 3, "unknown-id"),
        ("fit.md", "revision: A", "", 1, "missing-field"),
        ("fit.md", "vehicle: finch", "", 1, "missing-field"),
        ("fit.md", "vehicle: finch", "vehicle: {", 2, "unreadable-block"),
        ("fit.md", "```{procedure} fit", "```{procedure}", 1, "missing-field"),
        ("fit.md", "```{procedure} fit", "```{procedure} Fit It", 1, "bad-id"),
        ("fit.md", "```{expect} Sheet", "```{expect}", 16, "missing-field"),
    ],
)
def test_one_fault_is_one_finding(page: str, old: str, new: str, line: int, check: str) -> None:
    assert after(page, old, new) == [(page, line, check)]


def test_a_page_that_is_no_utf8_makes_no_id_of_its_own_unknown() -> None:
    found = findings_of({**PAGES, "car.md": CAR.replace("Finch", "Finch\u00e9").encode("latin-1")})
    assert [(f.place.page, f.check) for f in found] == [("car.md", "unreadable-page")]


def test_other_faults_on_the_same_page_are_still_found() -> None:
    pages = {**PAGES, "car.md": CAR.replace("kind: bolt", "kind: blot").replace("held-by", "held-bi")}
    assert summary(findings_of(pages)) == [(5, "unknown-field"), (8, "unknown-word")]


def test_a_typing_slip_beside_a_lost_entity_is_still_found() -> None:
    pages = {
        **PAGES,
        "car.md": CAR.replace("kind: bolt", "kind: blot"),
        "fit.md": PROCEDURE.replace("{part}`cooler`", "{part}`coler`"),
    }
    assert [(f.place.page, f.place.line) for f in findings_of(pages)] == [("car.md", 8), ("fit.md", 14)]
