"""Manuals by a writer who had the page language only: correct ones are clean, slips are found.

The vehicles, the kits and the numbers are invented. Which check each slip must give was written
down before the program was asked, from the page language and the list of checks alone; the line and
the variants were taken from the program, and read over. Whoever wrote the blower, the brakes and
the hubs knew the program.
"""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from tests.helpers import findings_of

_HERE = Path(__file__).parent
_MANUALS = sorted(folder.name for folder in (_HERE / "manuals").iterdir())
_FAULTS = tomllib.loads((_HERE / "faults.toml").read_text(encoding="utf-8"))["fault"]


def pages_of(manual: str) -> dict[str, str]:
    folder = _HERE / "manuals" / manual
    files = sorted(folder.rglob("*.md"))
    return {str(file.relative_to(folder)): file.read_text(encoding="utf-8") for file in files}


def changed(pages: dict[str, str], changes: list[list[str]]) -> dict[str, str]:
    for old, new in changes:
        page = next(name for name, text in pages.items() if old in text)
        pages = {**pages, page: pages[page].replace(old, new, 1)}
    return pages


@pytest.mark.parametrize("manual", _MANUALS)
def test_a_correct_manual_is_clean(manual: str) -> None:
    assert findings_of(pages_of(manual)) == []


@pytest.mark.parametrize("fault", _FAULTS, ids=lambda fault: f"{fault['manual']}-{fault['finds']}")
def test_one_slip_is_one_finding_at_its_place(fault: dict[str, Any]) -> None:
    found = findings_of(changed(pages_of(fault["manual"]), fault["changes"]))
    assert [(f.check, f.place.page, f.place.line, f.variants) for f in found] == [
        (fault["finds"], fault["page"], fault["line"], fault["variants"])
    ]


@pytest.mark.parametrize(
    ("manual", "old", "new"),
    [
        ("oil", "- cool engine", "- cool coolant-heat"),
        ("radiator", "restore coolant-heat", "restore engine"),
        ("oil", "kind: crush-washer", "kind: crush washer"),
        ("bearing", "kind: cotter-pin", "kind: cotter pin"),
        ("fuel", "kind: o-ring", "kind: O-ring"),
        ("oil", "tools: [axle stands]", "tools: [trolley jack]\nid: up"),
    ],
)
def test_other_words_for_the_same(manual: str, old: str, new: str) -> None:
    pages = changed(pages_of(manual), [[old, new]])
    if "trolley" in new:
        assert [f.check for f in findings_of(pages)] == ["under-unsupported-car"]
        pages = changed(pages, [["Rock the car", "Let it down on stands rated for the load"]])
    assert findings_of(pages) == []


def test_a_vehicles_own_bolts_come_new_with_the_kit() -> None:
    pages = changed(
        pages_of("clutch"),
        [
            ["number: L-3, qty: 6}", "number: L-3, qty: 6}\n  - {fastener: prop-bolts, qty: 4}"],
            ["do: remove prop-bolts, propshaft", "do:\n- remove prop-bolts, propshaft\n"
             "- discard prop-bolts"],
        ],
    )  # fmt: skip
    assert findings_of(pages) == []


def test_work_for_certified_people_is_handed_over_in_words() -> None:
    said = "Follow the vehicle maker's procedure; certified people only."
    pages = changed(
        pages_of("seat"), [[said, "Mind it."], [" The vehicle maker's procedure", " It"]]
    )
    assert [f.check for f in findings_of(pages)] == ["licensed-work"]


def test_a_pedal_test_before_the_bleeding_is_not_blamed_as_well() -> None:
    pages = changed(pages_of("clutch"), [["  - bleed clutch-fluid\n", ""]])
    assert [f.check for f in findings_of(pages)] == ["left-unbled"]


def test_a_visit_in_which_sharing_gets_in_the_way_shares_less() -> None:
    # Both procedures end with the battery and the pressure, each in steps of its own.
    pages = pages_of("fuel")
    assert any("procedures: [change-filter, fit-lark-pump]" in text for text in pages.values())
    assert findings_of(pages) == []


def test_a_visit_does_not_repeat_what_one_procedure_has() -> None:
    bolts = "  - {fastener: upper-160, number: ALT-02, name: Upper bolts, qty: 2}\n"
    pages = changed(pages_of("alternator"), [[bolts, ""]])
    found = findings_of(pages)
    assert [(f.check, f.place.page) for f in found] == [("not-in-kit", "procedures/swap.md")]


def test_an_impossible_step_is_all_that_is_said() -> None:
    when = "when: not (transmission=manual or cooling=heavy-duty)"
    for instead, check in (
        ("when: not (gearbox=manual or cooling=heavy-duty)", "unknown-option"),
        ("when: transmission=manual and transmission=automatic", "never-true"),
    ):
        pages = changed(pages_of("radiator"), [[when, instead]])
        assert [f.check for f in findings_of(pages)] == [check]


def test_fitted_twice_is_one_finding_with_its_bolts() -> None:
    off = "do: remove prop-bolts, propshaft\nwhen: driveline"
    pages = changed(pages_of("clutch"), [[off + " in [rear, four-wheel]", off + "=rear"]])
    assert [(f.check, f.variants) for f in findings_of(pages)] == [
        ("not-reachable", "transmission=manual and driveline=four-wheel"),
        ("nothing-to-undo", "transmission=automatic and driveline=four-wheel"),
    ]
