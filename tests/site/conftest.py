"""Fixtures of the site's tests."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.site.building import built_once

if TYPE_CHECKING:
    from tests.site.building import Built


@pytest.fixture(scope="session")
def demo_built(tmp_path_factory: pytest.TempPathFactory) -> Built:
    """The project's own manual, built once for all tests; nothing may write into it."""
    return built_once(tmp_path_factory)
