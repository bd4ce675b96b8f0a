"""The site against the same pages without our blocks: ``python -m tests.benchmarks.site [PAGES…]``.

Builds each manual twice, each in a process of its own: with data as code blocks but steps as
headings with their prose (Sphinx, MyST and the theme doing the same page alone: the baseline); and
as it is. Prints processor time and peak memory a page, the ratio of the second to the first, and
the size of a page; then, from size to size, the growth for twice the pages. ``--literal`` builds
a third: with every block, steps and all, as a literal code block. ``--spaced`` takes pages with
their steps' options one a line (425 lines instead of 247).
"""

from __future__ import annotations

import gzip
import os
import shutil
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from tests.benchmarks.generated import literal, plain, procedure_page, spaced, write_manual
from tests.benchmarks.growth import growth

if TYPE_CHECKING:
    from collections.abc import Callable

PROJECT = Path(__file__).resolve().parents[2]
SIZES = (100, 500)
SMALLEST = ("1 2 --literal",)
"""The smallest runs, which the tests start."""
SWITCHES = frozenset({"--literal", "--spaced"})


@dataclass(frozen=True, slots=True)
class Built:
    """What one build took: processor seconds, peak memory in kB, and the bytes of one page."""

    seconds: float
    peak: float
    page: bytes


def build(root: Path, *, extension: bool) -> Built:
    """Build the manual below ``root``."""
    conf = root / "conf"
    shutil.copytree(PROJECT / "conf", conf)
    if not extension:
        settings = conf / "conf.py"
        text = settings.read_text(encoding="utf-8").replace(', "procedures_lib.fronts.site"', "")
        settings.write_text(text, encoding="utf-8")
    words = ["-q", "-c", str(conf), str(root / "docs"), str(root / "out")]
    process = subprocess.Popen([sys.executable, "-m", "sphinx", *words])  # noqa: S603
    _, status, used = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode:
        raise SystemExit(f"sphinx ended with {process.returncode}")
    page = root / "out" / "procedures" / "p00000.html"
    return Built(used.ru_utime + used.ru_stime, used.ru_maxrss, page.read_bytes())


def built(size: int, turn: Callable[[str], str], kind: Callable[[str], str]) -> Built:
    """Write a manual of that many pages, each turned, and build it."""
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder)
        write_manual(root / "docs", size, lambda text: turn(kind(text)))
        return build(root, extension=turn is str)


def main(words: list[str]) -> None:
    """Print the table for the sizes named on the command line."""
    sizes = tuple(int(word) for word in words if word not in SWITCHES) or SIZES
    kind = spaced if "--spaced" in words else str
    print(f"one page has {kind(procedure_page(0)).count(chr(10))} lines")
    print(
        "pages   plain ms/page   blocks ms/page   ratio   plain MB   blocks MB   page kB   gzipped"
    )
    rows: dict[int, tuple[Built, Built]] = {}
    for size in sizes:
        if "--literal" in words:
            print(f"literal: {built(size, literal, kind).seconds / size * 1000:.1f} ms/page")
        rows[size] = (built(size, plain, kind), built(size, str, kind))
        _print_row(size, *rows[size])
    for n, name in enumerate(("plain", "blocks")):
        _print_growth(name, {size: row[n] for size, row in rows.items()})


def _print_row(size: int, base: Built, ours: Built) -> None:
    print(
        f"{size:5}   {base.seconds / size * 1000:13.1f}   {ours.seconds / size * 1000:14.1f}"
        f"   {ours.seconds / base.seconds:5.2f}   {base.peak / 1000:8.0f}   {ours.peak / 1000:9.0f}"
        f"   {len(ours.page) / 1000:7.1f}   {len(gzip.compress(ours.page)) / 1000:7.1f}",
        flush=True,
    )


def _print_growth(name: str, rows: dict[int, Built]) -> None:
    time = growth({size: row.seconds for size, row in rows.items()})
    memory = growth({size: row.peak for size, row in rows.items()})
    for (small, large), factor in time.items():
        print(
            f"{name}, {small} to {large}: for twice the pages {factor:.2f} times the time,"
            f" {memory[small, large]:.2f} times the memory"
        )


if __name__ == "__main__":
    main(sys.argv[1:])
