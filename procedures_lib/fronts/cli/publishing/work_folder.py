"""The folder that a build works in, and a site that an earlier version made there."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import count
from pathlib import Path

import click

from procedures_lib.fronts.cli.loading import relative
from procedures_lib.fronts.cli.publishing.disk import mounts_in
from procedures_lib.fronts.cli.publishing.site_list import LIST
from procedures_lib.fronts.cli.terminal import Refused

MARK = "made-by-procedures-build.txt"
"""The file that tells a folder of ours: it is put there when the folder is empty."""

_WORDS = (
    "`procedures build` and `procedures serve` work in this folder: they write and delete in it as "
    "they need.\nKeep nothing of your own here. It may be deleted: the next build makes it anew.\n"
)


def open_work(work: Path) -> None:
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


_CURE = "\nMove it away, or name another folder than the one beside it with --output."


def refuse_mounts(served: Path, work: Path) -> None:
    """:class:`Refused` when the site's folder or the work folder is on a disk of its own."""
    for folder in (served, work):
        for mount in mounts_in(folder):
            raise Refused(
                f"{relative(mount)} is a disk of its own (a mount point), and a site is published "
                f"by moving {relative(served)}.\n"
                "Name a folder inside that disk with --output, or mount it elsewhere."
            )


def empty(folder: Path) -> None:
    """Remove a folder of the work folder with all that is in it; of a link, the link alone."""
    if folder.is_symlink() or folder.is_file():
        folder.unlink()
    elif os.path.lexists(folder):
        shutil.rmtree(folder)


_SPHINX_MARK = ".buildinfo"
_OLD_WORK = frozenset({"html", "doctrees", "lock", "notes.json"})


def is_older_site(folder: Path) -> bool:
    """Tell whether a folder is Sphinx's output without a list, and nothing hidden beside."""
    if (folder / LIST).exists() or not (folder / _SPHINX_MARK).is_file():
        return False
    return all(path.name == _SPHINX_MARK or path.name[0] != "." for path in folder.iterdir())


def set_aside_older_work(work: Path) -> None:
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
    aside = _set_aside(served) if is_older_site(served) else None
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
