"""How long comparing takes against reading: ``python -m tests.benchmarks.comparing``.

Takes numbers of pages (100 and 500 unless said). Prints for each, in one process: seconds of
processor time for reading both states and for comparing them when nothing, one joint of each car,
or every page differs, and the ratio of the two.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING

from procedures_lib.judging.compare import compare
from procedures_lib.manual import Manual
from tests.benchmarks.generated import write_manual

if TYPE_CHECKING:
    from collections.abc import Callable

SIZES = (100, 500)
SMALLEST = ("1",)
"""The smallest runs, which the tests start."""


def one_joint(text: str) -> str:
    """A car with another torque: all its procedures tighten the joint."""
    return text.replace("tighten: [23 N·m]", "tighten: [25 N·m]")


def every_page(text: str) -> str:
    """Every page with other times, another torque, a step less and more words."""
    step = text.find(":::{step} Put part 3 back")
    end = text.find(":::{step}", step + 1)
    return one_joint(text[:step] + text[end:] if step > 0 else text).replace("5 min", "6 min")


def seconds(work: Callable[[], object]) -> float:
    """The processor time that some work takes."""
    start = time.process_time()
    work()
    return time.process_time() - start


def measure(pages: int, turn: Callable[[str], str]) -> tuple[float, float, int]:
    """Return the seconds for reading both states and for comparing them, and the changes."""
    with tempfile.TemporaryDirectory() as folder:
        old, new = Path(folder) / "old", Path(folder) / "new"
        write_manual(old, pages)
        write_manual(new, pages, turn)
        read: list[Manual] = []
        reading = seconds(lambda: read.extend((Manual.read(old), Manual.read(new))))
        found: list[int] = []
        comparing = seconds(lambda: found.append(len(compare(read[0], read[1]).changes)))
    return reading, comparing, found[0]


def main(words: list[str]) -> None:
    """Print the table for the sizes named on the command line."""
    print("pages   differs       read both s   compare s   ratio   changes")
    for size in map(int, words or SIZES):
        for name, turn in (("nothing", str), ("one joint", one_joint), ("every page", every_page)):
            reading, comparing, changes = measure(size, turn)
            ratio = comparing / reading
            print(
                f"{size:5}   {name:11} {reading:12.2f}   {comparing:9.3f}   {ratio:5.3f}"
                f"   {changes:7}"
            )
            sys.stdout.flush()


if __name__ == "__main__":
    main(sys.argv[1:])
