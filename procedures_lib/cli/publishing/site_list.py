"""The list that a site carries of its own files: only what it names is ever deleted."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING, Any, NamedTuple

from procedures_lib.cli.exits import Refused
from procedures_lib.cli.folders import relative
from procedures_lib.manual.published import why_not_published

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from pathlib import Path

LIST = "site-files.json"
"""The list of a site that is whole."""

PLAN = "site-files-to-be.json"
"""The list of a folder that is being made: what may be there of it already."""

_FORMAT = 1
_MAKER = "procedures build"


class Content(NamedTuple):
    """What tells one content of a file from another: its size, and digits of its SHA-256."""

    size: int
    hash: str


@dataclass(frozen=True)
class SiteList:
    """The files of a site by their paths below it, with forward slashes."""

    files: Mapping[str, Content] = field(default_factory=dict)

    @cached_property
    def folders(self) -> frozenset[str]:
        """The folders that hold these files."""
        return folders_of(self.files)

    def as_json(self) -> bytes:
        """The list as a file: a line for each file of the site, the same for the same site."""
        rows = json.dumps(dict(sorted(self.files.items()))).replace('], "', '],\n"')
        return f'{{"format": {_FORMAT}, "made-by": "{_MAKER}", "files":\n{rows}}}\n'.encode()


def folders_of(paths: Iterable[str]) -> frozenset[str]:
    """Return every folder above these paths."""
    found: set[str] = set()
    for path in paths:
        while "/" in path:
            path = path.rpartition("/")[0]  # noqa: PLW2901 - upwards
            if path in found:
                break
            found.add(path)
    return frozenset(found)


def list_in(folder: Path, name: str = LIST) -> SiteList | None:
    """Return the list in a folder, None when there is none.

    :class:`Refused` when it can't be read, or names what no site can hold.
    """
    path = folder / name
    try:
        if path.is_symlink():
            raise ValueError
        return _from_json(path.read_bytes())
    except (FileNotFoundError, NotADirectoryError):
        return None
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
        raise Refused(
            f"{relative(path)} is not the list of a site's files that a build writes: what in the "
            "folder belongs to the site can't be told.\n"
            "Name another folder with --output, or empty this one."
        ) from None


@lru_cache(maxsize=4)  # asked for several times in one publication
def _from_json(text: bytes) -> SiteList:
    value: Any = json.loads(text)
    if value["format"] != _FORMAT or value["made-by"] != _MAKER:
        raise ValueError
    files = {path: Content(int(size), str(hash_)) for path, (size, hash_) in value["files"].items()}
    if any(why_not_published(path) for path in files) or files.keys() & folders_of(files):
        raise ValueError
    return SiteList(files)
