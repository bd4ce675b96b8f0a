"""Two folders change places at one stroke, where the system can do that."""

from __future__ import annotations

import ctypes
import errno
import os
import sys
from functools import cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

_HERE = -100  # AT_FDCWD of Linux: a path counts from the current folder
_EXCHANGE = 2  # RENAME_EXCHANGE of Linux, RENAME_SWAP of macOS
_NOT_HERE = frozenset({errno.EINVAL, errno.ENOSYS, errno.ENOTSUP, errno.EOPNOTSUPP})


def exchange(one: Path, other: Path) -> bool:
    """Have two folders on one disk change places; False where system or disk can't, and nothing is
    done. An :class:`OSError` for anything else that is in the way.
    """
    swap = _swap()
    if swap is None:
        return False
    if swap(os.fsencode(one), os.fsencode(other)) == 0:
        return True
    number = ctypes.get_errno()
    if number in _NOT_HERE:
        return False
    raise OSError(number, os.strerror(number), str(one), None, str(other))


@cache
def _swap() -> Callable[[bytes, bytes], int] | None:
    """The system's own function; None where there is none."""
    if sys.platform == "win32":
        return None
    library = ctypes.CDLL(None, use_errno=True)
    if sys.platform == "darwin":
        rename = getattr(library, "renamex_np", None)
        return rename and (lambda one, other: int(rename(one, other, _EXCHANGE)))
    rename = getattr(library, "renameat2", None)
    return rename and (lambda one, other: int(rename(_HERE, one, _HERE, other, _EXCHANGE)))
