"""The report: what was seeded and found, kind by kind, as it stands in ``docs``."""

from __future__ import annotations

from collections import Counter
from textwrap import fill
from typing import TYPE_CHECKING

from tests.faults.demo import PROJECT

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from tests.faults.demo import Demo
    from tests.faults.kinds import Fault
    from tests.faults.running import Outcome

PAGE = PROJECT / "docs" / "reference" / "fault-seeding.md"
BEGIN, END = "<!-- faults: begin -->", "<!-- faults: end -->"
HEADER = "| kind of fault | seeded | found | harmless | not found | mostly found by |"
SHOWN = 3
"""How many checks are named for each kind."""


def report(demo: Demo, outcomes: list[Outcome]) -> str:
    """Return the tables as Markdown."""
    return "\n".join(
        [
            fill(" ".join(_summary(demo, outcomes)), 118),
            "",
            HEADER,
            "|---|---|---|---|---|---|",
            *map(_row, outcomes),
            "",
            "### Harmless, and why",
            "",
            *_reasons(outcomes, "reason", lambda outcome: outcome.harmless),
            "",
            "### Not found, and what would find it",
            "",
            *_reasons(outcomes, "what would find it", lambda outcome: outcome.gaps),
        ]
    )


def _summary(demo: Demo, outcomes: list[Outcome]) -> Iterator[str]:
    procedures = sum(1 for _ in demo.manual.plans())
    seeded = sum(outcome.seeded for outcome in outcomes)
    sites = sum(outcome.sites for outcome in outcomes)
    found, harmless, left = map(sum, zip(*map(_counts, outcomes), strict=True))
    share = 100 * found / (found + left)
    yield f"The demo has {procedures} procedures, and room for {sites:,} such faults of"
    yield f"{len(outcomes)} kinds; {seeded:,} were seeded. {found:,} are found, {harmless:,} are"
    yield f"harmless, and {left:,} are not found. Of those that matter, {share:.0f} % are found."


def _counts(outcome: Outcome) -> tuple[int, int, int]:
    left = len(outcome.gaps) + len(outcome.missed)
    return len(outcome.found), len(outcome.harmless), left


def _row(outcome: Outcome) -> str:
    seeded = str(outcome.seeded)
    if outcome.seeded < outcome.sites:
        seeded += f" of {outcome.sites}"
    by = Counter(check for _, checks in outcome.found for check in checks)
    ranked = sorted(by, key=lambda check: (-by[check], check))
    names = ", ".join(f"[`{check}`](../checks/{check}.md)" for check in ranked[:SHOWN])
    cells = (outcome.kind.name, seeded, *map(str, _counts(outcome)), names)
    return f"| {' | '.join(cells)} |"


def _reasons(
    outcomes: list[Outcome], title: str, of: Callable[[Outcome], Iterable[tuple[Fault, str]]]
) -> Iterator[str]:
    number: Counter[str] = Counter()
    kinds: dict[str, dict[str, None]] = {}
    for outcome in outcomes:
        for _, reason in of(outcome):
            number[reason] += 1
            kinds.setdefault(reason, {})[outcome.kind.name] = None
    yield f"| {title} | faults | of the kinds |"
    yield "|---|---|---|"
    for reason in sorted(number, key=lambda reason: (-number[reason], reason)):
        yield f"| {reason} | {number[reason]} | {'; '.join(kinds[reason])} |"


def written_into(page: str, text: str) -> str:
    """Return the page with the report between its marks."""
    before, rest = page.split(BEGIN)
    _, after = rest.split(END)
    return f"{before}{BEGIN}\n\n{text}\n\n{END}{after}"
