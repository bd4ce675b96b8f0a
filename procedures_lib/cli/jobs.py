"""The option ``--jobs``: how many processes share the work."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from collections.abc import Callable


def with_jobs(command: Callable[..., Any], what: str) -> Callable[..., Any]:
    """Add ``--jobs`` to a command, which gets a number; ``what`` is what the processes do."""
    option = click.option(
        "--jobs",
        metavar="N",
        callback=_number_of_jobs,
        default="1",
        show_default=True,
        help=f"How many processes {what}; `auto` for one a core.",
    )
    return option(command)


def _number_of_jobs(_ctx: click.Context, _param: click.Parameter, value: str) -> int:
    """Read ``--jobs``: a number from 1 on, or ``auto``."""
    if value == "auto":
        return os.cpu_count() or 1
    if not value.isdecimal() or int(value) < 1:
        raise click.BadParameter(f"`{value}` is neither a number from 1 on nor `auto`.")
    return int(value)
