"""The box against the rest: what goes back, what takes whose place, its fuel, its revision."""

from __future__ import annotations

import pytest

from tests.helpers import findings_of

PAGE = """# Work
```{{vehicle}} car
name: Car
options: {{seats: [two, four]}}
fixed: [body]
```
```{{parts}}
lid: {{name: Lid}}
tray: {{name: Tray}}
new-lid: {{name: New lid}}
new-tray: {{name: New tray{new}}}
```
```{{fluids}}
brake-fluid: {{name: Brake fluid, kind: brake-fluid, spec: {spec}, fill: reservoir}}
```
```{{kit}} kit-7
name: Kit
revision: B
fits: {{vehicle: car}}
contents:
  - {{part: new-lid, number: A, replaces: lid}}
  - {{part: new-tray, number: B, replaces: {replaces}}}
returns: [lid{returns}]
needs: {{fuel: {fuel}}}
```
```{{procedure}} work
vehicle: car
kit: kit-7
revision: A
handover: ["{handover}"]
```
:::{{step}} Do it
---
do:
  - remove lid, tray
  - return lid, tray
  - fit new-lid, new-tray
  - bleed brake-fluid
  - test brake pedal
supplies: [{supply}]
---
{prose}
:::
"""


def found(**values: str) -> list[tuple[str, str]]:
    default = {
        "new": "", "spec": "DOT 4", "replaces": "tray", "returns": ", tray", "fuel": "93 AKI",
        "handover": "Keep dry.", "supply": "Brake fluid DOT 4", "prose": "{q}`93 AKI` in the tank.",
    }  # fmt: skip
    page = PAGE.format(**default | values)
    return [(each.check, str(each.level)) for each in findings_of(page)]


def test_a_correct_page() -> None:
    assert found() == []


def test_what_goes_back_and_is_not_listed() -> None:
    assert found(returns="") == [("not-returned", "warning")]


def test_two_for_one_place() -> None:
    assert ("unlike-replaced", "warning") in found(replaces="lid")
    assert ("unlike-replaced", "warning") not in found(replaces="lid", new=", note: half of it")


@pytest.mark.parametrize(
    ("prose", "expected"),
    [
        ("{q}`93 AKI` or better.", []),
        ("{q}`91 AKI` or better.", [("octane-differs", "error")]),
        ("{q}`95 AKI` or better.", [("octane-differs", "warning")]),
        ("{q}`98 RON` or better.", []),
        # A fuel has a higher RON than AKI: ASTM D4814 (AKI is the mean of RON and MON).
        ("{q}`93 RON` or better.", [("octane-differs", "error")]),
    ],
)
def test_fuel_in_the_text(prose: str, expected: list[tuple[str, str]]) -> None:
    assert found(prose=prose) == expected


def test_fuel_in_the_handover() -> None:
    assert found(handover="Fill up with 91 AKI.") == [("octane-differs", "error")]


SESSION = """
```{dyno-session} s
vehicle: car
procedure: work
dyno: {kind: chassis}
conditions: {gear: 4, fuel: %s}
correction: none
before: [{pull: a.csv}]
after: [{pull: b.csv}]
```
"""


@pytest.mark.parametrize(("fuel", "number"), [("93 AKI", 0), ("91 AKI", 1), ("98 AKI", 0)])
def test_fuel_on_the_dyno(fuel: str, number: int) -> None:
    work = PAGE.format(
        new="", spec="DOT 4", replaces="tray", returns=", tray", fuel="93 AKI", handover="-",
        supply="Brake fluid DOT 4", prose="",
    )  # fmt: skip
    pages = {"work.md": work, "dyno.md": SESSION % fuel}
    assert len(findings_of(pages, "octane-differs")) == number


@pytest.mark.parametrize(
    ("spec", "supply", "wrong"),
    [
        ("DOT 4", "Brake fluid DOT 4", False),
        ("DOT 4", "Brake fluid DOT 5", True),
        ("DOT 4", "Brake fluid DOT 5.1", False),
        ("DOT 4", "Brake fluid DOT 3", True),
        ("DOT 4", "Brake fluid 500 mL", False),
        ("75W-90 GL-5", "gear oil 75W-90 GL4", True),
        ("75W-90 GL-5", "gear oil 75W90", False),
        ("75W-90 GL-5", "gear oil 75W-140", True),
    ],
)
def test_a_supply_of_another_class(spec: str, supply: str, wrong: bool) -> None:
    # DOT 5 is silicone, 3, 4 and 5.1 are glycol: FMVSS 116, from memory.
    assert found(spec=spec, supply=supply) == ([("wrong-fluid", "error")] if wrong else [])


@pytest.mark.parametrize(
    ("source", "number"),
    [
        ("Sheet KIT-7, revision B, page 2", 0),
        ("Sheet KIT-7, revision A, page 2", 1),
        ("Car sheet, revision A", 0),
        ("Sheet KIT-7, page 2", 0),
    ],
)
def test_a_sheet_of_another_revision(source: str, number: int) -> None:
    page = PAGE.format(
        new="", spec="DOT 4", replaces="tray", returns=", tray", fuel="93 AKI", handover="-",
        supply="Brake fluid DOT 4", prose="",
    )  # fmt: skip
    page += f"```{{expect}} {source}\nlid: count 1\n```\n"
    assert len(findings_of(page, "revision-differs")) == number
