"""The site against the same pages without our blocks: ``python -m tests.benchmarks.site [PAGES…]``.

Builds each manual three times, each in a process of its own: with every block, steps and all, as a
literal code block; with data as code blocks but steps as headings with their prose (Sphinx, MyST
and the theme doing the same page alone: the baseline); and as it is. Prints processor time a page,
the ratio of the third to the second, and the size of a page.
"""

from __future__ import annotations

import gzip
import resource
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.benchmarks.generated import literal, plain, write_manual

PROJECT = Path(__file__).resolve().parents[2]
SIZES = (100, 500)


def build(root: Path, *, extension: bool) -> tuple[float, Path]:
    """Build the manual below ``root``; return the processor seconds and a page of it."""
    conf = root / "conf"
    shutil.copytree(PROJECT / "conf", conf)
    if not extension:
        settings = conf / "conf.py"
        text = settings.read_text(encoding="utf-8").replace(', "procedures_lib.site"', "")
        settings.write_text(text, encoding="utf-8")
    words = ["-q", "-c", str(conf), str(root / "docs"), str(root / "out")]
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run([sys.executable, "-m", "sphinx", *words], check=True)  # noqa: S603
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    seconds = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return seconds, root / "out" / "procedures" / "p00000.html"


def main() -> None:
    """Print the table for the sizes named on the command line."""
    sizes = tuple(map(int, sys.argv[1:])) or SIZES
    print("pages   literal ms/page   plain ms/page   blocks ms/page   ratio   page kB   gzipped kB")
    for size in sizes:
        taken = []
        raw = b""
        for turn in (literal, plain, str):
            with tempfile.TemporaryDirectory() as folder:
                root = Path(folder)
                write_manual(root / "docs", size, turn)
                seconds, page = build(root, extension=turn is str)
                taken.append(seconds / size * 1000)
                raw = page.read_bytes()
        print(
            f"{size:5}   {taken[0]:15.1f}   {taken[1]:13.1f}   {taken[2]:14.1f}"
            f"   {taken[2] / taken[1]:5.2f}   {len(raw) / 1000:7.1f}"
            f"   {len(gzip.compress(raw)) / 1000:10.1f}",
            flush=True,
        )


if __name__ == "__main__":
    main()
