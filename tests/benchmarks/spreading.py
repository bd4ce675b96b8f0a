"""Checking through a process pool against one process: ``python -m tests.benchmarks.spreading``.

Takes the number of procedure pages (2,000 unless said) and of processes (2). Prints seconds of the
clock for both in the same run, and their ratio: only worth reading on a machine that does nothing
else. The findings have to be the same.
"""

from __future__ import annotations

import sys
import tempfile
import time
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

from procedures_lib.judging.checks import check_manual
from procedures_lib.judging.checks.executors import check_through
from procedures_lib.manual import Manual
from procedures_lib.manual.shop import Shop
from tests.benchmarks.generated import write_manual

SMALLEST = ("2 2",)
"""The smallest runs, which the tests start."""


def main(pages: int = 2000, processes: int = 2) -> None:
    """Measure and print."""
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder) / "docs"
        write_manual(root, pages)
        with ProcessPoolExecutor(processes) as pool:
            started = time.perf_counter()
            found = check_through(pool, root, Shop())
            through = time.perf_counter() - started
        started = time.perf_counter()
        alone = check_manual(Manual.read(root, Shop()))
        in_one = time.perf_counter() - started
    if found != alone:
        raise SystemExit("the findings differ")
    print(f"{pages} pages: one process {in_one:.1f} s, {processes} processes {through:.1f} s,")
    print(f"{through / in_one:.2f} of the time")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
