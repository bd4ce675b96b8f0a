"""``procedures compare``: what a change touches, and what that can do."""

from __future__ import annotations

from pathlib import Path

import click

from procedures_lib.fronts.cli.arguments import (
    SHOP_PAGE,
    Folders,
    Word,
    relative,
    with_format,
    with_manual,
)
from procedures_lib.fronts.cli.revision import folder_state, state_named
from procedures_lib.fronts.cli.terminal import EXIT_CODES, ExitCode, write_json, write_text
from procedures_lib.judging.compare import compare as compare_manuals
from procedures_lib.judging.compare.markdown import markdown_report
from procedures_lib.judging.compare.report import json_report, text_report


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

    if form == "json":
        write_json(json_report(comparison, way_to, names))
    else:
        report = text_report if form == "text" else markdown_report
        write_text(report(comparison, way_to, names))
    return ExitCode.FINDINGS if comparison.findings else ExitCode.CLEAN
