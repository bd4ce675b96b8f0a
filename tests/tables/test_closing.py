"""After the work: what was opened is tested, or the sheet says that no step does."""

from __future__ import annotations

import pytest

from procedures_lib.language.entities.work import Procedure
from procedures_lib.view.closing import close_up
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
NO_STEP = "no step: see to it before the car leaves"


@pytest.mark.parametrize(
    ("do", "tests"),
    [
        ("inspect car", {"Road": NO_STEP}),
        ("disconnect plug, test road", {"Road": "1"}),
        ("disconnect hose", {"Leaks charge air": NO_STEP, "Road": NO_STEP}),
        ("disconnect hose, test leaks charge-air", {"Leaks charge air": "1", "Road": NO_STEP}),
        (
            "disconnect feed, disconnect vent, test leaks fuel-vapour, test road",
            {"Leaks fuel vapour": "1", "Road": "1", "Leaks fuel": NO_STEP},
        ),
    ],
)
def test_what_was_opened_is_tested_or_said_to_be_untested(do: str, tests: dict[str, str]) -> None:
    manual = manual_from({"page.md": PAGE.format(do=do)})
    (procedure,) = manual.heads(Procedure)
    records = close_up(uses_of(manual.plan(procedure))).tests.records()
    assert {r["test"]: r["steps"] for r in records} == tests
