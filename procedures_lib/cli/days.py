"""The option ``--on``: the day for which calibrations are judged."""

from __future__ import annotations

import datetime
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from collections.abc import Callable


def _day(_ctx: click.Context, _param: click.Parameter, value: str | None) -> datetime.date:
    if value is None:
        return datetime.date.today()
    try:
        return datetime.datetime.strptime(value, "%Y-%m-%d").date()
    except ValueError:
        raise click.BadParameter(f"`{value}` is no date: write 2026-09-14.") from None


def with_day(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add ``--on`` to a command, which gets the day: the one named, or today."""
    option = click.option(
        "--on",
        "day",
        metavar="DATE",
        callback=_day,
        help="The day of the work: a tool that is past due then is reported.  [default: today]",
    )
    return option(command)
