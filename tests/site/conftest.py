"""Fixtures of the site's tests."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.site.building import project_manual

if TYPE_CHECKING:
    from tests.site.building import Built


@pytest.fixture(scope="session")
def demo_built(tmp_path_factory: pytest.TempPathFactory) -> Built:
    """The project's own manual, built once, by one process; nothing may write into it."""
    return project_manual(tmp_path_factory.mktemp("demo")).build()
