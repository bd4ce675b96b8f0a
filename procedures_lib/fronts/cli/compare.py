"""``procedures compare``: what a change touches, and what that can do."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path

import click

from procedures_lib.findings import printable
from procedures_lib.fronts.cli.archiving.catalogue import Query
from procedures_lib.fronts.cli.archiving.store import archive_of
from procedures_lib.fronts.cli.arguments import (
    SHOP_PAGE,
    Folders,
    Word,
    relative,
    with_format,
    with_manual,
)
from procedures_lib.fronts.cli.revision import folder_state, state_named
from procedures_lib.fronts.cli.terminal import EXIT_CODES, ExitCode, Refused, write_json, write_text
from procedures_lib.judging.compare import compare as compare_manuals
from procedures_lib.judging.compare.markdown import markdown_report
from procedures_lib.judging.compare.report import json_report, text_report
from procedures_lib.judging.records.answered import Answered, answered, answered_text
from procedures_lib.manual import Manual


@click.command(epilog=EXIT_CODES)
@click.argument("old", default="HEAD", metavar="[OLD]", type=Word())
@click.argument("new", required=False, metavar="[NEW]", type=Word())
@with_format(
    "text", "markdown", "json", about="How to write the report; `markdown` is for a pull request."
)
@with_manual
def compare(old: str, new: str | None, form: str, folders: Folders) -> int:
    """Tell what differs between two states of the manual, what can hurt someone first.

    OLD and NEW are each a folder of pages, or else a revision of git (a branch, a tag, a commit).
    Without OLD it is HEAD; without NEW it is the pages as they are in the folder now.

    A torque, stage or order that changes without a new revision of the kit and of the procedures
    that print it, or without a word on its source, is a finding, and gives exit code 1.
    """
    before = state_named(old, folders)
    if new is None:
        after = folder_state(folders.pages, "the pages now", folders.shop)
    else:
        after = state_named(new, folders)
    comparison = compare_manuals(before.manual, after.manual, (before.digest, after.digest))
    names = (before.name, after.name)

    def way_to(page: str) -> str:
        path = folders.shop if page == SHOP_PAGE else after.pages / page
        return Path(relative(path)).as_posix()

    answers = _answers(folders, before.manual, after.manual)
    if form == "json":
        told = {"answers": [asdict(each) for each in answers]}
        write_json({**json_report(comparison, way_to, names), **told})
    else:
        report = text_report if form == "text" else markdown_report
        write_text(report(comparison, way_to, names) + _told(answers, form))
    return ExitCode.FINDINGS if comparison.findings else ExitCode.CLEAN


def _answers(folders: Folders, old: Manual, new: Manual) -> list[Answered]:
    """The remarks in the shop's archive that a change answers."""
    try:
        kept = archive_of(folders, None)
    except Refused as error:
        click.echo(f"Note: remarks are not compared: {error.message}", err=True)
        return []
    return answered(kept.jobs(Query(remarked=True)), old, new) if kept.is_there else []


def _told(answers: list[Answered], form: str) -> str:
    if not answers:
        return ""
    if form == "text":
        lines = "".join(f"  {printable(answered_text(each))}\n" for each in answers)
        return f"Remarks of the bay that this answers:\n{lines}"
    items = "".join(f"- {_plain(answered_text(each))}\n" for each in answers)
    return f"\n### Remarks of the bay that this answers\n\n{items}"


_MARKS = str.maketrans({sign: f"\\{sign}" for sign in "\\`*_[]<>&#@|~"})


def _plain(text: str) -> str:
    """A text that Markdown shows as it is, whatever a technician typed."""
    return printable(text).translate(_MARKS)
