"""The report as text, Markdown and JSON: small golden pieces, and pages that mean harm."""

from __future__ import annotations

import re

import pytest
from markdown_it import MarkdownIt

from procedures_lib.findings import Finding, Place
from procedures_lib.judging.compare import (
    Act,
    Change,
    Comparison,
    Group,
    Harm,
    Stale,
    Thing,
    Unread,
    Use,
)
from procedures_lib.judging.compare.markdown import LONGEST, code, markdown_report
from procedures_lib.judging.compare.report import MOST_LINES, json_report, text_report
from tests.compare.small import BOX, COVER, after, plain

NAMES = ("main", "the pages now")
EDITS = (
    (BOX, "tighten: 3 N·m", "tighten: 4 N·m"),
    (BOX, "number: V-1}", "number: V-9}"),
    (COVER, ":::{step} Try it\n:do: test leaks coolant\nRun it warm.\n:::\n\n", ""),
    (COVER, "Lift it off.", "Lift it away."),
)


def shown(page: str) -> str:
    return f"docs/{page}"


def test_text() -> None:
    changes, _, rest = plain(text_report(after(*EDITS), shown, NAMES)).partition("Printed cards")
    assert changes == (
        "Hold these against their sources, no rule can judge them:\n"
        "  docs/kits/vent.md:24: torque of Vent screws (vent-screws): 3 N·m → 4 N·m (+33 %) — used "
        "in fit-vent (step 1), kit vent-kit; look at: Vent maker's sheet, page 2\n"
        "Can damage the car:\n"
        "  docs/procedures/renew-cover.md:25: sentence of step “Take the cover off”: re-worded: "
        "Lift it [-off-] {+away+}. — used in renew-cover (step 2)\n"
        "  docs/procedures/renew-cover.md:46 (old): leak test of step “Try it”: dropped, was: "
        "test leaks coolant — used in renew-cover (step 5)\n"
        "  docs/procedures/renew-cover.md:45 (old): step “Try it”: dropped (was step 5), was: "
        "test leaks coolant — used in renew-cover (step 5)\n"
        "Can waste time or goods:\n"
        "  docs/kits/vent.md:8: packing list: number of part vent: V-1 → V-9 — used in fit-vent "
        "(step 1)\n"
    )
    assert rest.startswith(" out of date: fit-vent revision B; renew-cover revision A.\n")
    assert rest.endswith("main → the pages now: 5 changes: 4 can damage; 3 findings.\n")


def test_findings_follow_the_changes_and_say_what_to_write() -> None:
    lines = plain(text_report(after(EDITS[0]), shown, NAMES)).splitlines()
    assert lines[2:5] == [
        "Printed cards out of date: fit-vent revision B.",
        "docs/kits/vent.md:6: error: changed-without-revision: torque of `vent-screws` changed, "
        "and the revision stays A in the kit `vent-kit`",
        "    write `revision: B`: who has the old page must see that it is",
    ]


def test_no_difference() -> None:
    assert text_report(Comparison(), shown, NAMES) == "main → the pages now: No difference.\n"


def test_markdown() -> None:
    report = plain(markdown_report(after(EDITS[0], EDITS[3]), shown, NAMES))
    tables, _, _ = report.partition("### To be settled")
    head = "| Where | What | Change | Used in | Look at |\n|---|---|---|---|---|\n"
    assert tables == (
        "**`main` → `the pages now`: 2 changes: 2 can damage; prose only: 1 page; 3 findings.**\n"
        "\n### Hold these against their sources, no rule can judge them\n\n"
        f"{head}| `docs/kits/vent.md:24` | torque of `Vent screws` (`vent-screws`) "
        "| `3 N·m` → `4 N·m` (+33 %) | `fit-vent` (step 1), kit `vent-kit` "
        "| `Vent maker's sheet, page 2` |\n"
        "\n### Can damage the car\n\n"
        f"{head}| `docs/procedures/renew-cover.md:25` | sentence of step `Take the cover off` "
        "| re-worded: `Lift it [-off-] {+away+}.` | `renew-cover` (step 2) |  |\n"
        "\nPrinted cards out of date: `fit-vent` revision `B`; `renew-cover` revision `A`.\n\n"
    )


HOSTILE = [
    "<img src=x onerror=alert(1)>",
    "@everyone #1 https://example.org",
    "a | b || c",
    "`code` ``more`` ```",
    "![x](https://example.org/x.png)",
    "line\none\r\ntwo\x1b[31m",
    "\u202egnol",
    "\\",
    "\\|",
    "ends with `",
    "&lt;b&gt;",
]


