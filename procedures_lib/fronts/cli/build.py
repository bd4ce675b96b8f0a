"""``procedures build``: the manual as a site, checked, built and published."""

from __future__ import annotations

import sys
from collections.abc import Callable
from contextlib import nullcontext
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

import click
from sphinx.util.console import nocolor

from procedures_lib.fronts.cli.arguments import with_jobs
from procedures_lib.fronts.cli.build_target import Target, find_target, held
from procedures_lib.fronts.cli.loading import (
    Checked,
    Folders,
    PathWord,
    Word,
    relative,
    with_manual,
)
from procedures_lib.fronts.cli.publishing.disk import disk_faults_told
from procedures_lib.fronts.cli.publishing.publication import UnfitFile, mend, publish
from procedures_lib.fronts.cli.publishing.work_folder import older_site_set_aside
from procedures_lib.fronts.cli.report import report
from procedures_lib.fronts.cli.revision import state_named
from procedures_lib.fronts.cli.sphinx_run import SphinxRun, run_sphinx
from procedures_lib.fronts.cli.terminal import EXIT_CODES, ExitCode, counted, wanted, with_colour
from procedures_lib.fronts.cli.watch import Rereading
from procedures_lib.fronts.site.state import given
from procedures_lib.judging.compare.marks import marks_of
from procedures_lib.manual import Manual


@dataclass(frozen=True, slots=True)
class Making:
    """How to make a site: from where, to where, with how many processes.

    ``check`` stops before Sphinx when there are errors; ``verbose`` shows Sphinx's progress even
    where no one is looking at a terminal; ``cards`` makes a job card of each procedure;
    ``changes_since`` names the old state since which changes are marked; ``tell`` gets what the
    checks find; ``reading`` keeps the manual from one build to the next; without ``whole`` only
    pages are made, not what is made of all of them.
    """

    folders: Folders
    target: Target
    jobs: int = 1
    check: bool = True
    colour: str = "auto"
    verbose: bool = False
    cards: bool = False
    changes_since: str | None = None
    tell: Callable[[Checked], None] | None = None
    reading: Rereading | None = None
    whole: bool = True


def make_site(making: Making) -> ExitCode:
    """Build and publish the site, print what is wrong to stderr, and return the exit code."""
    reading = (making.reading or Rereading(making.folders)).look()
    settings = _settings(making, reading.manual)
    if making.check and not _checked(making, reading.checked):
        return _not_published(making, "the errors above come first")
    run = _made(making, reading.manual, reading.checked, settings)
    if run.warnings:
        click.echo(run.warnings, err=True, nl=False)
        return _not_published(making, "Sphinx gave the warnings above")
    index = relative(making.target.output / "index.html")
    click.echo(f"{counted(run.pages, 'page')} built: {index}")
    return ExitCode.CLEAN


def _made(making: Making, manual: Manual, checked: Checked, settings: dict[str, Any]) -> SphinxRun:
    """Run Sphinx and publish what it has made, as the only build in these folders."""
    target = making.target
    with disk_faults_told(target.work, target.output):
        target.open()
        with held(target.lock, _waiting):
            mend(target.output, target.work)
            with given(making.folders.pages, manual, checked.findings, making.whole):
                run = _run(making, settings)
            if not run.warnings:
                _publish(making)
    return run


def _publish(making: Making) -> None:
    """Publish; after a file that may not be, the next build starts afresh, without it."""
    target = making.target
    with older_site_set_aside(target.output) if target.usual else nullcontext():
        try:
            publish(target.html, target.output, target.work)
        except UnfitFile:
            target.end(making.folders.pages, None)
            raise


def _checked(making: Making, checked: Checked) -> bool:
    """Print the findings; tell whether there is no error among them."""
    if making.tell is not None:
        making.tell(checked)
    if checked.findings:
        text = report(checked, making.folders)
        click.echo(text, err=True, color=wanted(making.colour, sys.stderr))
    return not checked.errors


def _settings(making: Making, manual: Manual) -> dict[str, Any]:
    """What Sphinx is told beside its conf.py; :class:`Refused` for an old state that is none."""
    settings: dict[str, Any] = {"procedures_cards": True} if making.cards else {}
    if making.changes_since is not None:
        old = state_named(making.changes_since, making.folders)
        settings["procedures_changes"] = marks_of(old.manual, manual)
    return settings


def _run(making: Making, settings: dict[str, Any]) -> SphinxRun:
    pages, target = making.folders.pages, making.target
    again = target.begin(pages)
    status = sys.stderr if making.verbose or sys.stderr.isatty() else None
    if not wanted(making.colour, sys.stderr):
        nocolor()
    run = run_sphinx(making.folders, target, again, making.jobs, status, settings)
    target.end(pages, run.again)
    return run


def _waiting() -> None:
    click.echo("Another build is under way in the same folder: waiting for it.", err=True)


def _not_published(making: Making, reason: str) -> ExitCode:
    output = relative(making.target.output)
    kept = f"{output} keeps the last good site" if making.target.output.exists() else "no site yet"
    click.echo(f"Not published: {reason}; {kept}.", err=True)
    return ExitCode.FINDINGS


@click.command(epilog=EXIT_CODES)
@click.option(
    "--output",
    metavar="DIR",
    type=PathWord(path_type=Path),
    help="Where to publish the site.  [default: `.build/html` beside the pages]",
)
@partial(with_jobs, what="read and write pages")
@click.option(
    "--check/--no-check",
    default=True,
    show_default=True,
    help="Check the manual first, and stop at errors before Sphinx starts. Without it Sphinx "
    "reports them, and they stop the site all the same.",
)
@click.option(
    "--cards", is_flag=True, help="Put a job card to print beside each procedure's page, too."
)
@click.option(
    "--changes-since",
    metavar="REV",
    type=Word(),
    help="Mark what has changed since a revision of git, or since a folder of pages: steps and "
    "rows of torque tables.",
)
@click.option("--verbose", is_flag=True, help="Show what Sphinx does.")
@with_colour
@with_manual
def build(folders: Folders, output: Path | None, **options: Any) -> int:
    """Build the manual as a site of files.

    Sphinx works in `DIR-work`, where it keeps what it has read, so that the next build only does
    what has changed. A build without errors and warnings is published in DIR at one stroke: who
    looks sees the old site or the new one. Any other leaves the last good site as it was.

    Only files that the site itself has put there are removed, by its list `site-files.json`. What
    others keep in DIR stays; a folder that holds anything and has no such list is refused, and so
    is a `DIR-work` that no build has made.
    """
    target = find_target(output, folders)

    from procedures_lib.fronts.cli.build import Making, make_site  # noqa: PLC0415 - loads Sphinx

    return make_site(Making(folders, target, **options))
