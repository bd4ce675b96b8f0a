"""A progress bar for long work, for people only."""

from __future__ import annotations

import sys
from contextlib import contextmanager
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

LONG = 200


@contextmanager
def progress(pages: int, rounds: int, label: str) -> Iterator[Callable[[], None]]:
    """Yield what is to be called after each page of each round.

    The bar stands on stderr, and only when that is a terminal and the manual has more than
    ``LONG`` pages.
    """
    if pages <= LONG or not sys.stderr.isatty():
        yield lambda: None
        return
    total = pages * rounds
    with click.progressbar(
        length=total, label=label, file=sys.stderr, update_min_steps=max(1, total // 200)
    ) as bar:
        yield lambda: bar.update(1)
