"""Faults seeded into the clean demo: each is found, or judged, with the reason, in a list.

A mutation test in the sense of DeMillo, Lipton and Sayward, "Hints on test data selection", IEEE
Computer 11 (1978): the checks are as good as the faults they tell from the correct pages. Here a
sample of each kind is seeded; ``python -m tests.faults`` seeds all of them.
"""

from __future__ import annotations

import pytest

from procedures_lib.judging.checks import check_page
from tests.faults.demo import Demo, demo
from tests.faults.judged import BETWEEN, Judged, gaps, harmless, read_judged
from tests.faults.kinds import KINDS, Fault, numbered
from tests.faults.report import BEGIN, END, HEADER, PAGE
from tests.faults.running import Lists, run_kind, spread
from tests.faults.source import Edit, edited

SAMPLE = 10
BROKEN = frozenset(
    {"unreadable-page", "unreadable-block", "unreadable-condition", "duplicate-key", "bad-id",
     "unknown-block", "unknown-field", "missing-field", "wrong-shape", "unknown-word",
     "unknown-thread", "unknown-stage", "unknown-verb"}
)  # fmt: skip
"""What is found on a page that a slip of the seeding has broken: no fault may be found by that."""


@pytest.fixture(scope="module")
def clean() -> Demo:
    return demo()


@pytest.fixture(scope="module")
def lists() -> Lists:
    return Lists()


def test_nothing_is_found_on_the_clean_pages(clean: Demo) -> None:
    found = [f.text() for page in clean.manual.contents for f in check_page(clean.manual, page)]
    assert found == []
    assert len(list(clean.manual.plans())) >= 8


@pytest.mark.parametrize("name", KINDS)
def test_a_fault_is_found_or_judged(clean: Demo, lists: Lists, name: str) -> None:
    outcome = run_kind(clean, KINDS[name], lists, SAMPLE)
    assert outcome.seeded > 0
    assert [BETWEEN.join((name, fault.page, fault.what)) for fault in outcome.missed] == []
    assert [fault.what for fault, checks in outcome.found if checks & BROKEN] == []


FOUND_TO_THE_LAST = (
    "drop `uncover`", "drop `cover`", "drop `restore`", "drop `isolate`", "drop `relieve`",
    "drop `tighten`", "drop `connect`", "drop `drain`", "drop `fill`", "drop `bleed`",
    "drop `raise`", "drop `lower`", "drop `tag`", "drop `program`", "swap isolate and restore",
    "repeat a bolt in an order", "drop a bolt from an order", "drop a unit",
    "N·m ↔ lbf·ft, under double entry", "lbf·in ↔ lbf·ft, under double entry",
    "a reusable fastener becomes single-use", "misspell an id in an action",
)  # fmt: skip


@pytest.mark.parametrize("name", FOUND_TO_THE_LAST)
def test_some_kinds_are_found_without_exception(clean: Demo, name: str) -> None:
    survivors = [
        f.what for f in spread(numbered(KINDS[name].seed(clean)), SAMPLE) if not clean.findings(f)
    ]
    assert survivors == []


@pytest.mark.parametrize("name", KINDS)
def test_every_fault_has_words_of_its_own_and_changes_its_pages(clean: Demo, name: str) -> None:
    faults = numbered(KINDS[name].seed(clean))
    assert len({(fault.page, fault.what) for fault in faults}) == len(faults)
    for fault in faults:
        for page, edits in fault.by_page().items():
            text = clean.sources[page].text
            assert edited(text, edits) != text, fault


def test_what_was_judged_is_still_there_to_be_judged(clean: Demo) -> None:
    left = {pattern for judged in (harmless(), gaps()) for pattern, _ in judged.reasons}
    assert {pattern.kind for pattern in left} <= set(KINDS)
    for kind in KINDS.values():
        mine = [pattern for pattern in left if pattern.kind == kind.name]
        for fault in numbered(kind.seed(clean)) if mine else ():
            left -= {pattern for pattern in mine if pattern.fits(kind.name, fault)}
    assert sorted(map(str, left)) == []


def test_nothing_is_judged_in_two_ways(clean: Demo) -> None:
    one, two = harmless(), gaps()
    both = [
        (kind.name, fault.page, fault.what)
        for kind in KINDS.values()
        for fault in numbered(kind.seed(clean))
        if one.reason(kind.name, fault) and two.reason(kind.name, fault)
    ]
    assert both == []


# -- the machinery ---------------------------------------------------------------------------------


def test_edits_are_made_from_the_end() -> None:
    assert edited("one two three", [Edit(0, 3, "1"), Edit(8, 13, "3"), Edit(7, 7, "!")]) == (
        "1 two! 3"
    )


def test_a_survivor_on_no_list_is_missed(clean: Demo) -> None:
    nowhere = Lists(Judged(), Judged())
    outcome = run_kind(clean, KINDS["drop `test`"], nowhere, 1000)
    assert outcome.missed
    assert (outcome.harmless, outcome.gaps) == ([], [])
    assert outcome.seeded == outcome.sites


def test_a_sample_is_spread_over_all() -> None:
    faults = [Fault("page.md", str(n), ()) for n in range(25)]
    assert [int(fault.what) for fault in spread(faults, 10)] == [0, 3, 6, 9, 12, 15, 18, 21, 24]
    assert spread(faults, 25) == faults


def test_faults_alike_are_numbered() -> None:
    faults = numbered([Fault("page.md", "drop it", ())] * 2 + [Fault("other.md", "drop it", ())])
    assert [fault.what for fault in faults] == ["drop it", "drop it (2)", "drop it"]


ENTRY = "[[judged]]\nreason = '{}'\nfaults = [{}]\n"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (ENTRY.format(" ", "'a | b | c'"), "no reason is given"),
        (ENTRY.format("so", "'a | b'"), "write `kind | page | what`"),
        (ENTRY.format("so", "'a | b | c', 'a | b | c'"), "it stands twice"),
    ],
)
def test_a_judgement_without_reason_or_twice_is_refused(text: str, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        read_judged(text, "reason")


def test_a_judgement_holds_for_what_it_names() -> None:
    judged = read_judged(ENTRY.format("so", "'a | b.md | drop *', 'a | b.md | never'"), "reason")
    assert judged.reason("a", Fault("b.md", "drop `x`", ())) == "so"
    assert judged.reason("a", Fault("c.md", "drop `x`", ())) == ""
    assert judged.reason("c", Fault("b.md", "drop `x`", ())) == ""
    assert [pattern.what for pattern in judged.unused()] == ["never"]


def test_the_report_in_docs_has_all_kinds_and_adds_up() -> None:
    text = PAGE.read_text(encoding="utf-8").split(BEGIN)[1].split(END)[0]
    table = text[text.index(HEADER) :].split("\n\n")[0].splitlines()[2:]
    rows = [[cell.strip() for cell in row.strip("|").split(" | ")] for row in table]
    assert [row[0] for row in rows] == list(KINDS), "run: python -m tests.faults"
    for row in rows:
        assert int(row[1].split()[0]) == sum(map(int, row[2:5])), row[0]
