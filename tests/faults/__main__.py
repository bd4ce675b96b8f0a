"""``python -m tests.faults``: seeds every fault, and writes the report into ``docs``.

Words after it choose kinds by a part of their name; then nothing is written.
"""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from tests.faults.demo import demo
from tests.faults.judged import BETWEEN
from tests.faults.kinds import KINDS
from tests.faults.report import PAGE, report, written_into
from tests.faults.running import Lists, Outcome, run_kind

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tests.faults.judged import Judged

MOST = 250
"""At most so many faults of a kind: of more, every second, third … is taken."""


def main(words: list[str]) -> int:
    """Seed, print what nobody has judged yet, and write the report; 1 when there is such."""
    chosen = [kind for kind in KINDS.values() if not words or any(w in kind.name for w in words)]
    lists = Lists()
    outcomes = []
    for kind in chosen:
        outcomes.append(run_kind(demo(), kind, lists, MOST))
        _say(outcomes[-1])
    for line in (*_unjudged(outcomes), *_unused(lists.harmless, outcomes, "harmless.toml"),
                 *_unused(lists.gaps, outcomes, "gaps.toml")):  # fmt: skip
        print(line)
    if not words:
        page = PAGE.read_text(encoding="utf-8")
        PAGE.write_text(written_into(page, report(demo(), outcomes)), encoding="utf-8")
    return int(any(outcome.missed for outcome in outcomes))


def _say(outcome: Outcome) -> None:
    found, harmless = len(outcome.found), len(outcome.harmless)
    left = len(outcome.gaps) + len(outcome.missed)
    said = f"{outcome.seeded:4} seeded {found:4} found {harmless:4} harmless {left:4} not found"
    print(f"{said}  {outcome.kind.name}", flush=True)


def _unjudged(outcomes: list[Outcome]) -> Iterator[str]:
    for outcome in outcomes:
        for fault in outcome.missed:
            yield f"not judged: {BETWEEN.join((outcome.kind.name, fault.page, fault.what))}"


def _unused(judged: Judged, outcomes: list[Outcome], name: str) -> Iterator[str]:
    """Yield what is on a list and does not survive, of kinds of which all faults were seeded."""
    whole = {outcome.kind.name for outcome in outcomes if outcome.seeded == outcome.sites}
    for pattern in judged.unused():
        if pattern.kind in whole:
            yield f"take out of {name}, it is found: {pattern}"


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
