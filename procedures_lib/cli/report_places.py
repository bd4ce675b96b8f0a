"""Where findings are, as seen from the top of the repository: what a reviewer's tools go by."""

from __future__ import annotations

import functools
import os
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote

from procedures_lib.cli.folders import Folders
from procedures_lib.cli.git import top_of


@dataclass(frozen=True)
class Places:
    """The files of a manual below ``top``, the folder from which paths are counted."""

    folders: Folders
    top: Path

    @classmethod
    def of(cls, folders: Folders) -> Places:
        """Count from the top of the repository, or from the manual's folder outside of one."""
        return cls(folders, top_of(folders.pages) or folders.project)

    def path(self, page: str) -> str:
        """Return a file's path with forward slashes; from the root when it is not below."""
        path = self.folders.path_of(page)
        below = os.path.relpath(path, os.path.realpath(self.top))
        if below.split(os.sep)[0] == "..":
            below = os.path.relpath(os.path.realpath(path), os.path.realpath(self.top))
        return path.as_posix() if below.split(os.sep)[0] == ".." else Path(below).as_posix()

    def uri(self, page: str) -> str:
        """Return a file's path as a URI reference (RFC 3986), relative where it can be."""
        path = self.path(page)
        if Path(path).is_absolute():
            return Path(path).as_uri()
        return quote(path.encode("utf-8", "surrogateescape"), safe="/")

    @functools.cached_property
    def _lines(self) -> dict[str, list[str]]:
        return {}

    def line(self, page: str, number: int) -> str:
        """Return a line of a file without the space around it; "" where there is none."""
        if page not in self._lines:
            try:
                raw = self.folders.path_of(page).read_bytes()
            except OSError:
                raw = b""
            self._lines[page] = raw.decode("utf-8", "replace").splitlines()
        lines = self._lines[page]
        return lines[number - 1].strip() if 0 < number <= len(lines) else ""
