"""Watches folders and tells when something in them was saved."""

from __future__ import annotations

import queue
import threading
import time
from typing import TYPE_CHECKING, Self

from watchfiles import watch

if TYPE_CHECKING:
    from pathlib import Path

_MOMENT = 0.5


class Watch:
    """Watches folders from a thread of its own, so that no save is lost while a build runs."""

    def __init__(self, *folders: Path) -> None:
        self._folders = folders
        self._seen: queue.SimpleQueue[Exception | None] = queue.SimpleQueue()
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, daemon=True)

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._stop.set()
        self._thread.join(timeout=2)

    def wait(self, quiet: float | None = None) -> bool:
        """Return True when something was saved since the last call; raise what stopped the watch.

        Return False after ``quiet`` seconds without a save.
        """
        end = None if quiet is None else time.monotonic() + quiet
        while end is None or time.monotonic() < end:
            try:
                seen = self._seen.get(timeout=_MOMENT)  # short: Windows hears no Ctrl-C meanwhile
            except queue.Empty:
                continue
            while not self._seen.empty():
                seen = self._seen.get() or seen
            if seen is not None:
                raise seen
            return True
        return False

    def _run(self) -> None:
        try:
            for _ in watch(*self._folders, stop_event=self._stop, raise_interrupt=False):
                self._seen.put(None)
        except Exception as error:
            self._seen.put(error)
