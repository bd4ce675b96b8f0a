"""Figures far from what the trade knows, and such as are none of its business.

The bounds are common practice, no source, where the table names none; RON and AKI of pumps: ASTM
D4814, from memory; engaged diameters: handbooks.
"""

from __future__ import annotations

import re
from itertools import pairwise

import pytest

from procedures_lib.data_tables import toml_table
from procedures_lib.engineering.quantities import read_quantity
from procedures_lib.judging import checks as judging
from tests.helpers import findings_of

CAR = """
```{vehicle} car
name: Car
fixed: [body, engine]
```
"""
HEAD = """
```{procedure} work
vehicle: car
revision: A
```
"""


def unlike(page: str) -> int:
    return len(findings_of(CAR + page, "unlike-practice"))


def step(do: str, prose: str = "So.", time: str = "10 min") -> str:
    return HEAD + f":::{{step}} Do it\n---\ndo: [{do}]\ntime: {time}\n---\n{prose}\n:::\n"


@pytest.mark.parametrize(
    ("do", "time", "found"),
    [
        ("inspect a, inspect b, inspect c", "10 min", 0),
        ("inspect a, inspect b, inspect c", "25 s", 1),
        ("inspect a, inspect b, inspect c", "90 min", 0),
        ("inspect a, inspect b, inspect c", "150 min", 1),
        ("inspect a", "20 s", 0),
        ("bleed brakes", "40 s", 1),
        ("bleed brakes", "40 min", 0),
        ("test road", "3 h", 0),
        ("cool engine", "12 h", 0),
    ],
)
def test_how_long_a_step_takes(do: str, time: str, found: int) -> None:
    fluid = "```{fluids}\nbrakes: {kind: brake-fluid}\n```\n"
    assert unlike(fluid + step(do, time=time)) == found


@pytest.mark.parametrize(
    ("do", "prose", "found"),
    [
        ("measure disc runout", "At most {q}`0.06 mm`.", 0),
        ("measure disc runout", "At most {q}`0.06 in`.", 1),
        ("measure backlash", "At most {q}`0.15 mm`.", 0),
        ("measure backlash", "At most {q}`5 mm`.", 1),
        ("measure gap", "At most {q}`5 mm`.", 0),
        ("program calibration", "Steady at {q}`13.5 V`.", 0),
        ("program calibration", "Steady at {q}`27 V`.", 0),
        ("program calibration", "Steady at {q}`135 V`.", 1),
        ("measure battery voltage", "At {q}`135 V` something is wrong.", 0),
        ("test leaks charge-air", "Up to {q}`120 kPa`.", 0),
        ("test leaks charge-air", "Up to {q}`120 bar`.", 1),
        ("test road", "{q}`15 km`, below {q}`60 km/h`.", 0),
        ("test road", "{q}`600 km/h`.", 1),
        ("test brakes", "For {q}`1 min`.", 0),
        ("test brakes", "For {q}`1 h`.", 1),
    ],
)
def test_quantities_by_what_the_step_is_about(do: str, prose: str, found: int) -> None:
    assert unlike(step(do, prose)) == found


