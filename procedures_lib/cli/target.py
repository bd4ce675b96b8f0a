"""Where a site is built and where it is published, and what the next build must read again.

Sphinx builds in ``<output>-work`` and writes only what has changed. The site is copied from there
to ``<output>`` after a build without a warning, so that a failed one leaves the last good site.
"""

from __future__ import annotations

import json
import shutil
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from procedures_lib.cli.exits import Refused
from procedures_lib.cli.folders import absolute, relative

if TYPE_CHECKING:
    from collections.abc import Iterable

    from procedures_lib.cli.folders import Folders

_SPHINX_MARK = ".buildinfo"


@dataclass(frozen=True, slots=True)
class Target:
    """The folder that a site is published in, and the folders that Sphinx works in."""

    output: Path

    @property
    def work(self) -> Path:
        """The folder of everything that one build leaves for the next."""
        return self.output.with_name(f"{self.output.name}-work")

    @property
    def html(self) -> Path:
        """What Sphinx writes."""
        return self.work / "html"

    @property
    def doctrees(self) -> Path:
        """What Sphinx has read."""
        return self.work / "doctrees"

    @property
    def lock(self) -> Path:
        """The file that one build holds at a time."""
        return self.work / "lock"

    @property
    def notes(self) -> Path:
        """What the last build noted for the next."""
        return self.work / "notes.json"

    def begin(self, pages: Path) -> frozenset[str]:
        """Return the pages (docnames) to read again; start afresh after a build cut short.

        Sphinx reads a page again when it has changed, but one that gave a warning must be read
        again even so, or its warning is gone the next time.
        """
        again = self._noted(pages)
        if again is None:
            shutil.rmtree(self.html, ignore_errors=True)
            shutil.rmtree(self.doctrees, ignore_errors=True)
        self._note(pages, None)
        return again or frozenset()

    def end(self, pages: Path, again: Iterable[str] | None) -> None:
        """Note what the next build must read again; None for everything."""
        self._note(pages, None if again is None else sorted(again))

    def _noted(self, pages: Path) -> frozenset[str] | None:
        try:
            notes = json.loads(self.notes.read_text("utf-8"))
            return frozenset(notes["again"]) if notes["pages"] == str(pages) else None
        except (OSError, ValueError, TypeError, KeyError):
            return None

    def _note(self, pages: Path, again: list[str] | None) -> None:
        self.work.mkdir(parents=True, exist_ok=True)
        self.notes.write_text(json.dumps({"pages": str(pages), "again": again}), "utf-8")


def find_target(output: Path | None, folders: Folders) -> Target:
    """Return the target of a build, ``.build/html`` beside the pages if none is named.

    :class:`Refused` for a folder that holds anything but a site: publishing removes from it the
    files that the site no longer has.
    """
    place = absolute(output) if output else folders.project / ".build" / "html"
    for taken in (folders.pages, folders.conf):
        if place == taken or taken in place.parents or place in taken.parents:
            raise Refused(
                f"--output {relative(place)} and {relative(taken)} lie in one another.\n"
                "Give a folder that is for the site alone, such as .build/html."
            )
    if place.exists() and not (place.is_dir() and _is_free(place)):
        raise Refused(
            f"--output {relative(place)} holds something that is no site.\n"
            "Give an empty folder, or one that does not exist."
        )
    return Target(place)


def _is_free(place: Path) -> bool:
    return (place / _SPHINX_MARK).is_file() or not any(place.iterdir())
