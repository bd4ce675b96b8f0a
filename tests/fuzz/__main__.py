"""``python -m tests.fuzz [MINUTES] [--seed N] [--only NAME]``: fuzzes for long, by hand.

Prints what fails, each with its seed and smallest example, and at the end a row for each target.
"""

from __future__ import annotations

import argparse
import resource
import sys

from tests.fuzz.running import Tally, run
from tests.fuzz.targets import TARGETS


def main(words: list[str]) -> int:
    """Run; 1 when something failed."""
    asked = _asked(words)
    chosen = {name: target for name, target in TARGETS.items() if asked.only in ("", name)}
    tallies: dict[str, Tally] = {}
    told: dict[str, int] = {}
    for name, tally in run(chosen, asked.minutes, asked.seed):
        for failure in tally.failures[told.get(name, 0) :]:
            print(f"== {name}: {failure}", flush=True)
        told[name] = len(tally.failures)
        tallies[name] = tally
    _report(tallies)
    return int(any(tally.failures for tally in tallies.values()))


def _asked(words: list[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz")
    parser.add_argument("minutes", nargs="?", type=float, default=1.0)
    parser.add_argument("--seed", type=int, default=1, help="of the first round; counted up")
    parser.add_argument("--only", default="", choices=["", *TARGETS], help="one target alone")
    return parser.parse_args(words)


def _report(tallies: dict[str, Tally]) -> None:
    print("target       examples  failed  slowest s  largest bytes")
    for name, tally in tallies.items():
        print(f"{name:10} {tally.examples:10,} {len(tally.failures):7} {tally.slowest:10.2f}"
              f" {tally.largest:14,}")  # fmt: skip
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"most memory of the process: {peak:.0f} MB")


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
