"""Fixtures of the command line's tests."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.cli.world import make_manual

if TYPE_CHECKING:
    from pathlib import Path


@pytest.fixture
def manual(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder of a manual without findings, made the current folder."""
    folder = make_manual(tmp_path / "project")
    monkeypatch.chdir(folder)
    return folder
