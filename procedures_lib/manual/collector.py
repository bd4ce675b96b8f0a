"""Work on all pages without Python's collector, which would look at them again and again."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def uncollected() -> Iterator[None]:
    """Have the collector of cycles wait: reading and checking a page makes next to none.

    What was made meanwhile counts as old afterwards, so that it is not looked through at once.
    """
    running = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if running:
            if not gc.get_freeze_count():
                gc.freeze()
                gc.unfreeze()  # puts all among the oldest
            gc.enable()
