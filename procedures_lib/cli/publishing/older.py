"""A site that an earlier version made at the usual place, without a list: it is set aside."""

from __future__ import annotations

import os
from contextlib import contextmanager
from itertools import count
from typing import TYPE_CHECKING

import click

from procedures_lib.cli.folders import relative
from procedures_lib.cli.publishing.site_list import LIST
from procedures_lib.cli.publishing.work_folder import MARK

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

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
