"""Faults seeded into the clean demo: each is found, or judged singly, with the reason, in a list.

A mutation test in the sense of DeMillo, Lipton and Sayward, "Hints on test data selection", IEEE
Computer 11 (1978): the checks are as good as the faults they tell from the correct pages. Here a
few of each kind are seeded; ``python -m tests.faults`` seeds more of them.
"""

from __future__ import annotations

import pytest

from procedures_lib.judging.checks import check_page
from tests.faults.__main__ import MOST
from tests.faults.demo import Demo, demo
from tests.faults.judged import Judged, gaps, harmless, read_judged, words_of
from tests.faults.kinds import KINDS, Fault, Severity, numbered
from tests.faults.report import BEGIN, END, HEADER, PAGE
from tests.faults.running import Lists, drawn, run_kind
from tests.faults.severity import is_dangerous, severity
from tests.faults.source import Edit, edited

SAMPLE = 2


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
    assert [words_of(name, fault) for fault in outcome.missed] == []


def test_what_would_injure_is_mostly_found(clean: Demo, lists: Lists) -> None:
    worst = ("drop an action: hazards, covers, tags, support", "play a signal word down",
             "drop what fits a replacement, keep the discard")  # fmt: skip
    for name in worst:
        outcome = run_kind(clean, KINDS[name], lists, SAMPLE)
        assert len(outcome.found) == SAMPLE, name


@pytest.mark.parametrize("name", KINDS)
def test_every_fault_has_words_of_its_own_and_changes_its_pages(clean: Demo, name: str) -> None:
    faults = numbered(KINDS[name].seed(clean))
    assert len({(fault.page, fault.what) for fault in faults}) == len(faults)
    for fault in drawn(name, faults, MOST):
        for page, edits in fault.by_page().items():
            text = clean.sources[page].text
            assert edited(text, edits) != text, fault


def test_what_was_judged_is_still_drawn(clean: Demo) -> None:
    judged = {*harmless().reasons, *gaps().reasons}
    for kind in KINDS.values():
        faults = drawn(kind.name, numbered(kind.seed(clean)), MOST)
        judged -= {words_of(kind.name, fault) for fault in faults}
    assert sorted(judged) == []


def test_nothing_is_judged_in_two_ways() -> None:
    assert set(harmless().reasons) & set(gaps().reasons) == set()


# -- how bad it is ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("word", "dangerous"),
    [
        ("carrier-bolts", True),
        ("wheel-nuts-left", True),
        ("brake-unions", True),
        ("feed-line", True),
        ("raised-bed", True),
        ("side-airbag-plugs", True),
        ("vehicle", True),
        ("clutch-disc-180", False),
        ("disconnect", False),
        ("cooler-220-bolts", False),
        ("air-box-bolts", False),
        ("coolant", False),
    ],
)
def test_what_can_injure_is_told_from_its_name(clean: Demo, word: str, dangerous: bool) -> None:
    assert is_dangerous(clean, word) == dangerous


def test_a_fault_is_as_bad_as_what_it_touches(clean: Demo) -> None:
    tight, typed = KINDS["drop an action: start, tighten"], KINDS["wrong time"]
    brakes = Fault("page.md", "", (), ("tighten", "brake-unions"))
    cooler = Fault("page.md", "", (), ("tighten", "cooler-220-bolts"))
    assert severity(clean, tight, brakes) == Severity.INJURES
    assert severity(clean, tight, cooler) == Severity.DAMAGES
    assert severity(clean, typed, brakes) == Severity.WASTES


# -- the machinery ---------------------------------------------------------------------------------


def test_edits_are_made_from_the_end() -> None:
    assert edited("one two three", [Edit(0, 3, "1"), Edit(8, 13, "3"), Edit(7, 7, "!")]) == (
        "1 two! 3"
    )


def test_a_survivor_on_no_list_is_missed(clean: Demo) -> None:
    nowhere = Lists(Judged(), Judged())
    outcome = run_kind(clean, KINDS["a reference to another step"], nowhere, SAMPLE)
    assert len(outcome.missed) == outcome.seeded == SAMPLE < outcome.sites
    assert (outcome.harmless, outcome.gaps) == ([], [])


def test_a_small_sample_is_part_of_a_larger_one_and_stays() -> None:
    faults = [Fault("page.md", str(n), ()) for n in range(25)]
    sample = drawn("a kind", faults, 10)
    assert sample[:4] == drawn("a kind", list(reversed(faults)), 4)
    assert [fault.what for fault in sample] != [str(n) for n in range(10)]
    assert len(drawn("a kind", faults, 30)) == 25


def test_faults_alike_are_numbered() -> None:
    faults = numbered([Fault("page.md", "drop it", ())] * 2 + [Fault("other.md", "drop it", ())])
    assert [fault.what for fault in faults] == ["drop it", "drop it (2)", "drop it"]


ENTRY = "[[judged]]\nfault = '{}'\nreason = '{}'\n"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (ENTRY.format("a | b | c", " "), "no reason is given"),
        (ENTRY.format("a | b", "so"), "write one fault, `kind"),
        (ENTRY.format("a | b | drop *", "so"), "write one fault, `kind"),
        (ENTRY.format("a | b | c", "so") * 2, "it stands twice"),
    ],
)
def test_a_judgement_without_reason_or_of_several_is_refused(text: str, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        read_judged(text, "reason")


def test_a_judgement_holds_for_what_it_names() -> None:
    text = ENTRY.format("a | b.md | drop `x`", "so") + ENTRY.format("a | b.md | never", "so")
    judged = read_judged(text, "reason")
    assert judged.reason("a", Fault("b.md", "drop `x`", ())) == "so"
    assert judged.reason("a", Fault("c.md", "drop `x`", ())) == ""
    assert judged.reason("c", Fault("b.md", "drop `x`", ())) == ""
    assert list(judged.unused()) == ["a | b.md | never"]


def test_the_report_in_docs_has_all_kinds_and_adds_up() -> None:
    text = PAGE.read_text(encoding="utf-8").split(BEGIN)[1].split(END)[0]
    table = text[text.index(HEADER) :].split("\n\n")[0].splitlines()[2:]
    rows = [[cell.strip() for cell in row.strip("|").split(" | ")] for row in table]
    assert [row[0] for row in rows] == list(KINDS), "run: python -m tests.faults"
    for row in rows:
        assert int(row[2]) == sum(map(int, row[3:6])), row[0]
