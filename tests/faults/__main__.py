"""``python -m tests.faults``: seeds a sample of every kind, and writes the report into ``docs``.

Words after it choose kinds by a part of their name; then nothing is written. ``controls`` makes the
edits that are right instead, and prints what is reported of them.
"""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

from tests.faults import (  # noqa: F401  (each puts its edits on the list)
    controls_of_facts,
    controls_of_work,
)
from tests.faults.controls import CONTROLS, PLACES, alarms
from tests.faults.demo import demo
from tests.faults.judged import words_of
from tests.faults.kinds import KINDS
from tests.faults.report import PAGE, by_severity, report, written_into
from tests.faults.running import Lists, Outcome, run_kind

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tests.faults.judged import Judged

MOST = 16
"""At most so many faults of a kind, so that each survivor can be looked at."""


def main(words: list[str]) -> int:
    """Seed, print what nobody has judged yet, and write the report; 1 when there is such."""
    chosen = [kind for kind in KINDS.values() if not words or any(w in kind.name for w in words)]
    lists = Lists()
    outcomes = []
    for kind in chosen:
        outcomes.append(run_kind(demo(), kind, lists, MOST))
        _say(outcomes[-1])
    for line in (*by_severity(outcomes), *_unjudged(outcomes)):
        print(line)
    if not words:
        for line in (*_unused(lists.harmless, "harmless"), *_unused(lists.gaps, "gaps")):
            print(line)
        page = PAGE.read_text(encoding="utf-8")
        PAGE.write_text(written_into(page, report(demo(), outcomes)), encoding="utf-8")
    return int(any(outcome.missed for outcome in outcomes))


def controls(most: int = PLACES) -> int:
    """Make the right edits, and print those that are reported; 1 when there is such."""
    wrong = 0
    for name in CONTROLS:
        for edit, found in alarms(demo(), name, most):
            wrong += 1
            print(f"{words_of(name, edit)}\n    {found[0].text()}")
    print(f"{len(CONTROLS)} kinds of right edits, {wrong} reported")
    return int(wrong > 0)


def _say(outcome: Outcome) -> None:
    found, harmless = len(outcome.found), len(outcome.harmless)
    left = len(outcome.survivors)
    said = (
        f"{outcome.seeded:4} seeded {found:4} reported {harmless:4} harmless {left:4} not reported"
    )
    print(f"{said}  {outcome.kind.name}", flush=True)


def _unjudged(outcomes: list[Outcome]) -> Iterator[str]:
    for outcome in outcomes:
        for fault in outcome.missed:
            worst = outcome.severities[words_of(outcome.kind.name, fault)]
            yield f"not judged, {worst}: {words_of(outcome.kind.name, fault)}"


def _unused(judged: Judged, name: str) -> Iterator[str]:
    return (f"take out of {name}.toml, it is reported or not drawn: {w}" for w in judged.unused())


if __name__ == "__main__":
    words = sys.argv[1:]
    raise SystemExit(controls() if words == ["controls"] else main(words))
