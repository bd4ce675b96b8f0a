"""The pytest plug-in: collects the pages of the manual, and the examples of the README."""

from __future__ import annotations

from pathlib import Path

import pytest

from procedures_lib.fronts.proving.guard import OnlyPages, refuse_code
from procedures_lib.fronts.proving.prover import Prover

_PAGES = "docs"
_OTHERS = ("README.md", "DEVELOPERS.md")


class _Collecting:
    """Hands pages to sybil."""

    def __init__(self, root: Path) -> None:
        prover = Prover(
            root / _PAGES, root / "conf" / "shop.toml", tuple(root / name for name in _OTHERS)
        )
        self._root = root
        self._collect = prover.sybil().pytest()

    def pytest_collect_file(
        self, file_path: Path, parent: pytest.Collector
    ) -> pytest.Collector | None:
        """Collect a page of the manual as a file of tests; anything else is left to others."""
        if file_path.suffix != ".md" or not file_path.is_relative_to(self._root):
            return None
        found: pytest.Collector | None = self._collect(file_path, parent)
        return found


@pytest.hookimpl(tryfirst=True)
def pytest_load_initial_conftests(early_config: pytest.Config) -> None:
    """Stop before pytest imports anything, where code stands below the manual's folder."""
    refuse_code(early_config.rootpath / _PAGES)


def pytest_configure(config: pytest.Config) -> None:
    """Register the collecting of pages for the project that pytest runs in."""
    config.pluginmanager.register(_Collecting(config.rootpath), "manual-pages")
    config.pluginmanager.register(OnlyPages(config.rootpath / _PAGES), "manual-only-pages")
