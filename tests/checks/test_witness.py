"""Witnesses: what stands a second time, what a shop wants to stand a second time, and does not."""

from __future__ import annotations

import pytest

from procedures_lib.engineering.threads import read_thread
from procedures_lib.engineering.threads.head_sizes import standard_of_head
from procedures_lib.judging.witness import Number, count_of, numbers_on, other_side
from procedures_lib.manual import Manual
from procedures_lib.manual.shop import WITNESSED, Shop
from tests.helpers import findings_of, manual_from

CAR = """
    # Mule

    ```{vehicle} mule
    name: Mule
    years: 2018-2022
    options: {axle: [long, short]}
    ```

    ```{parts}
    front-wheels: {name: Wheels, mass: 14 kg, held-by: [wheel-nuts-left, wheel-nuts-right]}
    calipers:      {name: Calipers, held-by: slide-bolts}
    track-rods:    {name: Track rods, held-by: rod-nuts}
    ```

    ```{connections}
    feed-line: {kind: line, between: [calipers, body], carries: fuel, held-by: feed-union}
    ```

    ```{fasteners}
    wheel-nuts-left:
      {kind: nut, count: 5, head: hex 19 mm, tighten: [snug, 110 N·m], source: Sheet 44}
    wheel-nuts-right:
      {kind: nut, count: 5, head: hex 19 mm, tighten: [snug, 110 N·m], source: Sheet 44}
    slide-bolts:
      kind: bolt
      thread: M8x1.25
      head: hex 13 mm
      recheck: 100 km
      tighten: 30 N·m
    rod-nuts:   {kind: nut, turns: left, tighten: {"axle=long": 50 N·m, "axle=short": 40 N·m}}
    feed-union: {kind: nut, tighten: 16 N·m}
    lid-bolts:  {kind: bolt, tighten: 8 N·m}
    rail-bolts: {kind: bolt, tighten: [8 N·m, +45°]}
    ```

    ```{fluids}
    brake-fluid: {name: Brake fluid, kind: brake-fluid, quantity: 0.9 L, spec: DOT 4}
    washer:      {name: Screen wash, kind: washer, quantity: 3 L}
    ```
    """


def manual(row: str = "", *witnessed: str) -> Manual:
    block = f"\n    ```{{expect}} Sheet 44\n    {row}\n    ```\n" if row else ""
    return manual_from({"mule.md": CAR + block}, Shop(witnessed=witnessed))


def number(name: str, field: str, row: str = "", cars: str = "") -> Number:
    found = numbers_on(manual(row), "mule.md")
    (one,) = [n for n in found if (n.thing, n.name, n.cars) == (name, field, cars)]
    return one


def test_a_number_knows_its_line_its_source_and_that_it_stands_once() -> None:
    one = number("slide-bolts", "recheck")
    assert (one.place.line, one.value, one.witness) == (28, "100\u00a0km", "")
    assert number("wheel-nuts-left", "tighten").source == "Sheet 44"


def test_a_row_of_double_entry_is_a_witness_of_what_it_has() -> None:
    one = number("slide-bolts", "recheck", "slide-bolts: recheck 62 mi")
    assert (one.witness, one.by) == ("double entry", "mule.md:42")
    assert number("slide-bolts", "tighten", "slide-bolts: recheck 62 mi").witness == ""


def test_a_row_is_a_witness_on_its_cars() -> None:
    row = 'rod-nuts: {"axle=long": 50 N·m}'
    assert number("rod-nuts", "tighten", row, "axle=long").witness == "double entry"
    assert number("rod-nuts", "tighten", row, "axle=short").witness == ""


def test_the_other_side_is_a_twin_while_it_says_the_same() -> None:
    assert number("wheel-nuts-left", "tighten").witness == "twin"
    text = CAR.replace("110 N·m], source: Sheet 44}\n    slide", "100 N·m]}\n    slide")
    found = numbers_on(manual_from({"mule.md": text}), "mule.md")
    assert [n.witness for n in found if n.thing.startswith("wheel") and n.name == "tighten"] == [
        "",
        "",
    ]


@pytest.mark.parametrize(
    ("name", "other"),
    [("wheel-nuts-left", "wheel-nuts-right"), ("right-arm", "left-arm"), ("cleft-pin", "")],
)
def test_the_name_of_the_other_side(name: str, other: str) -> None:
    assert other_side(name) == other


