"""What jobs teach: ``python -m tests.benchmarks.lessons [alarms ARCHIVES JOBS | power ARCHIVES]``.

``alarms`` counts what is told as an effect in invented archives that have none, by kind, also at
the margins; ``power`` after how many jobs the demo's effects are found. Both are tables of
``docs/reference/lessons.md``.
"""

from __future__ import annotations

import random
import sys
from collections import Counter
from collections.abc import Callable
from typing import Any

from procedures_lib.engineering.statistics.share import share_of
from procedures_lib.judging.records.learning import learn
from procedures_lib.judging.records.lesson import KINDS
from tests.demo import demo
from tests.invented_jobs import DEMO, KITS, LOW_WRENCH, NONE, NOW, Effects, jobs_of, records, sheets

SMALLEST = ("alarms 1 12", "power 1 12")
"""The smallest runs, which the tests start."""

SIZES = (10, 20, 30, 40, 50, 60, 80, 100, 120, 160, 200, 240)


def _as_it_is(value: dict[str, Any], rng: random.Random) -> None:
    """Leave a record alone."""
    del value, rng


def _busy(value: dict[str, Any], rng: random.Random) -> None:
    """Remark on every step now and then, and hand over at any minute of the plan, by phone."""
    sheet = next(s for pair in sheets() for s in pair if s.digest == value["digest"])
    numbers = [step["number"] for step in value["steps"]]
    planned = [sheet.step_by_number[number].minutes or 1.0 for number in numbers]
    at = value["saved"]
    value["remarks"] = [
        {"step": number, "kind": rng.choice(("wrong", "missing", "unclear")), "text": "", "at": at}
        for number in numbers if rng.random() < 0.05
    ]  # fmt: skip
    if rng.random() < 0.5:
        steps = rng.choices(numbers, planned, k=rng.choice((1, 2)))
        value["handovers"] = [{"step": number, "at": at} for number in steps]


Change = Callable[[dict[str, Any], random.Random], None]


def without() -> dict[str, tuple[Effects, Change]]:
    """Archives without an effect: what is in them, and what becomes of each record."""
    slow = {step.key: 1.25 for _, now in sheets() for step in now.steps}
    low = {str(wrench.id): 0.01 for wrench in demo().shop.torque_wrenches}
    return {
        "nothing at all": (NONE, _as_it_is),
        "5 % remarks, hand-overs in half": (NONE, _busy),
        "every step takes 1.25 times": (Effects(slow=slow), _as_it_is),
        "every wrench reads 1 % low": (Effects(low=low), _as_it_is),
    }


def alarms(archives: int, jobs: int) -> None:
    """Print how many archives without effects told one, and how many lessons, by kind."""
    now = [sheet for _, sheet in sheets()]
    for name, (effects, change) in without().items():
        told, asked, wrong = 0, Counter[str](), Counter[str]()
        for seed in range(archives):
            rng = random.Random(seed)  # noqa: S311
            values = list(records(jobs, seed, effects))
            for value in values:
                change(value, rng)
            found = learn(jobs_of(iter(values)), now, demo().shop, NOW)
            asked += Counter(each.kind for each in found.lessons if each.chance is not None)
            wrong += Counter(each.kind for each in found.effects)
            told += bool(found.effects)
        share = share_of(told, archives)
        print(f"{name}: {told} of {archives} archives of {jobs} jobs, {share.share:.2%} "
              f"({share.low:.2%} to {share.high:.2%})", flush=True)  # fmt: skip
        kinds = (f"{kind} {wrong[kind]} of {asked[kind]}" for kind in KINDS if asked[kind])
        print(f"    {', '.join(kinds)}", flush=True)


def power(archives: int, most: int = SIZES[-1]) -> None:
    """Print in which share of archives of so many jobs each effect of the demo is found."""
    now = [sheet for _, sheet in sheets()]
    for jobs in (size for size in SIZES if size <= most):
        found: Counter[str] = Counter()
        for seed in range(archives):
            made = jobs_of(records(jobs, seed, DEMO))
            found += Counter(_known(each.kind, each.key or each.about)
                             for each in learn(made, now, demo().shop, NOW).effects)  # fmt: skip
        shares = (f"{kind} {found[kind] / archives:.0%}" for kind in (*EXPECTED, "other"))
        fitted = jobs / len(KITS)
        print(f"{jobs} jobs, {fitted:g} of each procedure: {', '.join(shares)}", flush=True)


EXPECTED = {"time": next(iter(DEMO.slow)), "answered": next(iter(DEMO.remarks)),
            "wrench": LOW_WRENCH}  # fmt: skip


def _known(kind: str, about: str) -> str:
    return kind if EXPECTED.get(kind) == about else "other"


if __name__ == "__main__":
    words = sys.argv[1:]
    if words[:1] == ["power"]:
        power(*map(int, words[1:] or ["200"]))
    else:
        alarms(*map(int, words[1:] or ["1000", "60"]))
