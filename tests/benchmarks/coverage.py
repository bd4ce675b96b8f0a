"""How often intervals hold the true gain: ``python -m tests.benchmarks.coverage [COUNT] [SEED]``.

Prints the tables of ``docs/reference/dyno.md``: intervals that hold the truth, sessions without a
fault that are doubted, and faults that are found.
"""

from __future__ import annotations

import sys
from collections import Counter
from random import Random

from tests.dyno.simulated import (
    DROVER,
    DROVER_420,
    FINCH,
    FINCH_220,
    Session,
    Side,
    any_clean,
    any_large,
    hits,
    true_peak,
    without_kit,
    worked_out,
)
from tests.dyno.simulated_faults import FAULTS

SMALLEST = ("2 1",)
"""The smallest runs, which the tests start."""

NOTHING, KIT, HEADERS = (FINCH, FINCH), (FINCH, FINCH_220), (DROVER, DROVER_420)
QUIET, LOUD = 0.0025, 0.03
TURNS = {3: ((0, 20, 40), (10, 30, 50)), 6: (tuple(range(0, 120, 20)), tuple(range(10, 130, 20)))}

SESSIONS = {
    "like noise, like scatter, 3+3": Session(KIT),
    "no gain, noise 0.25 and 3 %, 3+3": Session(NOTHING, (Side(QUIET), Side(LOUD))),
    "noise 0.25 and 3 %, 2+2": Session(KIT, (Side(QUIET, pulls=2), Side(LOUD, pulls=2))),
    "noise 0.25 and 3 %, 4+4": Session(HEADERS, (Side(QUIET, pulls=4), Side(LOUD, pulls=4))),
    "noise 0.25 and 3 %, 6+6": Session(KIT, (Side(QUIET, pulls=6), Side(LOUD, pulls=6))),
    "noise 3 and 0.25 %, 3+5": Session(HEADERS, (Side(LOUD), Side(QUIET, pulls=5))),
    "scatter 0.2 and 1 %, 2+2": Session(
        KIT, (Side(scatter=0.002, pulls=2), Side(scatter=0.01, pulls=2))
    ),
    "scatter 0.5 and 0.5 %, 2+2": Session(
        KIT, (Side(scatter=0.005, pulls=2), Side(scatter=0.005, pulls=2))
    ),
    "scatter 0.2 and 1 %, 3+3": Session(KIT, (Side(scatter=0.002), Side(scatter=0.01))),
    "scatter 1 and 0.2 %, 3+4": Session(
        HEADERS, (Side(scatter=0.01), Side(scatter=0.002, pulls=4))
    ),
    "scatter 1 and 0.2 %, 6+6": Session(
        HEADERS, (Side(scatter=0.01, pulls=6), Side(scatter=0.002, pulls=6))
    ),
    "scatter 1 and 0.2 %, 2+6": Session(
        KIT, (Side(scatter=0.01, pulls=2), Side(scatter=0.002, pulls=6))
    ),
    "rows 100 rpm apart, 3+3": Session(KIT, step=100),
    "drift of 1 % an hour, in turns, 3+3": Session(KIT, minutes=TURNS[3], drift=0.01 / 60),
    "the same, noise 0.25 and 3 %": Session(
        KIT, (Side(QUIET), Side(LOUD)), minutes=TURNS[3], drift=0.01 / 60
    ),
    "drift of 1 % an hour, scatter 0.2 and 1 %, in turns, 6+6": Session(
        KIT, (Side(scatter=0.002, pulls=6), Side(scatter=0.01, pulls=6)),
        minutes=TURNS[6], drift=0.01 / 60,
    ),
}  # fmt: skip

CLEAN = {"clean": (any_clean, 1.0), "large kits": (any_large, 0.2), "no kit": (without_kit, 0.25)}
"""Sessions without a fault, and how many of them, as a share."""


def coverage(count: int, seed: int) -> None:
    """Print the share of intervals that hold the truth, a row for each kind of session."""
    print("| sessions | peak power | peak torque | mean power | mean torque | bias | half |")
    print("|---|---|---|---|---|---|---|")
    for name, session in SESSIONS.items():
        random = Random(f"{seed} {name}")  # noqa: S311 - noise, no secret
        held, estimates, halves = Counter[int](), 0.0, 0.0
        for _ in range(count):
            gains, _ = worked_out(session, random, doubted=False)
            held.update(n for n, hit in enumerate(hits(session, gains)) if hit)
            estimates += gains[0].at_peak.estimate
            halves += gains[0].at_peak.half or 0.0
        shares = " | ".join(f"{held[n] / count * 100:.1f} %" for n in range(4))
        bias = estimates / count - true_gain(session)
        print(f"| {name} | {shares} | {bias:+.2f} kW | {halves / count:.2f} kW |", flush=True)


def true_gain(session: Session) -> float:
    """The true gain in peak power, in kW."""
    return true_peak(session.engines[1], "power") - true_peak(session.engines[0], "power")


def false_alarms(count: int, seed: int) -> None:
    """Print how many sessions without a fault are doubted."""
    for name, (make, share) in CLEAN.items():
        random = Random(f"{seed} {name}")  # noqa: S311 - noise, no secret
        told, number = Counter[str](), max(1, round(count * share))
        for _ in range(number):
            _, found = worked_out(make(random), random)
            told.update(doubt.check for doubt in found)
        print(f"{name}: {told.total()} doubts in {number} sessions without a fault: {dict(told)}")


def faults(count: int, seed: int) -> None:
    """Print how often each fault is found, and what else is said then."""
    for name, (make, check) in FAULTS.items():
        random = Random(f"{seed} {name}")  # noqa: S311 - noise, no secret
        told, gained = Counter[str](), 0.0
        for _ in range(count):
            gains, found = worked_out(make(), random)
            told.update({doubt.check for doubt in found})
            gained += gains[0].at_peak.estimate
        others = {other: n for other, n in told.items() if other != check}
        print(
            f"| {name} | `{check}` | {told[check]} of {count} | {gained / count:+.1f} kW |", others
        )


def main() -> None:
    """Print the three tables."""
    count, seed = (int(word) for word in (*sys.argv[1:], *("2000", "1")[len(sys.argv) - 1 :]))
    coverage(count, seed)
    false_alarms(count, seed)
    faults(max(1, count // 20), seed)


if __name__ == "__main__":
    main()
