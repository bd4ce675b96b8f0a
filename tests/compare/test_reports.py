"""The report as text, Markdown and JSON: small golden pieces, and pages that mean harm."""

from __future__ import annotations

import re

import pytest
from markdown_it import MarkdownIt

from procedures_lib.findings import Finding, Place
from procedures_lib.judging.compare import Act, Change, Comparison, Group, Thing, Unread, Use
from procedures_lib.judging.compare.report import (
    LONGEST,
    code,
    json_report,
    markdown_report,
    text_report,
)
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
    report = plain(text_report(after(*EDITS), shown, NAMES))
    _, _, changes = report.partition("Torques, stages and orders:\n")
    assert changes == (
        "  docs/kits/vent.md:24: torque of Vent screws (vent-screws): 3 N·m → 4 N·m (+33 %)\n"
        "      used in fit-vent (step 1), kit vent-kit\n"
        "Other changes that touch safety:\n"
        "  docs/procedures/renew-cover.md:46 (old): leak test of step “Try it”: dropped, was: "
        "test leaks coolant\n"
        "In the box:\n"
        "  docs/kits/vent.md:8: packing list: number of part vent: V-1 → V-9\n"
        "Steps of work:\n"
        "  docs/procedures/renew-cover.md:45 (old): step “Try it”: dropped (was step 5), was: "
        "test leaks coolant\n"
        "Prose:\n"
        "  docs/procedures/renew-cover.md:13: page procedures/renew-cover.md: re-worded "
        "(in 1 step)\n"
        "main → the pages now: 4 changes, 2 of them touch safety; 2 findings.\n"
    )


def test_findings_come_first_and_say_what_to_write() -> None:
    lines = text_report(after(EDITS[0]), shown, NAMES).splitlines()
    assert lines[:3] == [
        "docs/kits/vent.md:6: error: changed-without-revision: torque of `vent-screws` changed, "
        "and the revision stays A in the kit `vent-kit`",
        "    write `revision: B`: who has the old page must see that it is",
        "    see docs/kits/vent.md:24",
    ]


def test_no_difference() -> None:
    assert text_report(Comparison(), shown, NAMES) == "main → the pages now: No difference.\n"


def test_markdown() -> None:
    report = plain(markdown_report(after(EDITS[0], EDITS[3]), shown, NAMES))
    _, _, tables = report.partition("### Torques, stages and orders\n\n")
    assert tables == (
        "| Where | What | Old | New | Used in |\n"
        "|---|---|---|---|---|\n"
        "| `docs/kits/vent.md:24` | torque of `Vent screws` (`vent-screws`), +33 % "
        "| `3 N·m` | `4 N·m` | `fit-vent` (step 1), kit `vent-kit` |\n"
        "\n### Prose\n\n"
        "- `docs/procedures/renew-cover.md:13` in 1 step\n"
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
    )  # fmt: skip
    unread = (Unread(place, "new", "page", text),)
    return Comparison(changes, (), unread, (Finding(place, "changed-without-source", text, text),))


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
    assert sum(token.type == "tr_open" for token in tokens) == 4
    cells = sum(token.type in {"td_open", "th_open"} for token in tokens)
    assert cells == 2 * 5 + 2 * 4


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
    assert f"And {2000 - rows} more changes: `procedures compare` prints them all.\n" in report


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
        }
    ]
    assert [finding["check"] for finding in value["findings"]] == [
        "changed-without-revision",
        "changed-without-source",
    ]
