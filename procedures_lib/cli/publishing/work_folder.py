"""The folder that a build works in: only one that a build has made is written to and emptied."""

from __future__ import annotations

import os
import shutil
from typing import TYPE_CHECKING

from procedures_lib.cli.exits import Refused
from procedures_lib.cli.folders import relative
from procedures_lib.cli.publishing.mounts import mounts_in

if TYPE_CHECKING:
    from pathlib import Path

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
