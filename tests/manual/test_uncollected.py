"""The collector of cycles waits while pages are read, and goes on as it was set before."""

from __future__ import annotations

import gc
import weakref
from typing import TYPE_CHECKING

import pytest

from procedures_lib.manual.folder import uncollected

if TYPE_CHECKING:
    from collections.abc import Iterator


@pytest.fixture
def _as_it_was() -> Iterator[None]:
    running = gc.isenabled()
    yield
    (gc.enable if running else gc.disable)()


class Ring:
    """Holds itself, so that only the collector frees it."""

    def __init__(self) -> None:
        self.ring = self


def stopped() -> None:
    with uncollected():
        assert not gc.isenabled()
        with uncollected():
            assert not gc.isenabled()
        assert not gc.isenabled()
        raise ValueError("stop")


@pytest.mark.usefixtures("_as_it_was")
@pytest.mark.parametrize("running", [True, False])
def test_it_goes_on_as_it_was_set(running: bool) -> None:
    (gc.enable if running else gc.disable)()
    with pytest.raises(ValueError, match="stop"):
        stopped()
    assert gc.isenabled() is running


@pytest.mark.usefixtures("_as_it_was")
def test_what_was_made_meanwhile_is_old_and_freed_all_the_same() -> None:
    gc.enable()
    frozen = gc.get_freeze_count()
    with uncollected():
        ring = Ring()
    assert gc.get_freeze_count() == frozen
    if not frozen:
        assert any(each is ring for each in gc.get_objects(generation=2))
    known = weakref.ref(ring)
    del ring
    gc.collect()
    assert known() is None
