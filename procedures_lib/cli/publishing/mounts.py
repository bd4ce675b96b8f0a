"""Disks: where they are mounted, and how much is free on them."""

from __future__ import annotations

import os
import re
import shutil
from pathlib import Path

_TABLE = Path("/proc/self/mountinfo")
_OCTAL = re.compile(r"\\(\d{3})")


def mounts_in(folder: Path) -> list[Path]:
    """Return the folders that are mount points, from this one down; without links."""
    try:
        table = _TABLE.read_text("utf-8", "surrogateescape")
    except OSError:  # not Linux
        return [folder] if os.path.ismount(folder) else []
    points = {Path(_OCTAL.sub(_char, line.split()[4])) for line in table.splitlines()}
    return sorted(point for point in points if point.is_relative_to(folder))


def _char(match: re.Match[str]) -> str:
    return chr(int(match[1], 8))


def disk_of(path: Path) -> Path:
    """Return where the disk is mounted that holds a path, which need not exist."""
    place = path.absolute()
    while not os.path.lexists(place):
        place = place.parent
    place = place.resolve()
    while not os.path.ismount(place):
        place = place.parent
    return place


def free_on(disk: Path) -> str:
    """Return in words how much is free on a disk: ``2.1 of 64.0 GB``."""
    usage = shutil.disk_usage(disk)
    unit, size = next(((u, s) for u, s in _UNITS if usage.total >= s), _UNITS[-1])
    words = f"{usage.free / size:.1f} of {usage.total / size:.1f} {unit}"
    if hasattr(os, "statvfs") and (files := os.statvfs(disk)).f_files and not files.f_favail:
        words += ", but it can hold no more files"
    return words


_UNITS = (("GB", 1_000_000_000), ("MB", 1_000_000), ("kB", 1_000))
