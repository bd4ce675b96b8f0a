"""``procedures dyno``: the result of a dyno session, for a terminal, a spreadsheet or a program."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import click

from procedures_lib.fronts.cli.arguments import (
    Folders,
    Word,
    unknown,
    with_folders,
    with_format,
    with_width,
)
from procedures_lib.fronts.cli.checked_manual import check_pages, read_manual
from procedures_lib.fronts.cli.selection import choose
from procedures_lib.fronts.cli.terminal import (
    EXIT_CODES,
    Refused,
    folded,
    write_json,
    write_text,
)
from procedures_lib.fronts.cli.terminal import width as columns
from procedures_lib.fronts.formats import csv_text, plain_text
from procedures_lib.fronts.formats.dyno_json import curves_table, gain_json
from procedures_lib.fronts.formats.table_text import spaced
from procedures_lib.fronts.tables.gain_report import GainReport, gain_report
from procedures_lib.language.entities.dyno_session import DynoSession
from procedures_lib.manual import Manual


@click.command(epilog=EXIT_CODES)
@click.argument("page", type=Word())
@with_format("text", "csv", "json", about="How to write the result.")
@click.option("--curves", is_flag=True, help="With csv: the curves instead of the figures.")
@with_width
@with_folders
def dyno(page: str, form: str, curves: bool, folders: Folders, width: int | None) -> int:
    """Print what the dyno sessions of a page found; PAGE is a page, or the id of a session.

    Text has the figures, the pulls with their air, the claims and the cautions. CSV has the
    figures, or with --curves the mean curves with the gain and its interval at each speed, in the
    units of the report. JSON has all of it in kW, N·m and rpm, not rounded.

    A session that may not be compared gives no gain: it says why, with exit code 1.
    """
    if curves and form != "csv":
        raise Refused("--curves goes with `--format csv`; JSON has the curves in any case.")
    manual, _ = read_manual(folders)
    sessions = _sessions(page, manual, folders)
    reports = [gain_report(manual, session) for session in sessions]
    if form == "json":
        values = [gain_json(report, manual) for report in reports]
        write_json(values[0] if len(values) == 1 else values)
    elif form == "csv":
        write_text(_csv(reports, curves=curves))
    else:
        room = columns(width)
        for n, report in enumerate(reports):
            click.echo(("\n" if n else "") + _text(report, room), nl=False)
    pages = (session.place.page for session in sessions)
    return check_pages(manual, pages).warn(folders)


def _sessions(page: str, manual: Manual, folders: Folders) -> list[DynoSession]:
    named = manual.head(DynoSession, page)
    if named is not None:
        return [named]
    if not Path(page).exists():
        ids = (session.id for session in manual.heads(DynoSession))
        raise unknown("page or dyno session", page, ids)
    names = choose([Path(page)], folders)
    found = [each for each in manual.heads(DynoSession) if each.place.page in names]
    if not found:
        raise Refused(f"{page} holds no `{{dyno-session}}`.")
    return found


def _csv(reports: list[GainReport], *, curves: bool) -> str:
    if len(reports) > 1:
        ids = ", ".join(report.measured.session.id for report in reports)
        raise Refused(f"CSV holds one session: name one of {ids}.")
    report = reports[0]
    if curves:
        return csv_text(curves_table(report))
    return csv_text(replace(report.gains, rows=report.gains.rows + report.more.rows))


def _text(report: GainReport, room: int | None) -> str:
    lines = [f"{report.measured.session.id}: {report.headline}", ""]
    lines += [f"- {text}" for text in report.refused]
    if not report.refused:
        lines += [plain_text(report.gains, room), plain_text(report.more, room)]
    if report.claims.rows:
        lines += [plain_text(report.claims, room)]
    lines += [f"{label}: {text}" for label, text in report.facts]
    lines += ["", plain_text(report.pulls, room)]
    if not report.refused:
        lines += [f"- {text}" for text in report.cautions]
    return spaced(folded("\n".join(lines).rstrip() + "\n", room))
