"""Publishing: files named on a page lie below the manual's folder and are of a kind to publish."""

from __future__ import annotations

import posixpath
from pathlib import Path
from typing import NamedTuple

from procedures_lib.findings import nearest
from procedures_lib.manual.folder import is_inside
from procedures_lib.manual.published import DOWNLOADS, PICTURES

_BEGINNINGS = {
    ".png": b"\x89PNG\r\n\x1a\n",
    ".jpg": b"\xff\xd8\xff",
    ".jpeg": b"\xff\xd8\xff",
    ".webp": b"RIFF",
    ".pdf": b"%PDF-",
}
"""How a file of each kind begins: PNG 3rd ed., 5.2; T.81, B.1.1.3; RFC 9649, 2.4; ISO 32000."""


class PathFault(NamedTuple):
    """Why a file can't be shown or offered, as a finding's words."""

    check: str
    message: str
    hint: str


def path_from(page: str, target: str) -> str:
    """Return a path named on a page, from the manual's folder on; "" when it leads out of it.

    A path that begins with ``/`` begins at the manual's folder.
    """
    base = "" if target.startswith("/") else posixpath.dirname(page)
    path = posixpath.normpath(posixpath.join(base, target.lstrip("/")))
    return "" if path.startswith(("..", "/")) else path


def file_fault(root: Path, page: str, target: str, picture: bool = False) -> PathFault | None:
    """Say why a file named on a page is not shown (``picture``) or offered; None when it may be."""
    path = path_from(page, target)
    if not path or not is_inside(root, root / path):
        return outside(target)
    file = root / path
    if not file.is_file():
        folder = sorted(each.name for each in file.parent.iterdir()) if file.parent.is_dir() else []
        near = nearest(file.name, folder)
        hint = f"did you mean `{near}`?" if near else "name a file below the manual's folder"
        return PathFault("broken-link", f"`{target}` does not exist", hint)
    kinds = PICTURES if picture else DOWNLOADS
    if file.suffix not in kinds:
        said = f"`{target}` is no {'picture' if picture else 'file'} that a page may bring"
        return PathFault("foreign-file", said, f"the kinds are {', '.join(sorted(kinds))}")
    return _content_fault(file, target)


def _content_fault(file: Path, target: str) -> PathFault | None:
    try:
        with file.open("rb") as opened:
            start = opened.read(16)
    except OSError as error:
        said = f"`{target}` can't be opened: {error.strerror}"
        return PathFault("broken-link", said, "look at its name and its rights")
    if start.startswith(_BEGINNINGS.get(file.suffix, b"")):
        return None
    said = f"`{target}` does not begin as a file of its kind does"
    return PathFault("foreign-file", said, "save it anew from the program that made it")


def outside(target: str) -> PathFault:
    """The fault of a path that leads out of the manual's folder."""
    said = f"`{target}` leads out of the manual's folder"
    return PathFault("outside-manual", said, "copy the file below that folder, name it there")
