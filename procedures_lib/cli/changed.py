"""The option ``--changed-since``: checks the pages that the changes since a revision can touch."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from procedures_lib.checks.reach import touched
from procedures_lib.checks.run import check_page, check_whole
from procedures_lib.cli.exits import Refused
from procedures_lib.cli.git import changed_since, files_at
from procedures_lib.cli.loading import Checked, count_pages, read_and_check, read_settings
from procedures_lib.cli.progress import progress
from procedures_lib.cli.words import Word
from procedures_lib.entities.builder import build
from procedures_lib.manual import Manual
from procedures_lib.manual.folder import ENDING
from procedures_lib.reading.reader import read_page

if TYPE_CHECKING:
    import datetime
    from collections.abc import Callable

    from procedures_lib.cli.folders import Folders


def with_changed(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add ``--changed-since`` to a command, which gets the revision or None."""
    option = click.option(
        "--changed-since",
        "revision",
        metavar="REV",
        type=Word(),
        help="Only what the changes since this git revision can touch: the pages that changed, "
        "those not committed too, and the pages that lean on them.",
    )
    return option(command)


def check_changed(revision: str, folders: Folders, day: datetime.date | None = None) -> Checked:
    """Return the findings of a full check on the pages that the changes since can touch.

    All pages count when the shop file has changed, or when that can't be told.
    """
    changed = changed_since(revision, folders.pages)
    if _shop_changed(revision, folders):
        return read_and_check(folders, day)
    shop, _ = read_settings(folders)
    with progress(count_pages(folders), 1, "Reading pages") as done:
        manual = Manual.read(folders.pages, shop.judged_on(day), progress=done)
    changed |= {name for name in manual.contents if folders.path_of(name).is_symlink()}
    then = _manual_at(revision, manual, changed, folders)
    alone = touched(then, manual, changed)
    whole = set(check_whole(manual)).difference(check_whole(then))
    found = {*whole, *(each for page in sorted(alone) for each in check_page(manual, page))}
    pages = alone | {finding.place.page for finding in whole}
    return Checked(tuple(manual.contents), tuple(sorted(found))).only(pages)


def _manual_at(revision: str, manual: Manual, changed: set[str], folders: Folders) -> Manual:
    """The manual as it was at a revision, when ``changed`` are the paths that differ."""
    pages = {name for name in changed if _is_page(name)}
    then = files_at(revision, folders.pages, ENDING) if pages else {}
    old = [build(read_page(then[name], name)) for name in sorted(pages & then.keys())]
    return manual.with_pages(old, gone=pages - then.keys())


def _is_page(name: str) -> bool:
    *folders, file = name.split("/")
    hidden = file.startswith(".") or any(folder[0] in "._" for folder in folders)
    return file.endswith(ENDING) and not hidden


def _shop_changed(revision: str, folders: Folders) -> bool:
    if not folders.shop.parent.is_dir():
        return False
    try:
        return folders.shop.name in changed_since(revision, folders.shop.parent)
    except Refused:  # it lies in no repository, or in another
        return folders.shop.is_file()
