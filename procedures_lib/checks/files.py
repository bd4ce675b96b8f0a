"""Publishing: files in the manual's folder that a manual is not made of."""

from __future__ import annotations

import os
import re
import stat
from pathlib import Path
from typing import TYPE_CHECKING

from procedures_lib.checks.paths import outside
from procedures_lib.findings import Finding, Place
from procedures_lib.manual.folder import ENDING, is_inside
from procedures_lib.manual.published import DOWNLOADS, PICTURES

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.manual import Manual

KINDS = frozenset({ENDING, *PICTURES, *DOWNLOADS})
"""Endings of the files that a manual is made of."""

_PLAIN = re.compile(r"[^\x00-\x1f\x7f\\:*?\"<>|#%\[\]{}\u200b-\u200f\u2028-\u202e\ufeff]+")
_OF_THE_SITE = frozenset({"search", "genindex", "py-modindex", "modindex", "worker"})
_PLACES_OF_THE_SITE = frozenset({"offline", "find", "schema"})


def files(manual: Manual) -> Iterator[Finding]:
    """Find what stands in the manual's folder and is neither page, picture nor data."""
    if manual.files is None or not manual.whole:
        return
    root = manual.files.root
    for folder, inner, names in os.walk(root):
        inner[:] = sorted(name for name in inner if not name.startswith("."))
        base = Path(folder).relative_to(root)
        for name in (*inner, *sorted(names)):
            if name.startswith("."):
                continue
            yield from _file(root, (base / name).as_posix(), is_folder=name in inner)


def _file(root: Path, path: str, is_folder: bool) -> Iterator[Finding]:
    place, name = Place(path.encode("utf-8", "replace").decode(), 1), path.rpartition("/")[2]
    if os.path.islink(root / path):
        yield from _link(root, path, place)
    elif not _PLAIN.fullmatch(name) or not name.isprintable():
        said = f"the name {name!r} can't stand in an address"
        yield Finding(place, "foreign-file", said, "use letters, digits, hyphens")
    elif not is_folder and not stat.S_ISREG((root / path).lstat().st_mode):
        yield Finding(place, "foreign-file", "this is no plain file", "remove it")
    elif not is_folder and Path(path).suffix not in KINDS:
        said = f"a manual is made of {', '.join(sorted(KINDS))} files, and this is none"
        hint = "write a page in MyST; keep code and settings outside of the manual's folder"
        yield Finding(place, "foreign-file", said, hint)
    elif _is_of_the_site(path, is_folder):
        yield Finding(place, "foreign-file", "the site has a page or folder of this name itself",
                      "give it another name")  # fmt: skip


def _link(root: Path, path: str, place: Place) -> Iterator[Finding]:
    target = root / path
    if not is_inside(root, target):
        fault = outside(path)
        yield Finding(place, fault.check, f"{fault.message}: it is a link", fault.hint)
    elif target.is_dir():
        yield Finding(place, "foreign-file", "links to folders are not followed",
                      "move the folder here")  # fmt: skip
    elif not target.exists():
        yield Finding(place, "broken-link", "this link leads to nothing", "remove it")


def _is_of_the_site(path: str, is_folder: bool) -> bool:
    if is_folder:
        return path in _PLACES_OF_THE_SITE or path.endswith(".html")
    return path.removesuffix(ENDING) in _OF_THE_SITE
