"""From a save to the page on screen, while served: ``python -m tests.benchmarks.saving``.

Takes the number of procedure pages (2,000 unless said). Builds the manual once, as ``procedures
serve`` does, then edits one procedure page a few times and builds again each time; prints seconds
of processor time and of the clock, and those of reading and checking alone. The clock is only worth
reading on a machine that does nothing else.
"""

from __future__ import annotations

import contextlib
import gc
import io
import shutil
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

from procedures_lib.fronts.cli.arguments import find_folders
from procedures_lib.fronts.cli.build import BuildOptions, make_site
from procedures_lib.fronts.cli.checked_manual import Rereading
from procedures_lib.fronts.cli.publishing.target import find_target
from procedures_lib.fronts.cli.terminal import ExitCode
from tests.benchmarks.generated import write_manual

PROJECT = Path(__file__).resolve().parents[2]
EDITS = 3
SMALLEST = ("8",)
"""The smallest runs, which the tests start."""


def main(pages: int) -> None:
    """Build, edit, build again, and print what each build took."""
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder)
        write_manual(root / "docs", pages)
        shutil.copytree(PROJECT / "conf", root / "conf")
        folders = find_folders(root / "docs")
        reading = Rereading(folders)
        options = BuildOptions(folders, find_target(root / "out", folders), reading=reading)
        print(f"{pages} procedure pages; seconds: processor, clock")
        _timed("first build", options)
        gc.collect()  # as `serve` does
        gc.freeze()
        gc.disable()
        for number in range(EDITS):
            page = root / "docs/procedures/p00007.md"
            text = page.read_text(encoding="utf-8")
            page.write_text(text.replace("Some words", f"Some words, {number},"), encoding="utf-8")
            start = time.process_time(), time.perf_counter()
            reading.look()
            _say("read and check what changed", start)
            _timed("and the site", replace(options, whole=False))
            gc.collect()


def _timed(name: str, options: BuildOptions) -> None:
    start = time.process_time(), time.perf_counter()
    with contextlib.redirect_stdout(io.StringIO()):
        assert make_site(options) is ExitCode.CLEAN
    _say(name, start)


def _say(name: str, start: tuple[float, float]) -> None:
    print(f"{name:28} {time.process_time() - start[0]:6.2f} {time.perf_counter() - start[1]:6.2f}",
          flush=True)  # fmt: skip


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 2000)
