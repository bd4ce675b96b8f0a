"""Contents of files by their hash, remembered from one publication to the next by their times."""

from __future__ import annotations

import hashlib
import json
import os
import stat
from typing import TYPE_CHECKING, Any, NamedTuple

from procedures_lib.cli.exits import Refused
from procedures_lib.cli.folders import relative
from procedures_lib.cli.publishing.site_list import Content
from procedures_lib.exports.offline import HASH_DIGITS

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path


class Known(NamedTuple):
    """A content, and the times of the file as built and as served that have it, in ns."""

    content: Content
    built: int
    served: int


def built_files(folder: Path) -> dict[str, os.stat_result]:
    """Return the state of each file that Sphinx has left, by its path, but for hidden ones.

    :class:`Refused` for a link, or whatever else is no plain file.
    """
    found = {}
    for path, entry in _entries(f"{folder}/", ""):
        found[path] = entry.stat(follow_symlinks=False)
        if not stat.S_ISREG(found[path].st_mode):
            raise Refused(f"not published: {relative(folder / path)} is no plain file.")
    return found


def _entries(folder: str, below: str) -> Iterator[tuple[str, os.DirEntry[str]]]:
    with os.scandir(f"{folder}{below}") as entries:
        for entry in entries:
            path = f"{below}{entry.name}"
            if entry.name.startswith("."):
                continue
            if entry.is_dir(follow_symlinks=False):
                yield from _entries(folder, f"{path}/")
            else:
                yield path, entry


def content_of(path: str, state: os.stat_result, known: Known | None) -> Content:
    """Return the content of a built file; it is not read when it is known by size and time."""
    if known and (known.content.size, known.built) == (state.st_size, state.st_mtime_ns):
        return known.content
    with open(path, "rb") as file:
        digest = hashlib.file_digest(file, "sha256").hexdigest()
    return Content(state.st_size, digest[:HASH_DIGITS])


def is_intact(path: str, known: Known) -> bool:
    """Tell whether a served file is as it was published."""
    try:
        state = os.lstat(path)
    except OSError:
        return False
    same = (state.st_size, state.st_mtime_ns) == (known.content.size, known.served)
    return same and stat.S_ISREG(state.st_mode)


def load_known(path: Path) -> dict[str, Known]:
    """Return what was remembered; nothing when that can't be read."""
    try:
        rows: Any = json.loads(path.read_bytes())
        return {
            name: Known(Content(size, hash_), built, served)
            for name, (size, hash_, built, served) in rows.items()
        }
    except (OSError, ValueError, TypeError, AttributeError):
        return {}


def known_as_json(known: Mapping[str, Known]) -> bytes:
    """What is remembered, as a file."""
    return json.dumps({name: [*k.content, k.built, k.served] for name, k in known.items()}).encode()
