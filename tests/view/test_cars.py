"""For which cars a thing is, as seen from the cars asked about."""

from __future__ import annotations

import pytest

from procedures_lib.language.variants import ALWAYS, Condition, read_condition
from procedures_lib.manual import Plan
from procedures_lib.view.uses import Cars, choices
from tests.helpers import manual_from

PAGE = """
    # Fit it

    ```{vehicle} hatch
    name: Small hatch
    options:
      gearbox: [manual, automatic]
      roof: [steel, glass, open]
    ```

    ```{procedure} fit-it
    vehicle: hatch
    revision: A
    ```
    """


def plan() -> Plan:
    found = manual_from({"page.md": PAGE}).plan_of_page("page.md")
    assert found is not None
    return found


def asked(text: str) -> Condition:
    return read_condition(text) if text else ALWAYS


@pytest.mark.parametrize(
    ("when", "left"),
    [
        ("", [("manual", "automatic"), ("steel", "glass", "open")]),
        ("gearbox=manual", [("manual",), ("steel", "glass", "open")]),
        ("not roof=open", [("manual", "automatic"), ("steel", "glass")]),
        ("gearbox=manual and not roof in [open, glass]", [("manual",), ("steel",)]),
    ],
)
def test_values_that_are_left(when: str, left: list[tuple[str, ...]]) -> None:
    found = choices(plan(), asked(when))
    assert [choice.values for choice in found] == left
    assert [choice.chosen for choice in found] == [v[0] if len(v) == 1 else "" for v in left]


@pytest.mark.parametrize(
    ("when", "thing", "only"),
    [
        ("", "", ""),
        ("", "gearbox=manual", "gearbox=manual"),
        ("gearbox=manual", "gearbox=manual", ""),
        ("gearbox=manual", "gearbox=manual and roof=glass", "roof=glass"),
        ("not roof=open", "roof in [steel, glass]", ""),
        ("gearbox=automatic", "gearbox=manual", "no car"),
    ],
)
def test_what_still_has_to_be_said(when: str, thing: str, only: str) -> None:
    assert Cars(plan(), asked(when)).only(asked(thing)) == only


def test_options_that_are_still_open() -> None:
    cars = Cars(plan(), asked("gearbox=manual"))
    conditions = [asked("gearbox=manual"), asked("gearbox=manual and roof=glass")]
    assert cars.open_options(conditions) == {"roof"}
