"""How long pulls take: ``python -m tests.benchmarks.pulls [ROWS]``, against parting lines alone."""

from __future__ import annotations

import csv
import sys
import time
import tracemalloc
from typing import TYPE_CHECKING

from procedures_lib.engineering.dyno.pull_csv import read_pull

if TYPE_CHECKING:
    from collections.abc import Iterator

SMALLEST = ("1000",)
"""The smallest runs, which the tests start."""


def lines(rows: int) -> Iterator[str]:
    """A pull of so many rows."""
    yield "speed [rpm],torque [N·m]\n"
    for n in range(rows):
        yield f"{1500 + 5000 * n / rows:.4f},{200 + n % 7}\n"


def main() -> None:
    """Time the reading of one pull, and its memory."""
    rows = int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000
    start = time.perf_counter()
    count = sum(1 for _ in csv.reader(lines(rows)))
    parted = time.perf_counter() - start
    start = time.perf_counter()
    pull, _ = read_pull(lines(rows))
    read = time.perf_counter() - start
    print(
        f"{count - 1} rows: parted in {parted:.2f} s, read in {read:.2f} s ({read / parted:.1f}×)"
    )
    tracemalloc.start()
    read_pull(lines(rows // 10))
    _, most = tracemalloc.get_traced_memory()
    print(f"{most / (rows // 10):.0f} bytes a row; {len(pull.speed)} rows in use")


if __name__ == "__main__":
    main()
