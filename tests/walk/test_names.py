"""Every check of the walk's families is emitted by the code, and stands in a test."""

from __future__ import annotations

from pathlib import Path

import pytest

import procedures_lib
from procedures_lib.judging.checks.catalogue import CATALOGUE

FAMILIES = {"open items", "order of work", "hazards", "hardware", "variants"}
NAMES = sorted(name for name, check in CATALOGUE.items() if check.family in FAMILIES)
LIBRARY = Path(procedures_lib.__file__).parent
CODE = "".join(
    path.read_text(encoding="utf-8")
    for folder in ("walk", "judging/checks", "language/entities")
    for path in (LIBRARY / folder).glob("*.py")
    if path.name != "catalogue.py"
)
TESTS = "".join(
    path.read_text(encoding="utf-8")
    for folder in ("walk", "checks")
    for path in (Path(__file__).parents[1] / folder).glob("test_*.py")
    if path.name != "test_catalogue.py"
)


@pytest.mark.parametrize("name", NAMES)
def test_a_check_is_emitted_and_tested(name: str) -> None:
    assert f'"{name}"' in CODE
    assert f'"{name}"' in TESTS


FIXED = """
left-disconnected left-off left-loose left-covered left-drained left-unbled left-isolated
left-raised left-on-discarded not-reachable still-held still-connected nothing-to-undo
fitted-over-cover uncovered-opening tightened-too-early ride-height not-announced hazard-live
hazard-not-shown no-leak-test battery-order under-unsupported-car licensed-work
reused-single-use thread-mismatch count-mismatch not-in-kit not-used quantity-short
unknown-option never-true no-calibration-for
"""


def test_the_names_that_the_design_fixes_are_all_there() -> None:
    assert set(FIXED.split()) <= set(NAMES)
