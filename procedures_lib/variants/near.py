"""A test of an option that is nearly one of the vehicle's: read as what the writer meant."""

from __future__ import annotations

from difflib import get_close_matches
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

_A_SLIP = 0.6


def readable_test(
    option: str, values: tuple[str, ...], options: Mapping[str, tuple[str, ...]]
) -> tuple[str, tuple[str, ...]]:
    """Return the option and values that a test means: the nearest known ones, or its own.

    That a word is unknown is a finding of its own; what follows from it is none.
    """
    known = option if option in options else _near(option, options)
    if known not in options:
        return option, values
    words = options[known]
    return known, tuple(v if v in words else _near(v, words) for v in values)


def _near(word: str, known: Iterable[str]) -> str:
    return next(iter(get_close_matches(word, list(known), n=1, cutoff=_A_SLIP)), word)
