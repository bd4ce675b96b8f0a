"""Joints from a few words, for the tests of their judgement."""

from __future__ import annotations

from typing import Any

from procedures_lib.engineering.threads import read_thread
from procedures_lib.engineering.tightening import read_stages
from procedures_lib.engineering.tightening.joint import Joint, Verdict
from procedures_lib.engineering.tightening.judgement import judge

HEXES = {5: 8, 6: 10, 7: 11, 8: 13, 10: 16, 12: 18, 14: 21, 16: 24, 18: 27, 20: 30, 22: 34, 24: 36}
"""Width across flats in mm of a hexagon head by diameter, ISO 4014."""


def joint(thread: str, grade: str, *stages: str, **fields: Any) -> Joint:
    """A joint whose stages are written as on a page."""
    return Joint(read_thread(thread), grade, read_stages(list(stages)), **fields)


def verdict_on(thread: str, grade: str, *stages: str, **fields: Any) -> Verdict:
    """The verdict on a joint that can be judged."""
    found = judge(joint(thread, grade, *stages, **fields))
    assert found is not None
    return found


def faults_of(thread: str, grade: str, *stages: str, **fields: Any) -> list[tuple[str, str]]:
    """The faults of a joint: name and level."""
    found = judge(joint(thread, grade, *stages, **fields))
    return [(fault.check, str(fault.level)) for fault in found.faults] if found else []


OVER = ("torque-implausible", "error")
LOW = ("torque-implausible", "warning")
