"""Rows: what can be found on a page, where it stands, and by which terms."""

from __future__ import annotations

from procedures_lib.fronts.search import Row, rows_of_page
from procedures_lib.fronts.tables.definitions import definition_table
from procedures_lib.language.entities.car import Part
from tests.helpers import manual_from

CAR = """# Small hatch

About a car that is invented.

```{vehicle} hatch
name: Small hatch
years: 2018-2022
```

```{parts}
cover: {name: Engine cover, held-by: cover-bolts, number: 12-34-567}
lamp: {name: Lamp}
```

```{fasteners}
cover-bolts:
  {name: Cover bolts, kind: bolt, count: 2, thread: M6x1.0, head: hex 10 mm, tighten: [10 N·m],
   source: s}
```

```{fluids}
coolant: {name: Coolant, kind: coolant, quantity: 5.2 L}
```
"""
KIT = """# Bolt kit

```{kit} bk-1
name: Bolt kit
fits: {vehicle: hatch}
contents:
  - {fastener: new-bolts, number: BK-1-02, qty: 2, replaces: cover-bolts}
  - {supply: Cable tie, number: BK-1-03, qty: 6}
  - {supply: Thread sealant, number: BK-1-04, qty: 50 mL}
needs: {calibration: FC-77}
```

```{fasteners}
new-bolts:
  {name: New bolts, kind: bolt, count: 2, thread: M6x1.0, head: hex 10 mm, with: new-washers,
   tighten: [12 N·m], source: s}
new-washers: {name: New washers, kind: washer, count: 2}
```
"""
WORK = """# Fit the bolts

```{procedure} fit-bolts
vehicle: hatch
kit: bk-1
revision: B
```

```{preparation}
```

## The work

:::{step} Bolt the cover down
---
do: [fit cover, tighten new-bolts]
tools: [trim lever]
---
Listen for the click.
:::

```{torque-table}
```
"""
MANUAL = manual_from({"hatch.md": CAR, "bk.md": KIT, "work.md": WORK})


def rows(page: str) -> dict[str, Row]:
    """The rows of a page by name; of two with one name, the first."""
    found: dict[str, Row] = {}
    for row in rows_of_page(MANUAL, page):
        found.setdefault(row.name, row)
    return found


def test_a_fastener_is_found_by_name_thread_and_torque_in_every_unit() -> None:
    bolts = rows("hatch.md")["Cover bolts"]
    assert (bolts.kind, bolts.target) == ("f", "definition:cover-bolts")
    assert bolts.shown.replace("\xa0", " ") == "10 N·m (89 lbf·in), 2 × M6x1.0"
    assert {"cover", "bolts", "m6", "m6x1", "10nm", "89lbfin", "7.5lbfft"} <= set(bolts.strong)
    assert {"small", "hatch", "10mm"} <= set(bolts.weak)


def test_its_row_in_the_torque_table_is_the_same_hit() -> None:
    there, here = rows("bk.md")["New bolts"], rows("work.md")["New bolts"]
    assert here.target == "fastener:new-bolts"
    assert here._replace(target=there.target) == there
    assert here.key == ("bk", "new-bolts")


def test_the_list_of_tools_has_the_place_of_a_fasteners_socket() -> None:
    placed = [row for row in rows_of_page(MANUAL, "work.md") if row.tool]
    assert [(row.key, row.tool, row.target) for row in placed] == [
        (("bk", "new-bolts"), "tool:10 mm socket", "")
    ]


def test_a_metric_thread_is_found_as_a_size_and_a_washer_by_its_bolts() -> None:
    assert "6mm" in rows("bk.md")["New bolts"].weak
    assert {"new", "bolts"} <= {*rows("bk.md")["New washers"].weak}
    assert {"small", "hatch"} <= {*rows("bk.md")["New washers"].weak}  # the car that the kit fits


