"""When the output is coloured."""

from __future__ import annotations

import os
from typing import IO, TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from collections.abc import Callable

CHOICES = ("auto", "always", "never")


def wanted(choice: str, stream: IO[Any]) -> bool:
    """Tell whether to colour what goes to a stream.

    ``auto`` colours a terminal, unless ``NO_COLOR`` is set or the terminal is a dumb one.
    """
    if choice != "auto":
        return choice == "always"
    plain = os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb"
    return stream.isatty() and not plain


def with_colour(command: Callable[..., int]) -> Callable[..., int]:
    """Add ``--colour`` to a command."""
    option = click.option(
        "--colour",
        type=click.Choice(CHOICES),
        default="auto",
        show_default=True,
        help="Colour the findings; `auto` does on a terminal, unless NO_COLOR is set.",
    )
    return option(command)
