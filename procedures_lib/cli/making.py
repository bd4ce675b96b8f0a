"""Makes the site: checks the manual, runs Sphinx, publishes."""

from __future__ import annotations

import sys
from collections.abc import Callable
from contextlib import nullcontext
from dataclasses import dataclass
from typing import Any

import click
from sphinx.util.console import nocolor

from procedures_lib.cli.colour import wanted
from procedures_lib.cli.exits import ExitCode
from procedures_lib.cli.folders import Folders, relative
from procedures_lib.cli.loading import Checked
from procedures_lib.cli.lock import held
from procedures_lib.cli.publishing.disk_faults import disk_faults_told
from procedures_lib.cli.publishing.older import older_site_set_aside
from procedures_lib.cli.publishing.publication import UnfitFile, mend, publish
from procedures_lib.cli.report import report
from procedures_lib.cli.rereading import Rereading
from procedures_lib.cli.sphinx_run import SphinxRun, run_sphinx
from procedures_lib.cli.state import state_named
from procedures_lib.cli.target import Target
from procedures_lib.cli.wording import counted
from procedures_lib.compare.marks import marks_of
from procedures_lib.manual import Manual
from procedures_lib.site.state import given


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
