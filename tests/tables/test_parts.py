"""The parts list and the kit's check-in list as values."""

from __future__ import annotations

from procedures_lib.fronts.tables.procedure_tables import check_in_table, parts_list
from procedures_lib.fronts.tables.table import Table
from procedures_lib.manual.shop import Shop
from procedures_lib.view.preparation import preparation
from tests.tables.samples import record
from tests.view.world import uses


def test_every_group_of_the_parts_list() -> None:
    rows = [(r["name"], r["what"], r["count"], r["steps"]) for r in parts_list(uses()).records()]
    assert rows == [
        ("Big cooler", "From the kit", "1", "2"),
        ("Big bolts", "From the kit", "5", "2, 4"),
        ("Spacer", "From the kit", "2", "3"),
        ("Cable tie", "From the kit", "6", "1"),
        ("Grease", "From the kit", "30\N{NO-BREAK SPACE}g", ""),
        ("Card", "From the kit", "1", ""),
        ("Sensor screws", "New every time, not in the kit", "2", "1, 2"),
        ("Sensor", "Re-used", "1", "1, 2"),
        ("Clips", "Re-used", "6", "1, 2"),
        ("Old cooler", "Returned to the customer", "1", "1"),
        ("Drain hose", "Discarded", "1", "1, 2"),
        ("masking tape", "Supplies", "", "1, 3"),
    ]


def test_a_row_from_the_kit() -> None:
    table = parts_list(uses())
    assert record(table, "Big bolts") == {
        "name": "Big bolts",
        "what": "From the kit",
        "number": "TF-2",
        "count": "5",
        "note": "replaces Cooler bolts; 1 of them spare",
        "steps": "2, 4",
        "when": "",
    }
    assert record(table, "Spacer")["when"] == "transmission=automatic"


def test_filtered_by_variant() -> None:
    names = [r["name"] for r in parts_list(uses("transmission=manual")).records()]
    assert "Spacer" not in names
    tape = record(parts_list(uses("transmission=manual")), "masking tape")
    assert tape["steps"] == "1"


def check_in(when: str = "") -> Table:
    return check_in_table(preparation(uses(when), Shop()).check_in)


def test_the_check_in_list_is_what_is_in_the_box() -> None:
    assert [(r["name"], r["number"], r["count"], r["note"]) for r in check_in().records()] == [
        ("Big cooler", "TF-1", "1", "replaces Old cooler"),
        ("Big bolts", "TF-2", "5", "replaces Cooler bolts; 1 of them spare"),
        ("Spacer", "TF-3", "2", ""),
        ("Cable tie", "TF-4", "6", ""),
        ("Grease", "TF-6", "30\N{NO-BREAK SPACE}g", ""),
        ("Card", "TF-5", "1", "read first"),
    ]
    assert len(check_in("transmission=manual").rows) == 5
