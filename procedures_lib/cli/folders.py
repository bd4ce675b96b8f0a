"""Where the manual, its settings and its shop file are."""

from __future__ import annotations

import functools
import os
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from procedures_lib.cli.exits import Refused
from procedures_lib.cli.words import PathWord

if TYPE_CHECKING:
    from collections.abc import Callable

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
