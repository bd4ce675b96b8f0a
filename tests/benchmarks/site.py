"""The site against the same pages without our blocks: ``python -m tests.benchmarks.site [PAGES…]``.

Builds each manual twice in processes of their own, first with every block as a plain code block
(Sphinx, MyST and the theme alone: the baseline), then as it is, and prints processor time,
their ratio and the size of a page.
"""

from __future__ import annotations

import gzip
import resource
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.benchmarks.generated import write_manual

PROJECT = Path(__file__).resolve().parents[2]
SIZES = (100, 500)


def build(root: Path, *, without_blocks: bool) -> tuple[float, Path]:
    """Build the manual below ``root``; return the processor seconds and a page of it."""
    conf = root / "conf"
    shutil.copytree(PROJECT / "conf", conf)
    if without_blocks:
        settings = conf / "conf.py"
        text = settings.read_text(encoding="utf-8").replace(', "procedures_lib.site"', "")
        settings.write_text(text, encoding="utf-8")
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(  # noqa: S603
        [
            sys.executable,
            "-m",
            "sphinx",
            "-q",
            "-c",
            str(conf),
            str(root / "docs"),
            str(root / "out"),
        ],
        check=True,
    )
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    seconds = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return seconds, root / "out" / "procedures" / "p00000.html"


def main() -> None:
    """Print the table for the sizes named on the command line."""
    sizes = tuple(map(int, sys.argv[1:])) or SIZES
    print("pages   plain ms/page   blocks ms/page   ratio   page kB   gzipped kB")
    for size in sizes:
        taken = []
        page = Path()
        for without_blocks in (True, False):
            with tempfile.TemporaryDirectory() as folder:
                root = Path(folder)
                write_manual(root / "docs", size, without_blocks=without_blocks)
                seconds, page = build(root, without_blocks=without_blocks)
                taken.append(seconds)
                raw = page.read_bytes()
        each = [seconds / size * 1000 for seconds in taken]
        print(
            f"{size:5}   {each[0]:13.1f}   {each[1]:14.1f}   {each[1] / each[0]:5.2f}"
            f"   {len(raw) / 1000:7.1f}   {len(gzip.compress(raw)) / 1000:10.1f}",
            flush=True,
        )


if __name__ == "__main__":
    main()
