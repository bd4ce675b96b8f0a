"""Whether two printed figures agree.

Sources: ``army_tm_unit_pairs.csv`` (US Army TM 10-4320-346-12P, tables H-1 and H-2, read in a
reprint, public domain), with the one row whose two figures contradict each other;
``trade_equivalences.csv`` (common practice, no published source).
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from procedures_lib.engineering.quantities import QuantityError, agrees, convert, read_quantity

HERE = Path(__file__).parent
ARMY = list(csv.DictReader((HERE / "army_tm_unit_pairs.csv").open(encoding="utf-8", newline="")))
TRADE = list(csv.DictReader((HERE / "trade_equivalences.csv").open(encoding="utf-8", newline="")))


def _agree(printed: str, exact: str) -> bool:
    return agrees(read_quantity(printed), read_quantity(exact))


@pytest.mark.parametrize("row", ARMY, ids=lambda row: f"{row['printed_imperial']} {row['unit']}")
def test_army_pairs_agree_but_for_the_misprint(row: dict[str, str]) -> None:
    metric, imperial = f"{row['printed_N_m']} N·m", f"{row['printed_imperial']} {row['unit']}"
    assert _agree(metric, imperial) == (row["verdict"] == "ok")
    assert _agree(imperial, metric) == (row["verdict"] == "ok")


def test_the_misprint_is_among_the_rows() -> None:
    wrong = [
        (row["printed_imperial"], row["printed_N_m"]) for row in ARMY if row["verdict"] != "ok"
    ]
    assert wrong == [("1820", "2712")]


@pytest.mark.parametrize("row", TRADE, ids=lambda row: f"{row['printed_N_m']} N·m")
def test_trade_pairs_agree(row: dict[str, str]) -> None:
    imperial = f"{row['printed_imperial']} {row['imperial_unit']}"
    assert _agree(imperial, f"{row['printed_N_m']} N·m")


@pytest.mark.parametrize("row", TRADE, ids=lambda row: f"{row['printed_N_m']} N·m")
def test_trade_pairs_agree_the_other_way(row: dict[str, str]) -> None:
    """18 lbf·ft is 24.4 N·m: as a print of it, 25 N·m is 2.4 % off, and not by its last digit."""
    imperial = f"{row['printed_imperial']} {row['imperial_unit']}"
    assert _agree(f"{row['printed_N_m']} N·m", imperial) == (row["printed_N_m"] != "25")


@pytest.mark.parametrize("row", TRADE, ids=lambda row: f"{row['printed_N_m']} N·m")
def test_a_wrong_tens_digit_never_agrees(row: dict[str, str]) -> None:
    metric = int(row["printed_N_m"])
    imperial = f"{row['printed_imperial']} {row['imperial_unit']}"
    wrong = [metric + 10] + ([metric - 10] if metric > 10 else [])
    assert [value for value in wrong if _agree(imperial, f"{value} N·m")] == []


@pytest.mark.parametrize(
    ("printed", "exact"),
    [
        ("89 lbf·in", "10 N·m"),
        ("7.5 lbf·ft", "10 N·m"),
        ("7 lbf·ft", "10 N·m"),
        ("75 lbf·ft", "100 N·m"),
        ("89 lbf·in", "10 ± 1 N·m"),
        ("98–115 lbf·in", "11–13 N·m"),
        ("97–115 lbf·in", "12 ± 1 N·m"),
        ("106 ± 9 lbf·in", "12 ± 1 N·m"),
        ("81–136 N·m", "60–100 lbf·ft"),
        ("9–12 N·m", "82–102 lbf·in"),
        ("0.0036–0.0047 in", "0.09–0.12 mm"),
        ("136–271 N·m", "100–200 lbf·ft"),
        ("135.6–271.2 N·m", "100–200 lbf·ft"),
        ("3/4 in", "19 mm"),
        ("1/8 turn", "45°"),
        ("10.0 N·m", "10 N·m"),
        ("5.5 US qt", "5.2 L"),
    ],
)
def test_agreeing(printed: str, exact: str) -> None:
    assert _agree(printed, exact)


@pytest.mark.parametrize(
    ("printed", "exact"),
    [
        ("89 lbf·in", "11 N·m"),
        ("89 lbf·in", "10.5 N·m"),
        ("98 lbf·in", "10 N·m"),
        ("87 lbf·in", "10 N·m"),
        ("89 lbf·ft", "10 N·m"),
        ("33 lbf·ft", "46 N·m"),
        ("33 lbf·ft", "44 N·m"),
        ("10.1 N·m", "10 N·m"),
        ("98–125 lbf·in", "11–13 N·m"),
        ("98–115 lbf·in", "12 N·m"),
        ("98–116 lbf·in", "11–13 N·m"),
        ("135–271 N·m", "100–200 lbf·ft"),
        ("9–13 N·m", "82–102 lbf·in"),
        ("135.5–271.1 N·m", "100–200 lbf·ft"),
        ("1–2 kgf·m", "9.8–11.1 N·m"),
        ("106 lbf·in", "11–13 N·m"),
        ("11–13 N·m", "11–13.1 N·m"),
    ],
)
def test_disagreeing(printed: str, exact: str) -> None:
    assert not _agree(printed, exact)


# NIST SP 811 (2008), B.7.1 and B.7.2: 36 ft = 10.9728 m is printed as 11.0 m; 36 in = 91.44 cm. The
# factors are those of its App. B.8, shortened as conversion tables of the trade print them (common
# practice): a figure worked out with one agrees within half of its last digit.
@pytest.mark.parametrize(
    ("printed", "exact"),
    [
        ("11.0 m", "36 ft"),
        ("914 mm", "36 in"),
        ("13.83 kgf·m", "100 lbf·ft"),
        ("135.6 N·m", "100 lbf·ft"),
        ("73.76 lbf·ft", "100 N·m"),
        ("73.8 lbf·ft", "100 N·m"),
        ("723.3 lbf·ft", "100 kgf·m"),
        ("885.1 lbf·in", "100 N·m"),
        ("980.7 N·m", "100 kgf·m"),
    ],
)
def test_factors_of_the_trade_agree(printed: str, exact: str) -> None:
    assert _agree(printed, exact)


def test_another_kind_is_an_error() -> None:
    with pytest.raises(QuantityError) as caught:
        _agree("90°", "10 N·m")
    assert caught.value.check == "wrong-dimension"


@pytest.mark.parametrize("value", [*range(1, 60), 64.5, 99, 101, 250, 1999])
@pytest.mark.parametrize("unit", ["lbf·ft", "lbf·in", "kgf·m"])
def test_our_own_print_agrees(value: float, unit: str) -> None:
    quantity = read_quantity(f"{value} N·m")
    assert agrees(read_quantity(convert(quantity, unit).text), quantity)
    wide = read_quantity(f"{value}–{value + 2} N·m")
    assert agrees(read_quantity(convert(wide, unit).text), wide)
