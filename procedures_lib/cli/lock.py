"""One build at a time in one folder."""

from __future__ import annotations

import sys
from contextlib import contextmanager
from typing import IO, TYPE_CHECKING, Any

if sys.platform != "win32":
    import fcntl

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path


@contextmanager
def held(path: Path, waiting: Callable[[], None]) -> Iterator[None]:
    """Hold a lock file; when another process holds it, call ``waiting`` and wait.

    The lock goes with the process that holds it, however that ends. On Windows nothing is locked.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("w") as file:
        if not _taken(file, wait=False):
            waiting()
            _taken(file, wait=True)
        yield


def _taken(file: IO[Any], wait: bool) -> bool:
    if sys.platform == "win32":
        return True
    try:
        fcntl.flock(file, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
    except BlockingIOError:
        return False
    return True
