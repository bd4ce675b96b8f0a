"""How cells and headings of lists are read by ``procedures take-over``."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from procedures_lib.fronts.cli.taking_over.columns import Column, loosely
from procedures_lib.fronts.cli.taking_over.names import id_from, kind_of, told_apart
from procedures_lib.fronts.cli.taking_over.sheet import Cell, column_name, row_ranges
from procedures_lib.fronts.cli.taking_over.torques import torque
from tests.cli.sheets import found_in, on_page, take
from tests.cli.world import run, write

if TYPE_CHECKING:
    from pathlib import Path


@pytest.mark.parametrize(
    ("text", "role", "unit"),
    [
        ("Torque (Nm)", "torque", "Nm"),
        ("Torque spec (ft. lbs.)", "torque", "ft. lbs."),
        ("Tightening Torque N-m", "torque", "N-m"),
        ("Torque in Nm", "torque", "Nm"),
        ("Moment [Nm]", "torque", "Nm"),
        ("in-lbs", "torque", "in-lbs"),
        ("Torque (lb)", "torque", "lb"),
        ("P/N", "number", ""),
        ("Part #", "number", ""),
        ("QTY Req'd", "count", ""),
        ("Qty (L)", "volume", "L"),
        ("Fastener / location", "name", ""),
        ("Tool required", "tool-name", ""),
        ("Anzugsmoment", "torque", ""),
        ("Shelf", "", ""),
        ("110 Nm", "", ""),
        ("12 x torque arms", "", ""),
    ],
)
def test_headings(text: str, role: str, unit: str) -> None:
    said = loosely(text)
    assert (said.role, said.unit) == (role, unit)


def read(*texts: str, units: tuple[str, ...] = ("",), angle: str = "") -> str:
    cells = [(Cell(text), Column(0, "", "torque", unit))
             for text, unit in zip(texts, units, strict=True)]  # fmt: skip
    return torque(cells, "", Cell(angle))


@pytest.mark.parametrize(
    ("text", "stages"),
    [
        ("25Nm", "25 N·m"),
        ("10Nm+/-2", "10 ± 2 N·m"),
        ("20 - 25 ft-lbs", "20–25 lbf·ft"),
        ("20 Nm + 90°", "[20 N·m, +90°]"),
        ("20Nm +90deg +90deg", "[20 N·m, +90°, +90°]"),
        ("15 ft-lb plus 90°", "[15 lbf·ft, +90°]"),
        ("Stage 1: 20 Nm, Stage 2: 40 Nm", "[20 N·m, 40 N·m]"),
        ("1) 20 Nm 2) 40 Nm", "[20 N·m, 40 N·m]"),
        ("snug + 1/4 turn", "[snug, +1/4 turn]"),
        ("hand tight", "hand"),
        ("110 Nm (81 ft-lb)", "110 N·m"),
        ("81 ft-lb / 110 Nm", "81 lbf·ft"),
    ],
)
def test_torques_as_lists_have_them(text: str, stages: str) -> None:
    assert read(text) == stages


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("25 NM", "if N·m is meant, write 25 N·m, such as 25 N·m›"),
        ("1,5 Nm", "write 1.5 Nm, such as 1.5 N·m›"),
        ("30 daNm", "write 300 N·m, such as 300 N·m›"),
        ("10-12 lb", "10–12 lbf·ft = 14–16 N·m or 10–12 lbf·in = 1.1–1.4 N·m?"),
        ("81 ft-lb / 200 Nm", "the two do not agree"),
        ("max 30 Nm", "such as 10 N·m›"),
    ],
)
def test_torques_that_stay_blank(text: str, said: str) -> None:
    assert read(text).startswith(f"‹torque: the sheet has {text}")
    assert said in read(text)


def test_columns_of_torque_in_two_units_and_with_an_angle() -> None:
    both = ("Nm", "ft-lb")
    assert read("100", "74", units=both) == "100 N·m"
    assert read("100", "tight", units=both).startswith("‹torque: the sheet has tight")
    assert read("100", "", units=both, angle="90") == "[100 N·m, +90°]"
    assert "then a bit" in read("100", "", units=both, angle="a bit")


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("Charge-air cooler bolts", ("fasteners", "bolt")),
        ("Bolt for the hose clamp bracket", ("fasteners", "bolt")),
        ("Crush washers, copper", ("fasteners", "crush-washer")),
        ("Hose clamp 60 mm", ("fasteners", "clamp")),
        ("Sump drain plug", ("fasteners", "plug")),
        ("Lamp plug", ("connections", "plug")),
        ("Bracket", ("", "")),
    ],
)
def test_kinds_by_their_nouns(name: str, kind: tuple[str, str]) -> None:
    assert kind_of(name) == kind


def test_ids() -> None:
    assert id_from("Kühler-Schraube Nr. 3 (links)") == "kuhler-schraube-nr-3-links"
    names = ["Lid bolts", "Lid bolts", "Arm bolt", "Arm bolt", "Cup"]
    marks = [["", "M6"], ["", "M8"], ["", "M6"], ["", "M6"], ["", ""]]
    assert told_apart(names, marks, [""] * 5, {"cup"}) == [
        "lid-bolts-m6",
        "lid-bolts-m8",
        "arm-bolt",
        "arm-bolt-2",
        "cup-2",
    ]


def test_rows_and_columns_in_words() -> None:
    assert row_ranges([5, 3, 4, 9, 3]) == "3–5, 9"
    assert [column_name(n) for n in (0, 25, 26, 63)] == ["A", "Z", "AA", "BL"]


def test_a_place_and_a_fastener_in_two_columns(manual: Path) -> None:
    write(manual, {"list.csv": "Location,Fastener,Torque\nFront caliper,Bolt,110 Nm\n"})
    take("list.csv", "--write")
    page = on_page(manual, "vehicles/list.md")
    assert "front-caliper:\n  name: Front caliper\n  kind: bolt\n" in page
    assert "  note: Bolt\n" in page


def test_the_walk_judges_what_was_proposed(manual: Path) -> None:
    steps = "1. Remove the cover bolts, the side bolt and the cover.\n2. Fit the cover.\n"
    write(manual, {"work.md": steps})
    take("work.md", "--write")
    page = manual / "docs" / "procedures" / "work.md"
    text = page.read_text("utf-8").replace("‹id of the car, such as tarrow-finch›", "mule")
    page.write_bytes(
        text.replace("‹what is done and why, such as ", "").replace("r.›", "r.").encode()
    )
    result = run("check", "docs/procedures/work.md")
    assert result.exit_code == 1
    assert "`cover-bolts`" in result.stdout
    assert "blank-left" not in result.stdout


def test_a_packing_list_with_torques_gives_both_to_a_kit(manual: Path) -> None:
    rows = "Part no.,Description,Qty,Torque\nQT-1,Cooler,1,\nQT-2,Cooler bolts,4,10 Nm\n"
    write(manual, {"box.csv": rows})
    take("box.csv", "--to", "kit", "qt-1", "--write")
    page = on_page(manual, "kits/qt-1.md")
    assert "  - part: cooler\n    number: QT-1\n" in page
    assert "  - fastener: cooler-bolts\n    number: QT-2\n    qty: 4\n" in page
    assert "  tighten: 10 N·m\n" in page


def test_several_without_a_number_are_a_blank(manual: Path) -> None:
    write(manual, {"list.csv": "Bolt,Torque\nLid bolts,10 Nm\nHub nut,80 Nm\n"})
    take("list.csv", "--write")
    counts = [line for line in on_page(manual, "vehicles/list.md").split("\n") if "count:" in line]
    assert counts == ["  count: ‹how many: the sheet does not say, such as 2›"]


def test_what_is_too_long_is_told(manual: Path) -> None:
    write(manual, {"list.csv": f"Bolt,Qty,Torque\nLid bolts,2,10 Nm\n{'x' * 3000},2,10 Nm\n"})
    assert "row 3: it has no name: a text of more than 2,000" in take("list.csv", code=1)
    write(manual, {"work.txt": f"Remove the cover\n{'x' * 3000}\n"})
    assert "row 2: a line of more than 2,000 characters" in take("work.txt", code=1)


def test_several_in_a_box_without_a_number_are_one_blank_twice(manual: Path) -> None:
    write(manual, {"box.csv": "Part no.,Description\nQT-1,Lid bolts\nQT-2,Cover\n"})
    take("box.csv", "--to", "kit", "box", "--write")
    page = on_page(manual, "kits/box.md")
    assert page.count("‹how many: the sheet does not say, such as 2›") == 2
    assert found_in(manual) == []
