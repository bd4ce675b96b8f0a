"""The worst comes first: three dangerous changes among thirty, and mistakes seeded by severity."""

from __future__ import annotations

import textwrap
from functools import cache
from pathlib import Path

import pytest

from procedures_lib.judging.compare import Change, Comparison, Harm, compare
from procedures_lib.judging.compare.harm import is_grave
from procedures_lib.judging.compare.markdown import markdown_report
from procedures_lib.judging.compare.report import FIRST, text_report
from procedures_lib.language.entities.builder import build
from procedures_lib.language.reading.reader import read_page
from procedures_lib.manual import Manual
from tests.compare.small import BOX, CAR, COVER, OFF, after, only, plain
from tests.compare.test_seeded import with_fault
from tests.faults.demo import demo
from tests.faults.kinds import KINDS, Severity, numbered
from tests.faults.running import drawn
from tests.faults.severity import severity

DOCS = Path(__file__).resolve().parents[2] / "docs"
TIME = "\ntime: 5 min"
WORK = sorted(
    path.stem for path in (DOCS / "procedures").glob("*.md") if TIME in path.read_text("utf-8")
)
KITS = sorted(path.stem for path in (DOCS / "kits").glob("*.md") if path.stem != "index")
DANGER = (DOCS / "common" / "raise-car.md").read_text("utf-8")
SIGN = DANGER[DANGER.index(":::{danger}") : DANGER.index("Lift one end")]

DANGEROUS = (
    # the torque of a brake, in its block and in double entry alike: two edits, one change
    ("kits/tf-140.md", "condition: dry\n  tighten: [20 N·m, 60 N·m]",
     "condition: dry\n  tighten: [20 N·m, 50 N·m]"),
    ("procedures/fit-tf-140.md", "[15 lbf·ft, 44 lbf·ft]", "[15 lbf·ft, 37 lbf·ft]"),
    # a word of a sentence about an airbag
    ("procedures/fit-tf-260.md", "touch bare metal before you do", "touch bare metal after you do"),
    # the danger of a raised car, below the work that it warns of
    ("common/raise-car.md", SIGN, ""),
    ("common/raise-car.md", "before anyone\ngoes under.\n",
     f"before anyone\ngoes under.\n\n{SIGN.strip()}\n"),
)  # fmt: skip
HARMLESS = (
    *((f"procedures/{name}.md", TIME, "\ntime: 6 min") for name in WORK[:9]),
    *((f"kits/{name}.md", "-01", "-01A") for name in KITS),
    ("procedures/fit-tf-140.md", "Doing it now saves rocking", "Doing so now saves rocking"),
    ("procedures/fit-tf-140.md", "mark it with chalk", "mark it in chalk"),
    ("procedures/fit-tf-140.md", "otherwise a face isn't clean", "else a face isn't clean"),
    ("procedures/fit-tf-260.md", "Chalk each rim with its corner", "Mark each rim with its corner"),
    ("procedures/fit-tf-260.md", "Lay two of them flat", "Put two of them flat"),
    ("procedures/fit-tf-140.md", "reviewed: 2026-09-21", "reviewed: 2026-09-28"),
    ("procedures/fit-tf-260.md", "reviewed: ", "reviewed: 2026-10-01   # "),
    ("procedures/fit-bd-530.md", "reviewed: ", "reviewed: 2026-10-01   # "),
    ("vehicles/tarrow-finch.md", "name: Tarrow Finch 1.6 turbo", "name: Tarrow Finch 1.6 Turbo"),
    ("procedures/gearbox-in.md", "reviewed: ", "reviewed: 2026-10-01   # "),
)


@cache
def thirty() -> Comparison:
    """The demo against itself with thirty changes, three of them dangerous."""
    texts: dict[str, str] = {}
    for page, old, new in (*DANGEROUS, *HARMLESS):
        text = texts.get(page) or (DOCS / page).read_text("utf-8")
        assert old in text, (page, old)
        texts[page] = text.replace(old, new, 1)
    manual = Manual.read(DOCS)
    pages = [build(read_page(text.encode(), name)) for name, text in texts.items()]
    return compare(manual, manual.with_pages(pages))


FOUND = ("caliper-140-bolts): 20 N·m, 60 N·m → 20 N·m, 50 N·m", "[-before-] {+after+} you do",
         "place of the signal word of “Raised vehicle: crushing”")  # fmt: skip


def test_thirty_changes_are_thirty_lines() -> None:
    """The row of double entry that changed with its number is one of them, among the last."""
    assert len(thirty().changes) == 30
    assert sum(change.harm is Harm.INJURES for change in thirty().changes) == 3
    assert [change.harm for change in thirty().changes[:3]] == [Harm.INJURES] * 3


@pytest.mark.parametrize("columns", [80, 100])
def test_a_reviewer_finds_the_three_in_the_upper_half_of_a_screen(columns: int) -> None:
    """A screen of 40 lines, on which longer ones are broken."""
    report = plain(text_report(thirty(), lambda page: f"docs/{page}", ("main", "the pages now")))
    rows = [row for line in report.splitlines() for row in textwrap.wrap(line, columns)]
    screen = " ".join(row.strip() for row in rows[:20])
    assert [words for words in FOUND if words not in screen] == []