def test_part_numbers_are_found() -> None:
    assert "12-34-567" in rows("hatch.md")["Engine cover"].shown
    assert "bk102" in rows("bk.md")["New bolts"].strong
    tie = rows("work.md")["Cable tie"]
    assert (tie.target, tie.shown, tie.key[0]) == ("item:BK-1-03", "BK-1-03, 6 ×", "bk")
    assert rows("bk.md")["Thread sealant"].shown.replace("\xa0", " ") == "BK-1-04, 50 mL"
    assert "fc77" in rows("bk.md")["Calibration"].strong


def test_a_step_has_its_title_torque_prose_and_verbs() -> None:
    step = rows("work.md")["Bolt the cover down"]
    assert (step.kind, step.target) == ("s", "step:1")
    assert step.shown.replace("\xa0", " ") == "New bolts: 12 N·m (106 lbf·in)"
    assert set(step.strong) == {"bolt", "cover", "down", "#1"}
    assert {"click", "tighten", "12nm", "trim", "lever"} <= set(step.weak)


def test_tools_pages_sections_and_fluids_are_found() -> None:
    work, car = rows("work.md"), rows("hatch.md")
    assert work["trim lever"].target == "tool:trim lever"
    assert (work["The work"].kind, work["The work"].target) == ("h", "section:1")
    assert work["Fit the bolts"].shown == "revision B"
    assert car["Small hatch"].kind == "v"
    assert "invented" in car["Small hatch"].weak
    assert "5.2l" in car["Coolant"].strong


def test_a_page_that_can_not_be_read_in_full_still_has_rows() -> None:
    manual = manual_from({"bad.md": "# Bad\n\n```{fasteners}\nx: {kind: nothing}\n```\n"})
    assert [row.name for row in rows_of_page(manual, "bad.md")] == ["Bad"]


def test_a_rule_is_found_by_its_name_and_words_on_its_page() -> None:
    text = "# Rules\n\n```{rule} r\n:name: Nobody has the key\nOne car, one pocket.\n```\n"
    (row,) = rows_of_page(manual_from({"rules.md": text}), "rules.md")
    assert {"nobody", "key", "pocket"} <= set(row.weak)


ALSO = manual_from(
    {
        "hatch.md": CAR.replace("{name: Engine cover,", "{name: Engine cover, also: [beauty lid],"),
        "bk.md": KIT.replace("{supply: Cable tie,", "{supply: Cable tie, also: [zip tie],").replace(
            "name: Bolt kit", "name: Bolt kit\nalso: [fixings pack]"
        ),
        "work.md": WORK,
    }
)


def also_rows(page: str) -> dict[str, Row]:
    """The rows of a page where other words are given, by name."""
    return {row.name: row for row in rows_of_page(ALSO, page)}


def test_other_words_lead_to_the_thing_and_to_what_holds_it() -> None:
    car = also_rows("hatch.md")
    assert {"beauty", "lid"} <= set(car["Engine cover"].strong)
    assert dict(car["Engine cover"].facts)["also"] == "beauty lid"
    assert {"beauty", "lid"} <= set(car["Cover bolts"].weak)
    assert "also" not in dict(car["Cover bolts"].facts)
    assert not {"beauty", "lid"} & set(car["Lamp"].weak)


def test_other_words_of_a_kit_and_of_a_line_of_its_box() -> None:
    kit = also_rows("bk.md")
    assert {"fixings", "pack"} <= set(kit["Bolt kit"].strong)
    assert "zip" in kit["Cable tie"].strong
    assert dict(kit["Bolt kit"].facts) == {"also": "fixings pack"}


def test_other_words_are_in_no_table() -> None:
    scope = ALSO.scope("hatch.md")
    table = definition_table("parts", scope.all(Part), scope)
    assert "Engine cover" in str(table)
    assert "beauty" not in str(table)


def test_a_fastener_answers_for_socket_use_and_what_takes_its_place() -> None:
    facts = dict(rows("hatch.md")["Cover bolts"].facts)
    assert facts["socket"] == "10 mm socket"
    assert facts["again"] == "may be used again"
    assert facts["replaced"] == "BK-1"
    assert "replaced" not in dict(rows("bk.md")["New bolts"].facts)