# ISO 4014 (bolts), ISO 4032 (nuts), ISO 4762 (socket heads): widths across flats in mm, read in the
# table of metric threads among the check values of the project (threads/metric_threads.csv).
@pytest.mark.parametrize(
    ("thread", "kind", "head", "standard"),
    [
        ("M6x1.0", "bolt", "hex 10 mm", "ISO 4014"),
        ("M8x1.25", "bolt", "hex 13 mm", "ISO 4014"),
        ("M8x1.0", "nut", "hex 13 mm", "ISO 4032"),
        ("M10x1.5", "bolt", "hex 16 mm", "ISO 4014"),
        ("M12x1.5", "nut", "hex 18 mm", "ISO 4032"),
        ("M8x1.25", "screw", "socket hex 6 mm", "ISO 4762"),
        ("M10x1.5", "bolt", "hex 17 mm", ""),
        ("M8x1.25", "nut", "socket hex 6 mm", ""),
        ("M12x1.5", "nut", "hex 19 mm", ""),
        ("5/16-18 UNC", "bolt", "hex 13 mm", ""),
        ("M8x1.25", "bolt", "torx T40", ""),
    ],
)
def test_a_head_that_its_thread_calls_for(thread: str, kind: str, head: str, standard: str) -> None:
    assert standard_of_head(read_thread(thread), kind, head) == standard


def test_the_counts_are_of_all() -> None:
    found = numbers_on(manual("slide-bolts: 30 N·m"), "mule.md")
    counts = count_of(found)
    assert sum(counts.values()) == len(found)
    assert (counts["double entry"], counts["standard"]) == (1, 1)


# -- what a shop asks for --------------------------------------------------------------------------


def asked(*witnessed: str, row: str = "") -> list[str]:
    found = findings_of(manual(row, *witnessed), "no-witness")
    assert all(each.hint for each in found)
    return [each.message.split("`")[1] for each in found]


@pytest.mark.parametrize(
    ("system", "things"),
    [
        ("brakes", ["slide-bolts", "brake-fluid"]),
        ("steering", ["rod-nuts"]),
        ("fuel", ["feed-union"]),
        ("angles", ["rail-bolts"]),
    ],
)
def test_what_a_system_is_asked_for(system: str, things: list[str]) -> None:
    assert asked(system) == things


def test_wheels_have_twins_until_one_side_says_otherwise() -> None:
    assert asked("wheels") == []
    text = CAR.replace("110 N·m], source: Sheet 44}\n    slide", "100 N·m]}\n    slide")
    found = findings_of(manual_from({"mule.md": text}, Shop(witnessed=("wheels",))), "no-witness")
    assert [each.place.line for each in found] == [20, 22]


def test_everything_is_everything_that_holds_or_fills() -> None:
    assert set(asked("everything")) == {
        "slide-bolts", "rod-nuts", "feed-union", "lid-bolts", "rail-bolts", "brake-fluid", "washer",
    }  # fmt: skip


def test_a_row_settles_it() -> None:
    assert asked("brakes", row="slide-bolts: recheck 62 mi, 22 lbf·ft") == ["brake-fluid"]


def test_the_message_has_what_to_type() -> None:
    (found,) = findings_of(manual("", "steering"), "no-witness")
    said = found.message.replace("\u00a0", " ")
    assert said == (
        "`rod-nuts`: turns left, 50 N·m, 40 N·m stand only here, and the shop wants a witness for "
        "steering"
    )
    hint = found.hint.replace("\u00a0", " ")
    assert '`rod-nuts: {turns: left, "axle=long": "50 N·m", "axle=short": "40 N·m"}`' in hint


def test_a_manual_without_a_shop_file_is_asked_for_nothing() -> None:
    assert asked() == []
    assert Shop().witnessed == ()
    assert WITNESSED == ("brakes", "steering", "wheels", "fuel", "angles")


def test_a_damaged_block_is_no_second_finding() -> None:
    text = CAR.replace("kind: bolt\n      thread", "kind: blot\n      thread")
    found = findings_of(manual_from({"mule.md": text}, Shop(witnessed=("brakes",))))
    assert "slide-bolts" not in {f.message.split("`")[1] for f in found if f.check == "no-witness"}
    assert [f.check for f in found if "slide-bolts" in f.message or "blot" in f.message] == [
        "unknown-word"
    ]


@pytest.mark.parametrize(
    ("source", "number"),
    [("Sheet 44", 0), ("Service data, second printing", 0), ("Kit maker's sheet", 1)],
)
def test_a_source_that_names_no_page(source: str, number: int) -> None:
    page = CAR + f"\n    ```{{expect}} {source}\n    lid-bolts: 8 N·m\n    ```\n"
    found = findings_of(manual_from({"mule.md": page}, Shop(witnessed=("fuel",))), "no-source")
    of_rows = [each for each in found if "names no sheet" in each.message]
    assert len(of_rows) == number
