"""Mistakes seeded into the demo: a comparison names every one of them, there and back."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from procedures_lib.judging.compare import Group, compare
from procedures_lib.language.entities.builder import build
from procedures_lib.language.reading.reader import read_page
from tests.faults.demo import demo
from tests.faults.kinds import KINDS, numbered
from tests.faults.running import drawn
from tests.faults.source import edited

if TYPE_CHECKING:
    from procedures_lib.manual import Manual
    from tests.faults.kinds import Fault

MOST = 3
"""How many of each kind are seeded; by hand, thousands."""
PROSE = {"misspell an id in the prose"}
"""Kinds that change nothing but words: the id of a part, mentioned in a sentence."""


def with_fault(fault: Fault) -> Manual:
    clean = demo()
    pages = fault.by_page()
    texts = {name: edited(clean.sources[name].text, edits) for name, edits in pages.items()}
    return clean.manual.with_pages(build(read_page(t.encode(), n)) for n, t in texts.items())


@pytest.mark.parametrize("name", sorted(KINDS))
def test_every_seeded_mistake_is_seen(name: str) -> None:
    clean = demo()
    faults = drawn(name, numbered(KINDS[name].seed(clean)), MOST)
    for fault in faults:
        changed = with_fault(fault)
        there, back = compare(clean.manual, changed), compare(changed, clean.manual)
        pages = {change.place.page for change in there.changes}
        pages |= {unread.place.page for unread in there.unread}
        assert pages & set(fault.by_page()), fault
        assert len(there.changes) == len(back.changes), fault
        told = [change for change in there.changes if change.group is not Group.PROSE]
        assert told or there.unread or name in PROSE, fault
