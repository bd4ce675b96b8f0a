"""Stops a test run before anything below the manual's folder is imported.

Pages come from many hands. pytest imports a ``conftest.py`` and collects a ``test_*.py`` wherever
it finds one, and takes its own settings from the folder that it is started on.
"""

from __future__ import annotations

import os
from collections.abc import Generator, Iterator
from pathlib import Path

import pytest
from sybil.integration.pytest import SybilFile

SETTINGS = frozenset({
    "pytest.ini", ".pytest.ini", "pytest.toml", ".pytest.toml", "tox.ini", "setup.cfg",
    "pyproject.toml",
})  # fmt: skip
"""Files that pytest would take its settings from: they name modules to import."""

_MOST_NAMED = 10


def refuse_code(pages: Path) -> None:
    """Raise :class:`pytest.UsageError` where code stands below the manual's folder."""
    found = [
        f"{path.relative_to(pages.parent).as_posix()}: {said}" for path, said in code_below(pages)
    ]
    if found:
        more = [f"and {len(found) - _MOST_NAMED} more"] if len(found) > _MOST_NAMED else []
        raise pytest.UsageError("\n".join([*found[:_MOST_NAMED], *more, "No test was run."]))


def code_below(pages: Path) -> Iterator[tuple[Path, str]]:
    """Yield what is, or leads to, code or settings of tests below a folder, with the remedy.

    Hidden folders and those that begin with ``_`` count: pytest looks into them too.
    """
    for folder, inner, files in os.walk(pages):
        for name in sorted(inner):
            if Path(folder, name).is_symlink():
                yield Path(folder, name), "a link to a folder is not followed: remove it"
        for name in sorted(files):
            if name.lower() in SETTINGS:
                said = "settings of tests have no effect below the manual's folder: remove it"
                yield Path(folder, name), said
            elif Path(name).suffix.lower() == ".py":
                said = "code below the manual's folder is never run: move it to tests/"
                yield Path(folder, name), said


class OnlyPages:
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
