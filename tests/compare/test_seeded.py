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
PROSE = {
    "marks of a conflict left",
    "misspell an id in the prose",
    "a similar thing in a role of the prose",
    "another tool in the prose than in the list",
    "a reference to another step",
    "left for right, front for rear in the prose",
}
"""Kinds that change nothing but sentences, or the things that a sentence mentions."""
UNSEEN = {
    "a slip in the signs of a block": "a list of one action is read without its dash too",
}
"""Kinds of which a comparison may say nothing, and why."""


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
        assert pages & set(fault.by_page()) or name in UNSEEN, fault
        assert len(there.changes) == len(back.changes), fault
        told = [change for change in there.changes if change.group is not Group.PROSE]
        assert told or there.unread or name in PROSE | UNSEEN.keys(), fault


@pytest.mark.parametrize("name", UNSEEN)
def test_a_kind_that_may_be_unseen_has_such_a_mistake(name: str) -> None:
    """One that a comparison has learnt to see comes off the list."""
    clean = demo()
    faults = drawn(name, numbered(KINDS[name].seed(clean)), MOST)
    seen = [compare(clean.manual, with_fault(fault)) for fault in faults]
    assert any(not (each.changes or each.unread) for each in seen)
