"""``procedures take-over``: lists of shops into drafts, every row of them accounted for."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from procedures_lib.judging.checks import check_manual
from procedures_lib.language.entities.car import Fastener, Fluid
from procedures_lib.language.entities.kit import Kit
from procedures_lib.manual import Manual
from tests.cli.sheets import (
    BOX,
    FLUIDS,
    TORQUES,
    Rows,
    changed,
    counted,
    csv_text,
    found_in,
    full,
    on_page,
    take,
    workbook,
)
from tests.cli.world import run, write

if TYPE_CHECKING:
    from pathlib import Path

    from click.testing import Result

STEPS = """\
# Fit the charge-air cooler

1. Jack up the car and remove the undertray screws and the undertray.
2. Disconnect the battery, then drain the coolant.
3. Remove the cover bolts. Carefully unplug the fog lamp connector.
   - Tape the wing edges.
4. Torque the cover bolts to 10 Nm + 90°, then refill the coolant (5.2 L).
5. Align the bumper with a gap of 3 mm.
6. Reconnect the battery and lower the car.
"""


def words(joint: Fastener) -> str:
    return str(joint.how_tight).replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("name", "rows", "taken", "code"),
    [("torques", TORQUES, 5, 1), ("box", BOX, 6, 0), ("fluids", FLUIDS, 3, 0)],
)
def test_rows_in_are_rows_taken_over_and_rows_listed(
    manual: Path, name: str, rows: Rows, taken: int, code: int
) -> None:
    workbook(manual / f"{name}.xlsx", {"List": rows})
    output = take(f"{name}.xlsx", code=code)
    assert counted(output) == (full(rows), taken, full(rows) - taken)
    listed = re.findall(r"^  left: .*?, row ([\d, –]+):", output, re.M)
    assert sum(map(rows_named, listed)) == full(rows) - taken


def rows_named(words: str) -> int:
    runs = [[int(n) for n in each.split("–")] for each in words.split(", ")]
    return sum(run[-1] - run[0] + 1 for run in runs)


def test_columns_are_shown_and_nothing_is_written(manual: Path) -> None:
    workbook(manual / "torques.xlsx", {"List": TORQUES})
    before = sorted(manual.rglob("docs/**/*"))
    output = take("torques.xlsx", code=1)
    shown = re.findall(r"^ +([A-Z]) +(\S.*?)  +(\S.*)$", output, re.M)
    assert shown == [
        ("A", "Fastener", "name"),
        ("B", "Qty", "count"),
        ("C", "Thread", "thread"),
        ("D", "Class", "class"),
        ("E", "Torque (Nm)", "torque, in Nm"),
        ("F", "Shelf", "not taken over"),
    ]
    assert sorted(manual.rglob("docs/**/*")) == before


def test_without_headings_the_content_decides(manual: Path) -> None:
    workbook(manual / "fluids.xlsx", {"List": FLUIDS})
    output = take("fluids.xlsx", "--to", "vehicle", "lark")
    assert "a fluid list" in output
    assert "(no heading)              volume, by what stands in it" in output


def test_a_torque_list_becomes_joints_with_their_rows(manual: Path) -> None:
    workbook(manual / "torques.xlsx", {"List": TORQUES})
    take("torques.xlsx", "--to", "vehicle", "lark", "--write", code=1)
    scope = Manual.read(manual / "docs").scope("vehicles/lark.md")
    joints = {each.id: each for each in scope.all(Fastener)}
    assert {name: (each.count, words(each)) for name, each in joints.items()} == {
        "caliper-bolts": (2, "110 N·m"),
        "guard-bolts-front-axle": (4, "10–12 N·m"),
        "guard-bolts-rear-axle": (6, "25 N·m"),
        "arm-bolt": (1, "35 lbf·ft"),
        "hub-nut": (1, "80 N·m, +90°"),
    }
    assert joints["hub-nut"].source == "torques.xlsx, sheet List, row 10"
    assert joints["caliper-bolts"].class_ == "10.9"


def test_a_unit_that_is_not_clear_is_a_blank_with_both_readings(manual: Path) -> None:
    workbook(manual / "torques.xlsx", {"List": TORQUES})
    take("torques.xlsx", "--to", "vehicle", "lark", "--write", code=1)
    page = on_page(manual, "vehicles/lark.md")
    assert (
        "tighten: ‹torque: the sheet has 35 lb: 35 lbf·ft = 47 N·m or 35 lbf·in = 4.0 N·m" in page
    )
    blanks = [f for f in check_manual(Manual.read(manual / "docs")) if f.check == "blank-left"]
    assert any("35 lbf·in = 4.0 N·m" in finding.message for finding in blanks)


def test_a_packing_list_becomes_a_kit_and_what_is_new_on_the_car(manual: Path) -> None:
    workbook(manual / "box.xlsx", {"List": BOX})
    take("box.xlsx", "--write")
    kit = Manual.read(manual / "docs").head(Kit, "box")
    assert kit is not None
    assert [(item.kind, item.what, item.number, item.count) for item in kit.contents] == [
        ("part", "charge-air-cooler", "QT-1-01", 1),
        ("fastener", "m8x25-bolt", "00123", 4),
        ("fastener", "hose-clamp-60-mm", "QT-1-03", 2),
        ("part", "silicone-hose", "QT-1-04", 1),
        ("supply", "Cable tie 200 mm", "QT-1-05", 10),
        ("paper", "Fitting instructions", "QT-1-06", 1),
    ]
    assert "thread: ‹thread: the sheet has M8x25" in on_page(manual, "kits/box.md")
    assert found_in(manual) == []


def test_a_fluid_list(manual: Path) -> None:
    write(manual, {"fluids.csv": csv_text(FLUIDS)})
    take("fluids.csv", "--to", "vehicle", "lark", "--write")
    fluids = Manual.read(manual / "docs").scope("vehicles/lark.md").all(Fluid)
    assert [(each.id, each.kind, each.spec) for each in fluids] == [
        ("engine-oil", "oil", "5W-30"),
        ("coolant", "coolant", "ethylene glycol 50/50"),
        ("gearbox-oil", "oil", "75W-80"),
    ]
    assert (
        "quantity: ‹how much: the sheet has 6 qt: 6 US qt = 5.7 L or 6 imp qt = 6.8 L"
        in on_page(manual, "vehicles/lark.md")
    )


def test_a_tool_list_is_laid_out_before_the_first_step(manual: Path) -> None:
    write(manual, {"tools.csv": "Tool,Qty\nTrim lever,1\nDrain pan 10 L,1\nMasking tape,1\n"})
    take("tools.csv", "--to", "procedure", "renew-cover", "--write")
    page = on_page(manual, "procedures/renew-cover.md")
    assert page.index("Lay out what is needed") < page.index("Take the cover off")
    assert "  - Trim lever\n" in page
    assert "supplies:\n  # taken over from tools.csv, row 4" in page
    assert counted(take("tools.csv", "--to", "procedure", "renew-cover"))[1] == 3


def test_a_step_list_becomes_steps_with_verbs_that_the_walk_judges(manual: Path) -> None:
    write(manual, {"work.md": STEPS})
    take("work.md", "--to", "procedure", "fit-cooler", "--write")
    page = on_page(manual, "procedures/fit-cooler.md")
    assert re.findall(r"^  - (.*)$", page, re.M) == [
        "raise vehicle",
        "remove ‹id of “undertray screws”, such as undertray-screws›",
        "remove ‹id of “undertray”, such as undertray›",
        "isolate battery",
        "drain ‹id of “coolant”, such as coolant›",
        "remove cover-bolts",
        "disconnect ‹id of “fog lamp connector”, such as fog-lamp-connector›",
        "tighten cover-bolts",
        "fill ‹id of “coolant”, such as coolant›",
        "‹an action for “Align the bumper with a gap of 3 mm”: adjust or position …, "
        "such as adjust bumper›",
        "restore battery",
        "lower vehicle",
    ]
    assert page.startswith("# Fit the charge-air cooler\n")
    assert "(`5.2 L`)" not in page
    assert "{torque}`‹id of the fasteners that take 10 Nm + 90°, such as cover-bolts›`" in page
    assert "({q}`5.2 L`)" in page
    assert found_in(manual) == []


def test_lines_without_numbers_are_steps_too(manual: Path) -> None:
    write(
        manual, {"work.txt": "Remove the cover bolts.\n\nFit the cover\nCheck the hose for leaks\n"}
    )
    output = take("work.txt", "--write")
    assert counted(output) == (3, 3, 0)
    assert "  - fit cover\n" in on_page(manual, "procedures/work.md")
    assert "  - test ‹what “Check the hose for leaks” proves" in on_page(
        manual, "procedures/work.md"
    )


def test_a_second_run_brings_nothing(manual: Path) -> None:
    for name, rows in (("torques", TORQUES), ("box", BOX), ("fluids", FLUIDS)):
        workbook(manual / f"{name}.xlsx", {"List": rows})
    write(manual, {"work.md": STEPS})
    files = ("torques.xlsx", "box.xlsx", "fluids.xlsx", "work.md")
    first = [run("take-over", name, "--write") for name in files]
    pages = {path: path.read_bytes() for path in manual.rglob("docs/**/*.md")}
    second = [run("take-over", name, "--write") for name in files]
    assert {path: path.read_bytes() for path in manual.rglob("docs/**/*.md")} == pages
    for one, other in zip(first, second, strict=True):
        assert counted(one.stdout) == counted(other.stdout)
        assert " 0 new, 0 changed, " in other.stdout
        assert "is written" in one.stdout
        assert "is written" not in other.stdout


def test_a_second_run_brings_what_changed(manual: Path) -> None:
    path = workbook(manual / "torques.xlsx", {"List": TORQUES})
    take("torques.xlsx", "--to", "vehicle", "lark", "--write", code=1)
    before = on_page(manual, "vehicles/lark.md")
    changed(path, "List", {"E5": 115, "A12": "Strut nut", "B12": 2, "E12": 55})
    output = take("torques.xlsx", "--to", "vehicle", "lark", "--write", code=1)
    assert "lark.md gets: 1 new, 1 changed, 4 as they were" in output
    after = on_page(manual, "vehicles/lark.md")
    gone, new = (
        set(a.split("\n")) - set(b.split("\n")) for a, b in ((before, after), (after, before))
    )
    assert {line.strip() for line in gone if "taken over" not in line} == {"tighten: 110 N·m"}
    assert {"tighten: 115 N·m", "tighten: 55 N·m", "name: Strut nut"} <= {s.strip() for s in new}


def test_what_was_edited_on_the_page_is_held(manual: Path) -> None:
    path = workbook(manual / "torques.xlsx", {"List": TORQUES})
    take("torques.xlsx", "--to", "vehicle", "lark", "--write", code=1)
    page = manual / "docs" / "vehicles" / "lark.md"
    page.write_bytes(re.sub("‹torque: the[^›]*›".encode(), b"35 lbf\xc2\xb7ft", page.read_bytes()))
    changed(path, "List", {"E9": "40 lb"})
    edited = page.read_bytes()
    output = take("torques.xlsx", "--to", "vehicle", "lark", "--write", code=1)
    assert page.read_bytes() == edited
    assert re.search(r"held: `arm-bolt`, line \d+, was edited there, and row 9 now says:", output)
    assert "40 lbf·in = 4.5 N·m" in output


def test_a_row_that_is_gone_is_named(manual: Path) -> None:
    write(manual, {"list.csv": "Bolt,Torque\nGuard bolts,10 Nm\nLid screws,2 Nm\n"})
    take("list.csv", "--write")
    write(manual, {"list.csv": "Bolt,Torque\nGuard bolts,10 Nm\n"})
    output = take("list.csv", "--write")
    assert re.search(r"gone: `lid-screws`, line \d+: row 3 is no longer in the list", output)
    assert "lid-screws:" in on_page(manual, "vehicles/list.md")


def test_look_alikes_keep_their_ids_when_a_row_comes_between(manual: Path) -> None:
    write(manual, {"list.csv": "Bolt,Torque\nLid screws,2 Nm\nLid screws,3 Nm\n"})
    take("list.csv", "--write")
    write(manual, {"list.csv": "Bolt,Torque\nLid screws,2 Nm\nLid screws,4 Nm\nLid screws,3 Nm\n"})
    assert "1 new, 0 changed, 2 as they were" in take("list.csv", "--write")
    scope = Manual.read(manual / "docs").scope("vehicles/list.md")
    assert {each.id: words(each) for each in scope.all(Fastener)} == {
        "lid-screws": "2 N·m",
        "lid-screws-2": "3 N·m",
        "lid-screws-3": "4 N·m",
    }


def test_what_stands_on_the_page_from_elsewhere_is_left(manual: Path) -> None:
    write(manual, {"list.csv": "Bolt,Torque\nCover bolts,12 Nm\n"})
    before = on_page(manual, "vehicles/mule.md")
    output = take("list.csv", "--to", "vehicle", "mule", "--write", code=1)
    assert "`cover-bolts` stands on docs/vehicles/mule.md already, from elsewhere" in output
    assert on_page(manual, "vehicles/mule.md") == before


def test_one_sheet_of_several(manual: Path) -> None:
    workbook(manual / "shop.xlsx", {"Torques": TORQUES, "Box": BOX})
    assert counted(take("shop.xlsx", "--sheet", "Box"))[0] == full(BOX)
    assert counted(take("shop.xlsx", code=1))[0] == full(BOX) + full(TORQUES)
    result = run("take-over", "shop.xlsx", "--sheet", "Boxes")
    assert result.exit_code == 2
    assert "has no sheet `Boxes`: its sheets are `Torques`, `Box`" in result.stderr


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--to", "vehicle", "Lark 2"), "is no id"),
        (("--write", "--to", "kit"), "requires 2 arguments"),
        (("--to", "job", "j"), "is not one of"),
    ],
)
def test_words_that_can_not_be_meant(manual: Path, words: tuple[str, ...], said: str) -> None:
    write(manual, {"list.csv": "Bolt,Torque\nLid screws,2 Nm\n"})
    result: Result = run("take-over", "list.csv", *words)
    assert result.exit_code == 2
    assert said in result.stderr


@pytest.mark.parametrize(
    ("words", "actions"),
    [
        ("Undo the cover bolts", ["loosen cover-bolts"]),
        ("Install the cover bolts", ["start cover-bolts"]),
        ("Unplug the horn connector",
         ["disconnect ‹id of “horn connector”, such as horn-connector›"]),
        ("Remove the lamp plug", ["disconnect ‹id of “lamp plug”, such as lamp-plug›"]),
        ("Remove the cover bolts, the side bolt and the cover",
         ["remove cover-bolts", "remove side-bolt", "remove cover"]),
        ("Lift the car", ["raise vehicle"]),
        ("Clean the sealing face with a cloth", ["clean sealing face"]),
        ("Measure the gap, then measure it again", ["measure gap"]),
        ("Secure the cover bolts", ["tighten cover-bolts"]),
        ("Replace the cover",
         ["‹an action for “Replace the cover”: remove or fit …, such as remove cover›"]),
        ("Remove it", ["remove ‹id of “it”, such as it›"]),
        ("Wires go to the left", ["‹what “Wires go to the left.” does, or no `do` at all, such as "
                                  "inspect seals›"]),
    ],
)  # fmt: skip
def test_words_of_the_trade_as_verbs(manual: Path, words: str, actions: list[str]) -> None:
    write(manual, {"work.txt": f"{words}\nRemove the cover\n"})
    take("work.txt", "--write")
    first = on_page(manual, "procedures/work.md").split(":::{step}")[1]
    assert re.findall(r"^  - (.*)$", first, re.M) == actions
