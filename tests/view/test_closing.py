"""After the work: what was opened is tested, or the sheet says that no step does."""

from __future__ import annotations

import pytest

from procedures_lib.fronts.tables.procedure_tables import table_of_tests
from procedures_lib.language.entities.work import Procedure
from procedures_lib.view.closing import ClosingView, closing
from procedures_lib.view.uses import uses_of
from tests.helpers import manual_from

PAGE = """
    ```{{vehicle}} car
    name: Car
    ```
    ```{{connections}}
    feed: {{name: Feed, kind: line, between: [body, engine], carries: fuel}}
    vent: {{name: Vent, kind: hose, between: [body, engine], carries: fuel-vapour}}
    hose: {{name: Hose, kind: hose, between: [body, engine], carries: charge-air}}
    plug: {{name: Plug, kind: plug, between: [body, engine], carries: signal}}
    ```
    ```{{procedure}} work
    vehicle: car
    revision: A
    ```
    :::{{step}} Do it
    :do: [{do}]
    Do it.
    :::
    """


def closing_of(do: str) -> ClosingView:
    manual = manual_from({"page.md": PAGE.format(do=do)})
    (procedure,) = manual.heads(Procedure)
    return closing(uses_of(manual.plan(procedure)))


@pytest.mark.parametrize(
    ("do", "tests"),
    [
        ("inspect car", {"Road": ()}),
        ("disconnect plug, test road", {"Road": (1,)}),
        ("disconnect hose", {"Leaks charge air": (), "Road": ()}),
        ("disconnect hose, test leaks charge-air", {"Leaks charge air": (1,), "Road": ()}),
        (
            "disconnect feed, disconnect vent, test leaks fuel-vapour, test road",
            {"Leaks fuel vapour": (1,), "Road": (1,), "Leaks fuel": ()},
        ),
    ],
)
def test_what_was_opened_is_tested_or_no_step_does_it(
    do: str, tests: dict[str, tuple[int, ...]]
) -> None:
    assert {test.what: test.steps for test in closing_of(do).tests} == tests


def test_the_sheet_says_that_no_step_tests_what_was_opened() -> None:
    records = table_of_tests(closing_of("disconnect hose, test road")).records()
    assert {r["test"]: r["steps"] for r in records} == {
        "Road": "1",
        "Leaks charge air": "no step: see to it before the car leaves",
    }
