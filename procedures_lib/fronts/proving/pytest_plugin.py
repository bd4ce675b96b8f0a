"""The pytest plug-in: collects the pages of the manual, and the examples of the README.

Pages come from many hands. pytest imports a ``conftest.py`` and collects a ``test_*.py`` wherever
it finds one, and takes its own settings from the folder that it is started on: so a run stops
before anything below the manual's folder is imported.
"""

from __future__ import annotations

import os
from collections.abc import Generator, Iterator
from pathlib import Path

import pytest
from sybil.integration.pytest import SybilFile

from procedures_lib.fronts.proving.prover import Prover

_PAGES = "docs"
_OTHERS = ("README.md", "DEVELOPERS.md")

SETTINGS = frozenset({
    "pytest.ini", ".pytest.ini", "pytest.toml", ".pytest.toml", "tox.ini", "setup.cfg",
    "pyproject.toml",
})  # fmt: skip
"""Files that pytest would take its settings from: they name modules to import."""

_MOST_NAMED = 10


def _refuse_code(pages: Path) -> None:
    """Raise :class:`pytest.UsageError` where code stands below the manual's folder."""
    found = [f"{path.relative_to(pages.parent).as_posix()}: {cure}" for path, cure in _code(pages)]
    if found:
        more = [f"and {len(found) - _MOST_NAMED} more"] if len(found) > _MOST_NAMED else []
        raise pytest.UsageError("\n".join([*found[:_MOST_NAMED], *more, "No test was run."]))


def _code(pages: Path) -> Iterator[tuple[Path, str]]:
    """What is, or leads to, code or settings of tests below a folder, with the remedy.

    Hidden folders and those that begin with ``_`` count: pytest looks into them too.
    """
    for folder, inner, files in os.walk(pages):
        for name in sorted(inner):
            if Path(folder, name).is_symlink():
                yield Path(folder, name), "a link to a folder is not followed: remove it"
        for name in sorted(files):
            path = Path(folder, name)
            if name.lower() in SETTINGS:
                yield path, "settings of tests have no effect below the manual's folder: remove it"
            elif path.suffix.lower() == ".py":
                yield path, "code below the manual's folder is never run: move it to tests/"


class _OnlyPages:
    """Lets nothing but pages be collected below the manual's folder, whatever plug-ins there are.

    pytest itself would run the examples of a ``test_x.txt``.
    """

    def __init__(self, pages: Path) -> None:
        self._pages = pages

    @pytest.hookimpl(wrapper=True, tryfirst=True)
    def pytest_collect_file(
        self, file_path: Path
    ) -> Generator[None, list[pytest.Collector], list[pytest.Collector]]:
        """Drop what other plug-ins make of a file there."""
        found = yield
        if self._pages not in file_path.parents:
            return found
        return [each for each in found if isinstance(each, SybilFile)]


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
    _refuse_code(early_config.rootpath / _PAGES)


def pytest_configure(config: pytest.Config) -> None:
    """Register the collecting of pages for the project that pytest runs in."""
    config.pluginmanager.register(_Collecting(config.rootpath), "manual-pages")
    config.pluginmanager.register(_OnlyPages(config.rootpath / _PAGES), "manual-only-pages")
