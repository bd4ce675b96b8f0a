"""The data files beside the pages: found below the manual's folder only, read line by line."""

from __future__ import annotations

import hashlib
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING

from procedures_lib.findings import nearest

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

LARGEST = 400_000_000
"""No data file is larger, in bytes."""

_BLOCK = 1 << 20
_OTHER_CODES = (b"\xff\xfe", b"\xfe\xff")


class DataFileError(ValueError):
    """A data file that can't be read, with what to do."""

    def __init__(self, message: str, hint: str) -> None:
        super().__init__(message, hint)
        self.message = message
        self.hint = hint


@dataclass(frozen=True, slots=True)
class DataFiles:
    """The files below ``root``, named from the page that mentions them."""

    root: Path

    def path(self, page: str, name: str) -> Path:
        """Return the file that a page names; :class:`DataFileError` when it may not be read."""
        beside = "name a file beside the page, such as `data/before-1.csv`"
        if not name.strip() or "\0" in name or "\\" in name:
            raise DataFileError(f"`{name}` is no path", f"{beside}, with forward slashes")
        root = self.root.resolve()
        path = (root / page).parent / name
        if name.startswith("/") or not self._resolved(path).is_relative_to(root):
            raise DataFileError(f"`{name}` leads out of the manual's folder", beside)
        if not path.is_file():
            if path.exists():
                raise DataFileError(f"`{name}` is no file", beside)
            raise DataFileError(f"`{name}` does not exist", self._near(path) or beside)
        if path.stat().st_size > LARGEST:
            raise DataFileError(f"`{name}` is larger than {LARGEST // 10**6} MB",
                                "export one pull alone")  # fmt: skip
        return path

    @staticmethod
    def _resolved(path: Path) -> Path:
        try:
            return path.resolve()
        except RuntimeError:  # Python 3.11 and 3.12: links that lead to one another
            raise DataFileError(f"`{path.name}` is a link to itself", "name the file") from None

    def _near(self, path: Path) -> str:
        folder = path.parent
        names = [each.name for each in folder.iterdir()] if folder.is_dir() else []
        near = nearest(path.name, names)
        return f"did you mean `{near}`?" if near else ""

    def page_of(self, page: str, name: str) -> str:
        """Return a file's path below the manual's folder, with forward slashes."""
        return self.path(page, name).resolve().relative_to(self.root.resolve()).as_posix()

    @contextmanager
    def lines(self, page: str, name: str) -> Iterator[Iterator[str]]:
        """Open a file and give its lines, one after another; UnicodeDecodeError at a bad one.

        :class:`DataFileError` for a file that may not be read, or is in another code.
        """
        try:
            with self.path(page, name).open("rb") as file:
                if file.peek(2)[:2] in _OTHER_CODES:
                    raise DataFileError(f"`{name}` is UTF-16", "save the file as CSV in UTF-8")
                yield (line.decode("utf-8") for line in file)
        except OSError as error:
            raise DataFileError(f"`{name}` can't be opened: {error.strerror}",
                                "look at its name and its rights") from None  # fmt: skip

    def digest(self, page: str, name: str) -> str:
        """Return a short hash of what a file holds; "" for one that can't be read."""
        found = hashlib.blake2b(digest_size=12)
        try:
            with self.path(page, name).open("rb") as file:
                while block := file.read(_BLOCK):
                    found.update(block)
        except (DataFileError, OSError):
            return ""
        return found.hexdigest()
