"""Where a site is built and published, what the next build must read again, and its lock.

Sphinx builds in ``<output>-work`` and writes only what has changed. The site is published from
there after a build without a warning, so that a failed one leaves the last good site.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

from procedures_lib.fronts.cli.loading import Folders, absolute, relative
from procedures_lib.fronts.cli.publishing.publication import published_in
from procedures_lib.fronts.cli.publishing.work_folder import (
    empty,
    is_older_site,
    open_work,
    refuse_mounts,
    set_aside_older_work,
)
from procedures_lib.fronts.cli.terminal import Refused

if sys.platform != "win32":
    import fcntl


@contextmanager
def held(path: Path, waiting: Callable[[], None]) -> Iterator[None]:
    """Hold a lock file; when another process holds it, call ``waiting`` and wait.

    The lock goes with the process that holds it, however that ends. On Windows nothing is locked.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("w") as file:
        if not _taken(file, wait=False):
            waiting()
            _taken(file, wait=True)
        yield


def _taken(file: IO[Any], wait: bool) -> bool:
    if sys.platform == "win32":
        return True
    try:
        fcntl.flock(file, fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))
    except BlockingIOError:
        return False
    return True


@dataclass(frozen=True, slots=True)
class Target:
    """The folder that a site is published in, and the folders that Sphinx works in.

    ``usual`` is the place that nobody named: what an earlier version made there is set aside.
    """

    output: Path
    usual: bool = False

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

    def open(self) -> None:
        """Make the work folder, or take ours; :class:`Refused` when there is another's."""
        refuse_mounts(self.output, self.work)
        if self.usual:
            set_aside_older_work(self.work)
        open_work(self.work)

    def begin(self, pages: Path) -> frozenset[str]:
        """Return the pages (docnames) to read again; start afresh after a build cut short.

        Sphinx reads a page again when it has changed, but one that gave a warning must be read
        again even so, or its warning is gone the next time.
        """
        again = self._noted(pages)
        if again is None:
            empty(self.html)
            empty(self.doctrees)
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
        self.notes.write_text(json.dumps({"pages": str(pages), "again": again}), "utf-8")


def find_target(output: Path | None, folders: Folders) -> Target:
    """Return the target of a build, ``.build/html`` beside the pages if none is named.

    A link is followed once, here. :class:`Refused` for a folder that holds anything but a site.
    """
    named = absolute(output) if output else folders.project / ".build" / "html"
    place = named.resolve()
    for taken in (folders.pages, folders.conf):
        held = {taken, taken.resolve()}
        if any(place == t or t in place.parents or place in t.parents for t in held):
            raise Refused(
                f"--output {relative(named)} and {relative(taken)} lie in one another.\n"
                "Give a folder that is for the site alone, such as .build/html."
            )
    target = Target(place, usual=output is None)
    if place.exists() and not place.is_dir():
        raise Refused(f"--output {relative(named)} is no folder.\nGive one, or a new name.")
    if not (target.usual and place.is_dir() and is_older_site(place)):
        published_in(place)
    return target
