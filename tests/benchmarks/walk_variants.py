"""How the walk grows with options: ``python -m tests.benchmarks.walk_variants``.

Takes numbers of two-way options (1, 5, 10 and 20 unless said). Walks a procedure that takes twenty
parts off and puts them back, as many of them as there are options on some cars only,
once where every part has its option to itself and nothing in common with the others, and once
where all of them are behind one undertray. Prints the time of each, and its ratio to the same work
on a car with one option, in the same run.
"""

from __future__ import annotations

import sys
import time

from procedures_lib.language.entities.work import Procedure
from procedures_lib.manual import Manual
from procedures_lib.walk import walk
from tests.helpers import manual_from

SIZES = (1, 5, 10, 20)
SMALLEST = ("1",)
"""The smallest runs, which the tests start."""
PARTS = 20
ROUNDS = 20


def page(options: int, *, shared: bool) -> str:
    """A procedure on twenty parts; the first ``options`` of them are each on some cars only."""
    values = "".join(f"\n  opt-{n}: [fitted, absent]" for n in range(options))
    behind = ", behind: undertray" if shared else ""
    parts = "".join(
        f"\npart-{n}: {{name: Part {n}, held-by: clips-{n}{behind}{_when(n, options)}}}"
        for n in range(PARTS)
    )
    clips = "".join(f"\nclips-{n}: {{name: Clips {n}, kind: clip}}" for n in range(PARTS))
    plugs = "".join(
        f"\nplug-{n}: {{name: Plug {n}, kind: plug, between: [part-{n}, harness]}}"
        for n in range(PARTS)
    )
    off = "".join(
        _step(f"disconnect plug-{n}", f"remove clips-{n}, part-{n}") for n in range(PARTS)
    )
    on = "".join(_step(f"fit part-{n}, clips-{n}", f"connect plug-{n}") for n in range(PARTS))
    return (
        f"# Work\n\n```{{vehicle}} car\nname: Car\nfixed: harness\noptions:{values}\n```\n\n"
        f"```{{parts}}\nundertray: {{name: Undertray, held-by: tray-clips}}{parts}\n```\n\n"
        f"```{{fasteners}}\ntray-clips: {{name: Tray clips, kind: clip}}{clips}\n```\n\n"
        f"```{{connections}}{plugs}\n```\n\n"
        "```{procedure} work\nvehicle: car\nrevision: A\n```\n\n"
        + _step("remove tray-clips, undertray")
        + off
        + on
        + _step("fit undertray, tray-clips")
    )


def _when(number: int, options: int) -> str:
    return f", when: opt-{number}=fitted" if number < options else ""


def _step(*actions: str) -> str:
    lines = "".join(f"\n  - {action}" for action in actions)
    return f":::{{step}} Step\n---\ndo:{lines}\n---\nDo it.\n:::\n\n"


def seconds(manual: Manual) -> float:
    """Return the least time that one walk takes, in processor seconds."""
    (procedure,) = manual.heads(Procedure)
    plan = manual.plan(procedure)
    taken = []
    for _ in range(ROUNDS):
        start = time.process_time()
        done = walk(plan, manual)
        taken.append(time.process_time() - start)
        if done.findings:
            raise SystemExit(done.findings[0].text())
    return min(taken)


def main(words: list[str]) -> None:
    """Print the table for the sizes named on the command line."""
    print("options   cars        apart ms   ratio   one undertray ms   ratio")
    base: list[float] = []
    for options in map(int, words or SIZES):
        pages = (page(options, shared=shared) for shared in (False, True))
        row = [seconds(manual_from({"p.md": text})) for text in pages]
        base = base or row
        print(
            f"{options:7}   {2**options:9,}   {row[0] * 1000:8.2f}   {row[0] / base[0]:5.2f}"
            f"   {row[1] * 1000:16.2f}   {row[1] / base[1]:5.2f}"
        )


if __name__ == "__main__":
    main(sys.argv[1:])
