"""Right edits of the demo's pages: none is reported but those on the list of false alarms."""

from __future__ import annotations

import pytest

from tests.faults import (  # noqa: F401  (each puts its edits on the list)
    controls_of_facts,
    controls_of_work,
)
from tests.faults.controls import CONTROLS, PLACES, alarms, places
from tests.faults.demo import Demo, demo
from tests.faults.judged import false_alarms, words_of
from tests.faults.running import drawn
from tests.faults.source import edited

SAMPLE = 2
"""So many of each kind here; ``python -m tests.faults controls`` makes more."""


@pytest.fixture(scope="module")
def clean() -> Demo:
    return demo()


@pytest.mark.parametrize("name", CONTROLS)
def test_a_right_edit_is_not_reported(clean: Demo, name: str) -> None:
    known = false_alarms()
    reported = [words_of(name, edit) for edit, _ in alarms(clean, name, SAMPLE)]
    assert [words for words in reported if words not in known.reasons] == []


def test_a_false_alarm_that_is_mended_leaves_the_list(clean: Demo) -> None:
    for words in false_alarms().reasons:
        name = words.partition(" | ")[0]
        edit = next(one for one in places(clean, name) if words_of(name, one) == words)
        assert clean.findings(edit) != [], words


def test_there_are_a_hundred_right_edits_and_each_changes_its_pages(clean: Demo) -> None:
    made = 0
    for name in CONTROLS:
        edits = drawn(name, places(clean, name), PLACES)
        assert edits, name
        for edit in edits:
            for page, changes in edit.by_page().items():
                text = clean.sources[page].text
                assert edited(text, changes) != text, edit
            made += 1
    assert made >= 100
