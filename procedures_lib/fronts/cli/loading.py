"""Where the manual, its settings and its shop file are, and the manual read and checked."""

from __future__ import annotations

import functools
import os
from collections.abc import Callable, Collection
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from procedures_lib.findings import Finding, Level
from procedures_lib.fronts.cli.terminal import Refused, progress
from procedures_lib.judging.checks import check_manual
from procedures_lib.judging.checks.executors import check_through
from procedures_lib.manual import Manual
from procedures_lib.manual.folder import page_names
from procedures_lib.manual.shop import Shop, read_shop

if TYPE_CHECKING:
    import datetime


if TYPE_CHECKING:
    _Type = click.ParamType[str]
else:
    _Type = click.ParamType


class Word(_Type):
    """A text that names something: a revision, an id, a folder of pages."""

    name = "text"

    def convert(self, value: Any, param: Any, ctx: Any) -> Any:
        """Return the text as it is; a usage error, with exit code 2, when it is blank."""
        _refuse_blank(value, param, ctx)
        return value


class PathWord(click.Path):
    """A path that names a file or a folder: ``""`` does not name the current folder."""

    def convert(self, value: Any, param: Any, ctx: Any) -> Any:
        """Return the path; a usage error, with exit code 2, when it is blank."""
        _refuse_blank(value, param, ctx)
        return super().convert(value, param, ctx)


def _refuse_blank(value: Any, param: Any, ctx: Any) -> None:
    if os.fspath(value).strip():
        return
    cure = "write what is meant"
    if param is not None and not param.required:
        cure += ", or leave it out altogether"
    raise click.BadParameter(f"it is empty: {cure}.", ctx=ctx, param=param)


SHOP_PAGE = "shop.toml"


@dataclass(frozen=True, slots=True)
class Folders:
    """The folder of pages, the folder of settings beside it, and the shop file."""

    pages: Path
    conf: Path
    shop: Path

    @property
    def project(self) -> Path:
        """The folder that holds both."""
        return self.pages.parent

    def path_of(self, page: str) -> Path:
        """The file that a finding calls ``page``: a page of the manual, or the shop file."""
        return self.shop if page == SHOP_PAGE else self.pages / page

    def shown(self, page: str) -> str:
        """The file's path as seen from the current folder, so that an editor can go there."""
        return relative(self.path_of(page))


def relative(path: Path) -> str:
    """Return a path relative to the current folder; absolute where there is no such path."""
    try:
        return os.path.relpath(path)
    except ValueError:  # another drive
        return str(path)


def find_folders(manual: Path | None = None, shop: Path | None = None) -> Folders:
    """Return the folders of the manual: the one named, or the nearest above the current folder.

    :class:`Refused` when there is none.
    """
    pages = _named(absolute(manual)) if manual else _nearest(Path.cwd()) / "docs"
    conf = pages.parent / "conf"
    return Folders(pages, conf, absolute(shop) if shop else conf / SHOP_PAGE)


def absolute(path: Path) -> Path:
    """Return a path from the root on, its ``..`` resolved, its links not followed."""
    return Path(os.path.abspath(path))


def _named(folder: Path) -> Path:
    """The pages below a folder that has both, else the folder itself."""
    return folder / "docs" if _holds_a_manual(folder) else folder


def _holds_a_manual(folder: Path) -> bool:
    return (folder / "docs").is_dir() and (folder / "conf").is_dir()


def _nearest(start: Path) -> Path:
    for folder in (start, *start.parents):
        if _holds_a_manual(folder):
            return folder
    raise Refused(
        f"no manual found: neither {start} nor a folder above it has `docs` and `conf` in it.\n"
        "Go into the manual's folder, or name the folder of its pages with --manual."
    )


_MANUAL = click.option(
    "--manual",
    metavar="DIR",
    type=PathWord(exists=True, file_okay=False, path_type=Path),
    help="The folder of the manual's pages, or the one that has `docs` and `conf` in it.  "
    "[default: the nearest `docs` beside a `conf`]",
)
_SHOP = click.option(
    "--shop",
    metavar="FILE",
    type=PathWord(exists=True, dir_okay=False, path_type=Path),
    help="The shop's settings.  [default: `conf/shop.toml` beside the pages, if it is there]",
)


def with_manual(command: Callable[..., int]) -> Callable[..., int]:
    """Add ``--manual`` to a command, which gets the :class:`Folders` that it names."""

    @functools.wraps(command)
    def run(*args: Any, manual: Path | None, shop: Path | None = None, **options: Any) -> int:
        return command(*args, folders=find_folders(manual, shop), **options)

    return _MANUAL(run)


def with_folders(command: Callable[..., int]) -> Callable[..., int]:
    """Add ``--manual`` and ``--shop`` to a command, which gets the :class:`Folders` they name."""
    return _SHOP(with_manual(command))


@dataclass(frozen=True, slots=True)
class Checked:
    """Findings, sorted, and the names of the pages that they are about."""

    pages: tuple[str, ...]
    findings: tuple[Finding, ...]

    def only(self, files: Collection[str]) -> Checked:
        """Leave out what is about other files; the shop file counts as one."""
        return Checked(
            tuple(page for page in self.pages if page in files),
            tuple(finding for finding in self.findings if finding.place.page in files),
        )

    @property
    def errors(self) -> tuple[Finding, ...]:
        """The findings of level error."""
        return tuple(f for f in self.findings if f.level is Level.ERROR)


def read_settings(folders: Folders) -> tuple[Shop, tuple[Finding, ...]]:
    """Read the shop file; :class:`Refused` when it can't be read at all."""
    shop, findings = read_shop(folders.shop)
    for finding in findings:
        if finding.check == "unreadable-page":
            where = f"{relative(folders.shop)}:{finding.place.line}"
            raise Refused(f"{where}: {finding.message}\n{finding.hint}")
    return shop, tuple(findings)


def read_manual(folders: Folders) -> tuple[Manual, tuple[Finding, ...]]:
    """Read shop and pages; the findings are the shop's alone."""
    shop, findings = read_settings(folders)
    with progress(count_pages(folders), 1, "Reading pages") as done:
        return Manual.read(folders.pages, shop, progress=done), findings


def read_and_check(folders: Folders, day: datetime.date | None = None, jobs: int = 1) -> Checked:
    """Read and check all of the manual and its shop, in this process or in several.

    Calibrations are judged only for a day.
    """
    shop, findings = read_settings(folders)
    shop = shop.judged_on(day)
    with progress(count_pages(folders), 2, "Checking pages") as done:
        if jobs > 1:
            pages, found = page_names(folders.pages), _checked_by_several(folders, shop, jobs, done)
        else:
            manual = Manual.read(folders.pages, shop, progress=done)
            pages, found = list(manual.contents), check_manual(manual, progress=done)
    return Checked(tuple(pages), tuple(sorted({*findings, *found})))


def _checked_by_several(
    folders: Folders, shop: Shop, jobs: int, done: Callable[[], None]
) -> list[Finding]:
    def several_done(pages: int) -> None:
        for _ in range(pages):
            done()

    with ProcessPoolExecutor(jobs) as pool:
        return check_through(pool, folders.pages, shop, several_done)


def count_pages(folders: Folders) -> int:
    """Return how many pages there are; :class:`Refused` when there are none."""
    count = len(page_names(folders.pages))
    if not count:
        raise Refused(
            f"{relative(folders.pages)} holds no pages (files that end in .md).\n"
            "Name the folder of the manual's pages with --manual."
        )
    return count
