"""What is fuzzed: for each a strategy that draws odd input, and what has to hold of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from hypothesis import strategies as st

from tests.checks.test_never_raises import HEADS
from tests.checks.test_never_raises import pages as fragments
from tests.fuzz import built, properties, values
from tests.fuzz.manuals import spoilt
from tests.fuzz.shortcuts import same_with_the_parsers

if TYPE_CHECKING:
    from collections.abc import Callable


@dataclass(frozen=True, slots=True)
class Target:
    """``each`` is how many examples of it there are in a round of the long run."""

    strategy: st.SearchStrategy[Any]
    holds: Callable[[Any], None]
    each: int


_PAGE_BYTES = st.binary(max_size=400) | fragments.map(lambda text: (HEADS + text).encode())

TARGETS = {
    "bytes": Target(_PAGE_BYTES, properties.any_bytes, 300),
    "page": Target(spoilt(), properties.page_alone, 60),
    "shortcut": Target(spoilt(), same_with_the_parsers, 300),
    "drawn": Target(spoilt(), properties.all_of_it, 30),
    "unjudged": Target(spoilt(), properties.unjudged, 60),
    "fix": Target(spoilt(), properties.fixed, 40),
    "compare": Target(spoilt(), properties.compared, 40),
    "quantity": Target(values.AMOUNTS, values.quantity, 4000),
    "short": Target(values.SHORT, values.short_text, 1000),
    "tighten": Target(values.TIGHTEN, values.tighten, 1000),
    "record": Target(values.records(), values.record, 300),
    "pull": Target(values.PULLS, values.pull, 300),
    "built": Target(built.manuals, built.silent_builds, 40),
    "shop": Target(values.SHOPS, values.shop, 200),
}
