"""How long a long sheet takes to be taken over, and how much memory, from workbook and CSV.

``python -m tests.benchmarks.taking_over 50000``
"""

from __future__ import annotations

import resource
import sys
import tempfile
import time
from pathlib import Path

from procedures_lib.fronts.cli.arguments import Folders
from procedures_lib.fronts.cli.taking_over.plan import plan_of
from procedures_lib.fronts.cli.taking_over.source import read_source
from procedures_lib.manual import Manual
from tests.cli.sheets import csv_text, workbook

SMALLEST = ("100",)
HEAD = ("Fastener", "Part number", "Qty", "Thread", "Class", "Torque")


def main(rows: int) -> None:
    """Print the times for a torque list of so many rows."""
    data = [(f"Bracket bolts {n % 7000}", f"QT-{n}", 4, "M8x1.25", "8.8", f"{20 + n % 30} Nm")
            for n in range(rows)]  # fmt: skip
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "list.csv").write_text(csv_text([HEAD, *data]), encoding="utf-8")
        workbook(folder / "list.xlsx", {"List": [HEAD, *data]})
        folders = Folders(folder, folder, folder / "shop.toml")
        for file in ("list.csv", "list.xlsx"):
            begun = time.process_time()
            source = read_source(folder / file, None)
            read = time.process_time() - begun
            plan = plan_of(source, None, Manual([]), folders)
            whole = time.process_time() - begun
            print(
                f"{file}: {len(plan.taken):,} of {rows:,} rows in {whole:.1f} s of the processor, "
                f"{read:.1f} s of them reading"
            )
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    print(f"at most {most / 1024:.0f} MB")


if __name__ == "__main__":
    main(int(sys.argv[1]))
