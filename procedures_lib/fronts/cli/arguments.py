"""The words of a command line: names, paths, amounts, the options that commands share."""

from __future__ import annotations

import datetime
import functools
import os
import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from procedures_lib.engineering.quantities import Quantity, QuantityError, read_quantity
from procedures_lib.fronts.cli.terminal import Refused
from procedures_lib.spelling import suggestion

if TYPE_CHECKING:
    _Type = click.ParamType[Any]
else:
    _Type = click.ParamType

_Command = Callable[..., Any]
_Option = Callable[[_Command], _Command]


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


class Size(_Type):
    """An option that takes a number and a unit, as text."""

    name = "size"

    def convert(self, value: Any, param: Any, ctx: Any) -> Any:
        """Return the text as it is."""
        del param, ctx
        return str(value)


class Amount(Size):
    """An option that takes an amount of one kind."""

    name = "amount"

    def __init__(self, kind: str) -> None:
        self.kind = kind

    def convert(self, value: Any, param: Any, ctx: Any) -> Any:
        """Read the amount; what is wrong with it is told with its hint."""
        if isinstance(value, Quantity):
            return value
        try:
            return read_quantity(value, self.kind, signed=self.kind == "angle")
        except QuantityError as error:
            self.fail(f"{error.message}: {error.hint}.", param, ctx)


class AmountCommand(click.Command):
    """A command whose amounts need no quotes: ``--adapter 40 mm`` is read as one value."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Join the number and the unit after an option that takes an amount."""
        names = {
            name for param in self.params if isinstance(param.type, Size) for name in param.opts
        }
        return super().parse_args(ctx, list(_joined(args, names)))


_BARE_NUMBER = re.compile(r"[\d.,/±–-]+$")


def _joined(args: list[str], names: set[str]) -> Iterator[str]:
    n = 0
    while n < len(args):
        yield args[n]
        if args[n] in names and n + 2 < len(args) and _is_split(args[n + 1], args[n + 2]):
            yield f"{args[n + 1]} {args[n + 2]}"
            n += 2
        n += 1


def _is_split(number: str, unit: str) -> bool:
    return bool(_BARE_NUMBER.match(number)) and not unit.startswith("-")


def unknown(kind: str, name: str, known: Iterable[str]) -> Refused:
    """Return the refusal of a name that nothing of a kind has, with the nearest that one has."""
    hint = suggestion(name, known)
    return Refused(f"there is no {kind} `{name}`{f': {hint}' if hint else '.'}")


def with_format(*names: str, about: str) -> _Option:
    """Add ``--format`` to a command, which gets ``form``, the first of the names by default."""
    return click.option(
        "--format",
        "form",
        type=click.Choice(names),
        default=names[0],
        show_default=True,
        help=about,
    )


with_when = click.option(
    "--when",
    multiple=True,
    metavar="CONDITION",
    help="Only for the cars that meet this, as in `transmission=manual and not "
    "tow-eye=fitted`; given twice, only for those that meet both.",
)
"""Adds ``--when`` to a command, which gets the texts of its conditions."""

with_width = click.option(
    "--width",
    type=click.IntRange(40, 1000),
    metavar="COLUMNS",
    help="Fit text into so many columns.  [default: those of the terminal, any number elsewhere]",
)
"""Adds ``--width`` to a command, which gets the number or None."""

with_colour = click.option(
    "--colour",
    type=click.Choice(("auto", "always", "never")),
    default="auto",
    show_default=True,
    help="Colour the findings; `auto` does on a terminal, unless NO_COLOR is set.",
)
"""Adds ``--colour`` to a command."""


def _day(_ctx: click.Context, _param: click.Parameter, value: str | None) -> datetime.date:
    if value is None:
        return datetime.date.today()
    try:
        return datetime.datetime.strptime(value, "%Y-%m-%d").date()
    except ValueError:
        raise click.BadParameter(f"`{value}` is no date: write 2026-09-14.") from None


with_day = click.option(
    "--on",
    "day",
    metavar="DATE",
    callback=_day,
    help="The day of the work: a tool that is past due then is reported.  [default: today]",
)
"""Adds ``--on`` to a command, which gets the day: the one named, or today."""


def with_jobs(work: str) -> _Option:
    """Add ``--jobs`` to a command, which gets a number; ``work`` is what the processes do."""
    return click.option(
        "--jobs",
        metavar="N",
        callback=_number_of_jobs,
        default="1",
        show_default=True,
        help=f"How many processes {work}; `auto` for one a core.",
    )


def _number_of_jobs(_ctx: click.Context, _param: click.Parameter, value: str) -> int:
    """Read ``--jobs``: a number from 1 on, or ``auto``."""
    if value == "auto":
        return os.cpu_count() or 1
    if not value.isdecimal() or int(value) < 1:
        raise click.BadParameter(f"`{value}` is neither a number from 1 on nor `auto`.")
    return int(value)


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

    def way_to(self, page: str) -> str:
        """The file's path as seen from the current folder, so that an editor can go there."""
        return relative(self.path_of(page))


def relative(path: Path) -> str:
    """Return a path relative to the current folder; absolute where there is no such path."""
    try:
        return os.path.relpath(path)
    except ValueError:  # another drive
        return str(path)


def absolute(path: Path) -> Path:
    """Return a path from the root on, its ``..`` resolved, its links not followed."""
    return Path(os.path.abspath(path))


def find_folders(manual: Path | None = None, shop: Path | None = None) -> Folders:
    """Return the folders of the manual: the one named, or the nearest above the current folder.

    :class:`Refused` when there is none.
    """
    pages = pages_in(absolute(manual)) if manual else _nearest(Path.cwd()) / "docs"
    conf = pages.parent / "conf"
    return Folders(pages, conf, absolute(shop) if shop else conf / SHOP_PAGE)


def pages_in(folder: Path) -> Path:
    """Return the folder of pages: ``docs`` in a project's folder, else the folder itself."""
    return folder / "docs" if _holds_a_manual(folder) else folder


def _holds_a_manual(folder: Path) -> bool:
    return (folder / "docs").is_dir() and (folder / "conf").is_dir()


def nearest_manual(start: Path) -> Path | None:
    """Return the nearest folder, from one upwards, that has a manual's pages and settings in it."""
    return next((each for each in (start, *start.parents) if _holds_a_manual(each)), None)


def _nearest(start: Path) -> Path:
    found = nearest_manual(start)
    if found is None:
        raise Refused(
            f"no manual found: neither {start} nor a folder above it has `docs` and `conf` in it.\n"
            "Go into the manual's folder, or name the folder of its pages with --manual."
        )
    return found


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


def with_manual(command: _Command) -> _Command:
    """Add ``--manual`` to a command, which gets the :class:`Folders` that it names."""

    @functools.wraps(command)
    def run(*args: Any, manual: Path | None, shop: Path | None = None, **options: Any) -> int:
        return int(command(*args, folders=find_folders(manual, shop), **options))

    return _MANUAL(run)


def with_folders(command: _Command) -> _Command:
    """Add ``--manual`` and ``--shop`` to a command, which gets the :class:`Folders` they name."""
    return _SHOP(with_manual(command))
