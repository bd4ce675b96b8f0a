"""Publishing: files in the manual's folder that a manual is not made of."""

from __future__ import annotations

import os
import re
import stat
import unicodedata
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
_LONGEST = 150
"""The most bytes of a name: the site makes longer ones of it, and a disk has 255."""

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
        yield from _twins(base, [*inner, *names])
        for name in (*inner, *sorted(names)):
            if name.startswith("."):
                continue
            yield from _file(root, (base / name).as_posix(), is_folder=name in inner)


def _twins(base: Path, names: list[str]) -> Iterator[Finding]:
    """Yield names that are one and the same on a disk that does not tell capitals apart."""
    first: dict[str, str] = {}
    for name in sorted(names):
        twin = first.setdefault(unicodedata.normalize("NFC", name).casefold(), name)
        if twin != name:
            said = f"the name differs from `{twin!a}` in capitals or accents alone"
            place = Place((base / name).as_posix().encode("utf-8", "replace").decode(), 1)
            yield Finding(place, "foreign-file", said, "give one of them another name")


def _file(root: Path, path: str, is_folder: bool) -> Iterator[Finding]:
    place, name = Place(path.encode("utf-8", "replace").decode(), 1), path.rpartition("/")[2]
    if os.path.islink(root / path):
        yield from _link(root, path, place)
    elif not _is_plain(name):
        said = f"the name {name!a} can't stand in an address"
        yield Finding(place, "foreign-file", said, "use letters, digits, hyphens, and not too many")
    elif not is_folder and not stat.S_ISREG((root / path).lstat().st_mode):
        yield Finding(place, "foreign-file", "this is no plain file", "remove it")
    elif not is_folder and Path(path).suffix not in KINDS:
        said = f"a manual is made of {', '.join(sorted(KINDS))} files, and this is none"
        hint = "write a page in MyST; keep code and settings outside of the manual's folder"
        yield Finding(place, "foreign-file", said, hint)
    elif _is_of_the_site(path, is_folder):
        yield Finding(place, "foreign-file", "the site has a page or folder of this name itself",
                      "give it another name")  # fmt: skip


def _is_plain(name: str) -> bool:
    composed = unicodedata.is_normalized("NFC", name)
    return bool(_PLAIN.fullmatch(name)) and name.isprintable() and composed and _fits(name)


def _fits(name: str) -> bool:
    return len(name.encode("utf-8", "replace")) <= _LONGEST


def _link(root: Path, path: str, place: Place) -> Iterator[Finding]:
    target = root / path
    if path.endswith(ENDING) and not target.is_dir():
        return  # the reader tells what is wrong with it
    if not target.exists():
        yield Finding(place, "broken-link", "this link leads to nothing", "remove it")
    elif not is_inside(root, target):
        fault = outside(path)
        yield Finding(place, fault.check, f"{fault.message}: it is a link", fault.hint)
    elif target.is_dir():
        yield Finding(place, "foreign-file", "links to folders are not followed",
                      "move the folder here")  # fmt: skip


def _is_of_the_site(path: str, is_folder: bool) -> bool:
    if is_folder:
        return path in _PLACES_OF_THE_SITE or path.endswith(".html")
    return path.removesuffix(ENDING) in _OF_THE_SITE
