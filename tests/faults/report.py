"""The report: what was seeded and found, by how bad it is and by kind, as it stands in ``docs``."""

from __future__ import annotations

from collections import Counter
from math import sqrt
from textwrap import fill
from typing import TYPE_CHECKING

from tests.faults.demo import PROJECT
from tests.faults.judged import words_of
from tests.faults.kinds import Severity

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tests.faults.demo import Demo
    from tests.faults.running import Outcome

PAGE = PROJECT / "docs" / "reference" / "fault-seeding.md"
BEGIN, END = "<!-- faults: begin -->", "<!-- faults: end -->"
WORST = "| what it does | seeded | reported | harmless | not reported | of those that matter |"
HEADER = "| kind of fault | room for | seeded | reported | harmless | not reported | mostly by |"
LATENT = "latent: "
"""How the reason begins where no work goes wrong yet, but a fact that checks lean on is wrong."""
SHOWN = 3
"""How many checks are named for each kind."""


def report(demo: Demo, outcomes: list[Outcome]) -> str:
    """Return the tables as Markdown."""
    return "\n".join(
        [
            fill(" ".join(_summary(demo, outcomes)), 118),
            "",
            *by_severity(outcomes),
            "",
            "### Kind by kind",
            "",
            HEADER,
            "|---|---|---|---|---|---|---|",
            *map(_row, outcomes),
            "",
            "### Not reported, and what would report it",
            "",
            *_gaps(outcomes),
        ]
    )


def _summary(demo: Demo, outcomes: list[Outcome]) -> Iterator[str]:
    procedures = sum(1 for _ in demo.manual.plans())
    sites = sum(outcome.sites for outcome in outcomes)
    seeded = sum(outcome.seeded for outcome in outcomes)
    found, left = totals(outcomes, Severity.INJURES, Severity.DAMAGES)
    low, high = _interval(found, found + left)
    yield f"The demo has {procedures} procedures, and room for {sites:,} such faults of"
    yield f"{len(outcomes)} kinds; {seeded:,} were drawn. Of those that injure or damage,"
    yield f"**{_share(found, left)}** are reported ({found} of {found + left}; by chance of the"
    yield f"draw {low:.0f} to {high:.0f} %)."
    hidden = sum(
        outcome.severities[words_of(outcome.kind.name, fault)] is not Severity.WASTES
        for outcome in outcomes
        for fault, needs in outcome.gaps
        if needs.startswith(LATENT)
    )
    yield f"Of those that are not, {hidden} are latent; without them it is"
    yield f"{_share(found, left - hidden)}."


def totals(outcomes: list[Outcome], *worst: Severity) -> tuple[int, int]:
    """How many of some severities are found, and how many are neither found nor harmless."""
    found = left = 0
    for outcome in outcomes:
        met = outcome.count([fault for fault, _ in outcome.found])
        missed = outcome.count(outcome.survivors)
        found += sum(met[one] for one in worst)
        left += sum(missed[one] for one in worst)
    return found, left


def _share(found: int, left: int) -> str:
    return f"{100 * found / (found + left):.0f} %" if found + left else "–"


def _interval(found: int, of: int) -> tuple[float, float]:
    """The 95 % interval of a share, in per cent, after Wilson, J. Am. Stat. Assoc. 22 (1927)."""
    if not of:
        return 0.0, 100.0
    z, share = 1.96, found / of
    middle = (share + z * z / (2 * of)) / (1 + z * z / of)
    half = z / (1 + z * z / of) * sqrt(share * (1 - share) / of + z * z / (4 * of * of))
    return 100 * (middle - half), 100 * (middle + half)


def by_severity(outcomes: list[Outcome]) -> Iterator[str]:
    """Yield the table of what injures, damages, wastes time."""
    yield WORST
    yield "|---|---|---|---|---|---|"
    for worst in Severity:
        found, left = totals(outcomes, worst)
        harmless = sum(o.count([fault for fault, _ in o.harmless])[worst] for o in outcomes)
        cells = (worst.value, found + left + harmless, found, harmless, left, _share(found, left))
        yield f"| {' | '.join(map(str, cells))} |"


def _row(outcome: Outcome) -> str:
    by = Counter(check for _, checks in outcome.found for check in checks)
    ranked = sorted(by, key=lambda check: (-by[check], check))
    names = ", ".join(f"[`{check}`](../checks/{check}.md)" for check in ranked[:SHOWN])
    counts = (len(outcome.found), len(outcome.harmless), len(outcome.survivors))
    cells = (outcome.kind.name, outcome.sites, outcome.seeded, *counts, names)
    return f"| {' | '.join(map(str, cells))} |"


def _gaps(outcomes: list[Outcome]) -> Iterator[str]:
    """Yield the causes of what is not reported: how many injure, damage, waste; an example."""
    number: dict[str, Counter[Severity]] = {}
    example: dict[str, str] = {}
    for outcome in outcomes:
        for fault, needs in (*outcome.gaps, *((one, "not judged yet") for one in outcome.missed)):
            number.setdefault(needs, Counter()).update(outcome.count([fault]))
            example.setdefault(needs, f"{fault.page}: {fault.what}")
    yield "| what would report it | injure | damage | waste | for example |"
    yield "|---|---|---|---|---|"
    for needs in sorted(number, key=lambda needs: (-number[needs].total(), needs)):
        counts = (number[needs][worst] for worst in Severity)
        said = f"`` {example[needs].replace('|', ' ')} ``"  # it has roles and code in it
        yield f"| {' | '.join(map(str, (needs, *counts, said)))} |"


def written_into(page: str, text: str) -> str:
    """Return the page with the report between its marks."""
    before, rest = page.split(BEGIN)
    _, after = rest.split(END)
    return f"{before}{BEGIN}\n\n{text}\n\n{END}{after}"