@pytest.mark.parametrize(
    ("block", "found"),
    [
        ("fluids}\na: {kind: brake-fluid, quantity: 0.9 L}", 0),
        ("fluids}\na: {kind: brake-fluid, quantity: 9 L}", 1),
        ("fluids}\na: {kind: brake-fluid, quantity: 9 L, note: a crane}", 0),
        ("fluids}\na: {kind: coolant, quantity: 12 US qt}", 0),
        ("fluids}\na: {kind: screenwash, quantity: 900 L}", 0),
        ("parts}\nflywheel: {mass: 14 kg}", 0),
        ("parts}\nflywheel: {mass: 140 kg}", 1),
        ("parts}\nbed: {mass: 140 kg}", 0),
        ("fasteners}\na: {kind: bolt, thread: M10x1.5, into: {engagement: 22 mm}}", 0),
        ("fasteners}\na: {kind: bolt, thread: M10x1.5, into: {engagement: 32 mm}}", 1),
        ("fasteners}\na: {kind: bolt, recheck: 1000 km}", 0),
        ("fasteners}\na: {kind: bolt, recheck: 10000 km}", 1),
        ("fasteners}\na: {kind: bolt, tighten: [20 N·m, +180°]}", 0),
        ("fasteners}\na: {kind: bolt, tighten: [20 N·m, +300°]}", 1),
        ("fasteners}\na: {kind: bolt, reuse: true, tighten: [20 N·m, +90°]}", 1),
        ("fasteners}\na: {kind: bolt, reuse: true, tighten: [20 N·m, +30°]}", 0),
        ("fasteners}\na: {kind: bolt, reuse: true, note: up to 91 mm, tighten: [20 N·m, +90°]}", 0),
        ("fasteners}\na: {name: Self-locking nut, kind: nut}", 1),
        ("fasteners}\na: {name: Self-locking nut, kind: nut, reuse: false}", 0),
        ("fasteners}\na: {name: Locknut, kind: nut}", 0),
    ],
)
def test_figures_of_things(block: str, found: int) -> None:
    assert unlike(f"```{{{block}\n```\n") == found


def test_wheel_nuts_are_looked_at_again_sooner() -> None:
    page = "```{parts}\nfront-wheels: {name: Front wheels, held-by: nuts}\n```\n"
    nuts = "```{fasteners}\nnuts: {kind: nut, recheck: RECHECK}\n```\n"
    assert unlike(page + nuts.replace("RECHECK", "100 km")) == 0
    assert unlike(page + nuts.replace("RECHECK", "1000 km")) == 1


@pytest.mark.parametrize(
    ("fuel", "found"), [("93 AKI", 0), ("83 AKI", 1), ("98 RON", 0), ("105 RON", 0), ("60 RON", 1)]
)
def test_the_octane_numbers_that_are_sold(fuel: str, found: int) -> None:
    head = "```{kit} k\nname: Kit\nfits: {vehicle: car}\ncontents: []\n"
    kit = f"{head}needs: {{fuel: {fuel}}}\n```\n"
    assert unlike(kit) == found


def test_an_error_of_the_same_joint_is_enough() -> None:
    bolt = "{kind: bolt, thread: M6x1.0, class: '12.9', condition: dry, tighten: 45 N·m, source: S,"
    page = f"```{{fasteners}}\na: {bolt} into: {{material: aluminium, engagement: 1 mm}}}}\n```\n"
    assert [f.check for f in findings_of(CAR + page)] == ["thread-strip"]


def test_the_one_step_without_a_time() -> None:
    steps = [f":::{{step}} S{n}\n:do: inspect a\n:time: 5 min\nSo.\n:::\n" for n in range(6)]

    def found(steps: list[str]) -> list[str]:
        return [f.check for f in findings_of(CAR + HEAD + "".join(steps))]

    assert found(steps) == []
    without = [each.replace(":time: 5 min\n", "") for each in steps]
    assert found([*steps[:5], without[5]]) == ["missing-field"]
    assert found([*steps[:4], *without[4:]]) == []
    assert found([*steps[:2], without[0]]) == []


def test_each_row_of_the_table_can_be_read() -> None:
    table = toml_table(judging.__name__, "practice.toml")
    for row in table["quantity"]:
        re.compile(row.get("words", ""))
        for least, most in row["ranges"]:
            low, high = read_quantity(least), read_quantity(most)
            assert low.kind == high.kind == row["kind"]
            assert low.si < high.si
    for row in (*table["volume"], *table["mass"]):
        low, high = (read_quantity(text) for text in row["range"])
        assert low.si < high.si
    every = [
        row for rows in table.values() for row in (rows if isinstance(rows, tuple) else [rows])
    ]
    assert all(row["source"] for row in every)
    assert all(a < b for a, b in pairwise(table["joint"]["engaged"]))