def hostile_comparison(text: str) -> Comparison:
    """A comparison in which everything that a page can say is one hostile text."""
    place = Place(f"{text}.md", 3)
    changes = (
        Change(Group.JOINTS, place, "torque", Thing("fastener", text, text), Act.CHANGED, text,
               text, used=(Use(text, (1,)),), kits=(text,)),
        Change(Group.WORK, place, "step", Thing("step", text, text), Act.ADDED, "", text),
        Change(Group.PROSE, place, "prose", Thing("page", text), Act.REWORDED, note="in 1 step"),
        Change(Group.PROSE, place, "sentence", Thing("step", text, text), Act.REWORDED,
               f"{text} one {text}", f"{text} two {text}", used=(Use(text),), turned=True,
               unjudged=True, harm=Harm.INJURES, source=text),
    )  # fmt: skip
    unread = (Unread(place, "new", "page", text),)
    findings = (Finding(place, "changed-without-source", text, text),)
    return Comparison(changes, (), unread, findings, (Stale(text, text, (text,)),))


@pytest.mark.parametrize("text", HOSTILE)
def test_nothing_on_a_page_becomes_markup(text: str) -> None:
    """Rendered as hosts of pull requests do it: CommonMark with tables, HTML let through."""
    report = markdown_report(hostile_comparison(text), shown, (text, text))
    tokens = MarkdownIt("commonmark").enable("table").parse(report)
    inline = [part for token in tokens for part in token.children or ()]
    kinds = {part.type for part in inline} | {token.type for token in tokens}
    assert not kinds & {"html_inline", "html_block", "link_open", "image", "fence", "code_block"}
    outside = "".join(part.content for part in inline if part.type == "text")
    assert not set("<@#!") & set(outside)
    assert sum(token.type == "tr_open" for token in tokens) == 2 + 4
    assert sum(token.type in {"td_open", "th_open"} for token in tokens) == 6 * 5


@pytest.mark.parametrize("text", HOSTILE)
def test_a_code_span_holds_the_text(text: str) -> None:
    inline = MarkdownIt("commonmark").enable("table").parse(f"|x|\n|---|\n| {code(text)} |\n")
    spans = [c for t in inline for c in t.children or () if c.type == "code_inline"]
    said = " ".join("".join(s if s.isprintable() else " " for s in text).split())
    assert len(spans) == 1
    if "\\" not in text:
        assert spans[0].content == said


@pytest.mark.parametrize("text", HOSTILE)
def test_no_text_steers_a_terminal_or_breaks_a_line(text: str) -> None:
    report = text_report(hostile_comparison(text), str, ("a", "b"))
    assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u202e]", report)
    assert len(report.splitlines()) == 11


def test_a_long_report_stays_within_a_comment() -> None:
    place = Place("p.md", 1)
    many = tuple(
        Change(
            Group.WORK, place, "tools", Thing("step", "", f"Step {n}"), Act.CHANGED, "x" * 50, "y"
        )
        for n in range(2000)
    )
    report = markdown_report(Comparison(many), str, NAMES)
    assert len(report) < LONGEST + 200
    rows = sum(line.startswith("| `p.md:1` |") for line in report.splitlines())
    left = 2000 - rows
    assert f"And {left} more changes ({left} can damage): `procedures compare` names them" in report


def test_a_long_text_counts_what_it_leaves_out() -> None:
    place = Place("p.md", 1)
    many = tuple(
        Change(Group.WORK, place, "time", Thing("step", "", f"Step {n}"), Act.CHANGED, "1", "2",
               harm=Harm.WASTES if n > MOST_LINES + 9 else Harm.INJURES)
        for n in range(5000)
    )  # fmt: skip
    lines = text_report(Comparison(many), str, NAMES).splitlines()
    assert len(lines) == MOST_LINES + 3
    assert lines[-2] == (
        f"And {5000 - MOST_LINES} more changes (10 can injure): `--format json` names them all."
    )


def test_json() -> None:
    value = json_report(after(EDITS[0]), shown, NAMES)
    assert (value["format"], value["old"], value["new"]) == (1, "main", "the pages now")
    assert value["changes"] == [
        {
            "path": "docs/kits/vent.md",
            "page": "kits/vent.md",
            "line": 24,
            "group": "joints",
            "topic": "torque",
            "kind": "fastener",
            "id": "vent-screws",
            "name": "Vent screws",
            "act": "changed",
            "old": "3 N·m",
            "new": "4 N·m",
            "note": "+33 %",
            "same_amount": False,
            "was": {"page": "kits/vent.md", "line": 24},
            "used": [{"procedure": "fit-vent", "steps": [1]}],
            "kits": ["vent-kit"],
            "harm": "damages",
            "comes_first": True,
            "turned": False,
            "source": "Vent maker's sheet, page 2",
            "marked": "",
        }
    ]
    assert value["stale"] == [{"procedure": "fit-vent", "revision": "B", "jobs": []}]
    assert [finding["check"] for finding in value["findings"]] == [
        "changed-without-revision",
        "changed-without-source",
        "changed-without-revision",
    ]
