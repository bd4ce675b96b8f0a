"""The long run: rounds over all targets until the time is up; failures are told and passed over."""

from __future__ import annotations

import time
import traceback
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from hypothesis import HealthCheck, Phase, given, seed, settings

from tests.fuzz.manuals import Spoilt, raw_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tests.fuzz.targets import Target

_MINUTE = 60


@dataclass(slots=True)
class Tally:
    """What became of a target: how many examples, the slowest of them, and the failures."""

    examples: int = 0
    slowest: float = 0.0
    largest: int = 0
    failures: list[str] = field(default_factory=list)

    def note(self, seconds: float, size: int) -> None:
        """Note one example: processor time, and the size of what was read."""
        self.examples += 1
        self.largest = max(self.largest, size)
        self.slowest = max(self.slowest, seconds)


def run(targets: dict[str, Target], minutes: float, first: int) -> Iterator[tuple[str, Tally]]:
    """Yield a target's tally after each of its rounds; the seeds are counted up from ``first``."""
    end = time.monotonic() + minutes * _MINUTE
    tallies = {name: Tally() for name in targets}
    number = first
    while time.monotonic() < end:
        for name, target in targets.items():
            _round(target, tallies[name], number)
            yield name, tallies[name]
        number += 1


def _round(target: Target, tally: Tally, number: int) -> None:
    """Try a target with one seed; of what fails the smallest example is kept, with its trace."""

    def timed(drawn: Any) -> None:
        begun = time.process_time()
        try:
            target.holds(drawn)
        finally:
            tally.note(time.process_time() - begun, _size(drawn))

    quick = settings(
        max_examples=target.each,
        deadline=None,
        database=None,
        report_multiple_bugs=False,
        phases=(Phase.generate, Phase.shrink),
        suppress_health_check=list(HealthCheck),
    )
    try:
        seed(number)(quick(given(target.strategy)(timed)))()
    except BaseException as error:
        if isinstance(error, KeyboardInterrupt | SystemExit):
            raise
        tally.failures.append(f"seed {number}\n{''.join(traceback.format_exception(error)[-9:])}")


def _size(drawn: Any) -> int:
    return len(raw_of(drawn.text)) if isinstance(drawn, Spoilt) else len(drawn)