def test_so_does_one_of_a_pull_request() -> None:
    report = plain(markdown_report(thirty(), str, ("main", "the pages now"))).replace("`", "")
    rows = report.splitlines()
    assert f"### {FIRST}" in rows[:3]
    tables = " ".join(rows[:16])
    marks = (
        "20 N·m, 60 N·m → 20 N·m, 50 N·m",
        FOUND[1],
        FOUND[2].translate({0x201C: "", 0x201D: ""}),
    )
    assert [words for words in marks if words not in tables] == []


def test_what_no_rule_can_judge_names_its_source() -> None:
    first = [change for change in thirty().changes if change.comes_first]
    sources = {change.topic: change.source for change in first}
    assert sources["torque"].startswith("Kit maker's sheet TF-140")
    assert set(sources) == {"torque", "sentence"}


# -- the model ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "grave"),
    [
        ("front-brake-hose", True),
        ("Track rod ends", True),
        ("wheel-nuts-left", True),
        ("fuel-rail", True),
        ("spring clip", False),
        ("clutch-disc", False),
        ("flywheel-bolts", False),
        ("cover-bolts", False),
        ("breakers", False),
    ],
)
def test_words_of_the_trade(text: str, grave: bool) -> None:
    """Common practice, no source."""
    assert is_grave(text) is grave


EDITS = [
    ((CAR, "{name: Fan plug, kind: plug,", "{name: Fan plug, kind: plug, carries: airbag,"),
     Harm.INJURES),
    ((COVER, "tools: [trim lever]", "tools: [trim lever, axle stands]"), Harm.INJURES),
    ((COVER, "tools: [trim lever]", "tools: [hook]"), Harm.WASTES),
    ((COVER, "time: 5 min", "time: 6 min"), Harm.WASTES),
    ((COVER, "Wear gloves.", "Wear no gloves."), Harm.INJURES),
    ((CAR, "name: Cover bolts", "name: Bolts of the cover"), Harm.WASTES),
    ((CAR, "tighten: [hand, 8 N·m]", "tighten: [hand, 8 Nm ]"), None),
    ((CAR, "head: hex 10 mm", "head: hex 13 mm"), Harm.WASTES),
    ((CAR, "class: \"8.8\"\n  head: hex 16", "class: \"5.6\"\n  head: hex 16"), Harm.DAMAGES),
    ((OFF, "isolate battery", "inspect battery"), Harm.INJURES),
    ((BOX, "qty: 5", "qty: 6"), Harm.WASTES),
    ((COVER, "Lift it off.", "Lift it off the jack."), Harm.INJURES),
    ((COVER, "Run it warm.", "Run the {part}`cover` warm."), Harm.DAMAGES),
]  # fmt: skip


@pytest.mark.parametrize(("edit", "harm"), EDITS)
def test_what_a_change_can_do(edit: tuple[str, str, str], harm: Harm | None) -> None:
    harms = [change.harm for change in after(edit).changes]
    assert (harms[0] if harms else None) is harm


def test_fewer_people_are_graver_than_more() -> None:
    edits = (COVER, "tools: [trim lever]", "tools: [trim lever]\npeople: 2")
    more = only(after(edits))
    assert (more.topic, more.harm) == ("people", Harm.WASTES)
    heavy = ("do:\n  - disconnect fan-plug", "do:\n  - raise vehicle\n  - disconnect fan-plug")
    old, new = (after((COVER, *heavy), edits), after((COVER, *heavy)))
    assert len(old.changes) > len(new.changes)


def test_a_part_that_is_heavy_can_injure() -> None:
    change = only(after((CAR, "cover: {name: Top cover,", "cover: {name: Top cover, mass: 40 kg,")))
    assert change.harm is Harm.INJURES


# -- seeded ------------------------------------------------------------------------------------

EACH = 2


@cache
def first_changes() -> list[tuple[Severity, Change]]:
    """Of each seeded mistake how severe it is by the rule of the seeds, and what is told first."""
    clean = demo()
    found = []
    for name in sorted(KINDS):
        for fault in drawn(name, numbered(KINDS[name].seed(clean)), EACH):
            changes = compare(clean.manual, with_fault(fault)).changes
            if changes:
                found.append((severity(clean, KINDS[name], fault), changes[0]))
    return found


def test_what_injures_is_ranked_so() -> None:
    """The seeds know severity by their own rule; nine of ten that injure are told as such."""
    told = [change.harm for level, change in first_changes() if level is Severity.INJURES]
    assert len(told) > 50
    assert told.count(Harm.INJURES) >= 0.88 * len(told)
    assert told.count(Harm.WASTES) <= 0.04 * len(told)


def test_what_wastes_is_mostly_not_ranked_above_it() -> None:
    told = [change.harm for level, change in first_changes() if level is Severity.WASTES]
    assert told.count(Harm.INJURES) <= 0.3 * len(told)
