"""Tests in two processes: what has to stay together goes to one of them, whole."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.conftest import SHARED, Sharing

PROJECT = Path(__file__).resolve().parents[2]
PAGE = "docs/reference/library.md"


@pytest.mark.parametrize(
    ("one", "other", "together"),
    [
        (f"{PAGE}::line:10,column:1", f"{PAGE}::line:20,column:1", True),
        ("tests/walk/test_region.py::test_a", "tests/walk/test_region.py::test_b[x::y]", True),
        ("tests/walk/test_region.py::test_a", "tests/walk/test_kits.py::test_a", False),
        ("tests/browser/test_find.py::test_a", "tests/browser/test_car.py::test_b", True),
        ("tests/site/test_find.py::test_a", "tests/browser/test_find.py::test_a", False),
    ],
)
def test_what_goes_to_one_process(one: str, other: str, together: bool) -> None:
    sharing = Sharing.__new__(Sharing)
    assert (sharing._split_scope(one) == sharing._split_scope(other)) is together


@pytest.mark.parametrize("folder", SHARED)
def test_a_folder_that_shares_is_there(folder: str) -> None:
    assert [*(PROJECT / folder).glob("test_*.py")]
