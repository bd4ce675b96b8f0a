"""A curve printed in four units, each worked out from torque and speed."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from procedures_lib.engineering.dyno.pull import power_kw
from procedures_lib.engineering.quantities.units import factor_between

ROWS = list(
    csv.DictReader(
        Path(__file__).with_name("published_curve.csv").read_text(encoding="utf-8").splitlines()
    )
)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["rpm"])
def test_each_printed_row(row: dict[str, str]) -> None:
    """Half a digit is let pass: of the torque, of the figure itself, of the kW that it is from."""
    rpm, torque = float(row["rpm"]), float(row["N·m"])
    kw = power_kw(torque, rpm)
    found = {
        "lbf·ft": torque * factor_between("N·m", "lbf·ft"),
        "kW": kw,
        "PS": kw / factor_between("PS", "kW"),
        "hp": kw / factor_between("hp", "kW"),
    }
    for unit, value in found.items():
        assert value == pytest.approx(
            float(row[unit]),
            abs=0.0501 + value * (0.05 / torque + 0.05 / kw * (unit in {"PS", "hp"})),
        ), unit
