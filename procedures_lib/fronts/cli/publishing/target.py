"""Where a site is built and published: the two folders, the lock, what the next build must read.

Sphinx builds in ``<output>-work`` and writes only what has changed. The site is published from
there after a build without a warning, so that a failed one leaves the last good site. What an
earlier version made at these places is set aside.
"""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import count
from pathlib import Path

import click

from procedures_lib.fronts.cli.arguments import Folders, absolute, relative
from procedures_lib.fronts.cli.publishing.disk import mounts_in
from procedures_lib.fronts.cli.publishing.publication import published_in
from procedures_lib.fronts.cli.publishing.site_list import LIST
from procedures_lib.fronts.cli.terminal import Refused

MARK = "made-by-procedures-build.txt"
"""The file that tells a folder of ours: it is put there when the folder is empty."""

_WORDS = (
    "`procedures build` and `procedures serve` work in this folder: they write and delete in it as "
    "they need.\nKeep nothing of your own here. It may be deleted: the next build makes it anew.\n"
)


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
        _refuse_mounts(self.output, self.work)
        if self.usual:
            _set_aside_older_work(self.work)
        _open(self.work)

    def begin(self, pages: Path) -> frozenset[str]:
        """Return the pages (docnames) to read again; start afresh after a build cut short.

        Sphinx reads a page again when it has changed, but one that gave a warning must be read
        again even so, or its warning is gone the next time.
        """
        again = self._noted(pages)
        if again is None:
            _empty(self.html)
            _empty(self.doctrees)
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
        ways = {taken, taken.resolve()}
        if any(place == way or way in place.parents or place in way.parents for way in ways):
            raise Refused(
                f"--output {relative(named)} and {relative(taken)} lie in one another.\n"
                "Give a folder that is for the site alone, such as .build/html."
            )
    target = Target(place, usual=output is None)
    if place.exists() and not place.is_dir():
        raise Refused(f"--output {relative(named)} is no folder.\nGive one, or a new name.")
    if not (target.usual and place.is_dir() and _is_older_site(place)):
        published_in(place)
    return target


@contextmanager
def build_lock(lock: Path, waiting: Callable[[], None]) -> Iterator[None]:
    """Hold a lock file; when another process holds it, call ``waiting`` and wait.

    The lock goes with the process that holds it, however that ends.
    """
    from filelock import FileLock, Timeout  # noqa: PLC0415 - for builds alone

    lock.parent.mkdir(parents=True, exist_ok=True)
    file = FileLock(lock)
    try:
        file.acquire(blocking=False)
    except Timeout:
        waiting()
        file.acquire()
    try:
        yield
    finally:
        file.release()


_CURE = "\nMove it away, or name another folder than the one beside it with --output."


def _open(work: Path) -> None:
    """Make the work folder, or take one of ours; :class:`Refused` for any other."""
    if work.is_symlink() or (work.exists() and not work.is_dir()):
        raise Refused(
            f"{relative(work)} is no folder of its own: a build has to work there.{_CURE}"
        )
    work.mkdir(parents=True, exist_ok=True)
    mark = work / MARK
    if not mark.is_file():
        if any(work.iterdir()) and not mark.is_file():  # another build may be first
            raise Refused(
                f"{relative(work)} was not made by a build (there is no {MARK} in it), and a build "
                f"has to write and delete there.{_CURE}"
            )
        mark.write_text(_WORDS, "utf-8")


def _refuse_mounts(served: Path, work: Path) -> None:
    """:class:`Refused` when the site's folder or the work folder is on a disk of its own."""
    for folder in (served, work):
        for mount in mounts_in(folder):
            raise Refused(
                f"{relative(mount)} is a disk of its own (a mount point), and a site is published "
                f"by moving {relative(served)}.\n"
                "Name a folder inside that disk with --output, or mount it elsewhere."
            )


def _empty(folder: Path) -> None:
    """Remove a folder of the work folder with all that is in it; of a link, the link alone."""
    if folder.is_symlink() or folder.is_file():
        folder.unlink()
    elif os.path.lexists(folder):
        shutil.rmtree(folder)


_SPHINX_MARK = ".buildinfo"
_OLD_WORK = frozenset({"html", "doctrees", "lock", "notes.json"})


def _is_older_site(folder: Path) -> bool:
    """Tell whether a folder is Sphinx's output without a list, and nothing hidden beside."""
    if (folder / LIST).exists() or not (folder / _SPHINX_MARK).is_file():
        return False
    return all(path.name == _SPHINX_MARK or path.name[0] != "." for path in folder.iterdir())


def _set_aside_older_work(work: Path) -> None:
    """Give the work folder of an earlier version another name."""
    if work.is_dir() and not (work / MARK).exists():
        names = {path.name for path in work.iterdir()}
        if "notes.json" in names and names <= _OLD_WORK:
            _set_aside(work)


@contextmanager
def older_site_set_aside(served: Path) -> Iterator[None]:
    """Give the site of an earlier version another name while a new one is published at its place.

    It comes back when nothing is.
    """
    aside = _set_aside(served) if _is_older_site(served) else None
    try:
        yield
    except BaseException:
        if aside is not None and not os.path.lexists(served):
            aside.rename(served)
        raise


def _set_aside(folder: Path) -> Path:
    names = (f"{folder.name}-older{'' if n == 1 else f'-{n}'}" for n in count(1))
    aside = next(p for name in names if not os.path.lexists(p := folder.with_name(name)))
    folder.rename(aside)
    click.echo(
        f"{relative(folder)} was made by an earlier version: it is now {relative(aside)}, and may "
        "be deleted.",
        err=True,
    )
    return aside
