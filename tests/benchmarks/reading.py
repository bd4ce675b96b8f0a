"""How long reading and checking takes, and how it grows: ``python -m tests.benchmarks.reading``.

Prints, for 100, 500 and 2,000 generated pages in one process on one core: seconds and kB of memory
a page for reading and for checking, and the ratios between sizes.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from tests.benchmarks.generated import procedure_page, write_manual

SIZES = (100, 500, 2000)


def measure(pages: int) -> dict[str, float]:
    """Read and check a manual of that many pages in a process of its own."""
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder) / "docs"
        write_manual(root, pages)
        code = f"from tests.benchmarks.reading import once; once({str(root)!r})"
        done = subprocess.run(  # noqa: S603
            [sys.executable, "-c", code], check=True, capture_output=True, text=True
        )
    found: dict[str, float] = json.loads(done.stdout)
    return found


def once(root: str) -> None:
    """Read and check one manual, and print what it took as JSON."""
    import resource  # noqa: PLC0415

    from procedures_lib.checks import check_manual  # noqa: PLC0415
    from procedures_lib.manual import Manual  # noqa: PLC0415

    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    start = time.process_time()
    manual = Manual.read(Path(root))
    read = time.process_time()
    findings = check_manual(manual)
    checked = time.process_time()
    after = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    print(
        json.dumps(
            {
                "read": read - start,
                "check": checked - read,
                "kB": after - before,
                "findings": len(findings),
            }
        )
    )


def main() -> None:
    """Print the table."""
    print(f"one page has {procedure_page(0).count(chr(10))} lines")
    print("pages   read ms/page   check ms/page   kB/page   findings")
    totals = {}
    for size in SIZES:
        found = measure(size)
        totals[size] = found["read"] + found["check"]
        print(
            f"{size:5}   {found['read'] / size * 1000:12.2f}   {found['check'] / size * 1000:13.2f}"
            f"   {found['kB'] / size:7.1f}   {found['findings']:8.0f}"
        )
    small, large = SIZES[0], SIZES[-1]
    growth = totals[large] / totals[small] / (large / small)
    print(f"time a page at {large} pages against {small}: {growth:.2f}")


if __name__ == "__main__":
    main()
