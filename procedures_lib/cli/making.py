"""Makes the site: checks the manual, runs Sphinx, publishes."""

from __future__ import annotations

import sys
from dataclasses import dataclass

import click
from sphinx.util.console import nocolor

from procedures_lib.cli.colour import wanted
from procedures_lib.cli.exits import ExitCode
from procedures_lib.cli.folders import Folders, relative
from procedures_lib.cli.loading import count_pages, read_and_check
from procedures_lib.cli.lock import held
from procedures_lib.cli.publish import publish
from procedures_lib.cli.report import report
from procedures_lib.cli.sphinx_run import SphinxRun, run_sphinx
from procedures_lib.cli.target import Target
from procedures_lib.cli.wording import counted


@dataclass(frozen=True, slots=True)
class Making:
    """How to make a site: from where, to where, with how many processes.

    ``check`` stops before Sphinx when there are errors; ``verbose`` shows Sphinx's progress even
    where no one is looking at a terminal.
    """

    folders: Folders
    target: Target
    jobs: int = 1
    check: bool = True
    colour: str = "auto"
    verbose: bool = False


def make_site(making: Making) -> ExitCode:
    """Build and publish the site, print what is wrong to stderr, and return the exit code."""
    count_pages(making.folders)
    if making.check and not _checked(making):
        return _not_published(making, "the errors above come first")
    with held(making.target.lock, _waiting):
        run = _run(making)
        if not run.warnings:
            publish(making.target.html, making.target.output)
    if run.warnings:
        click.echo(run.warnings, err=True, nl=False)
        return _not_published(making, "Sphinx gave the warnings above")
    index = relative(making.target.output / "index.html")
    click.echo(f"{counted(run.pages, 'page')} built: {index}")
    return ExitCode.CLEAN


def _checked(making: Making) -> bool:
    """Print the findings; tell whether there is no error among them."""
    checked = read_and_check(making.folders)
    if checked.findings:
        text = report(checked, making.folders)
        click.echo(text, err=True, color=wanted(making.colour, sys.stderr))
    return not checked.errors


def _run(making: Making) -> SphinxRun:
    pages, target = making.folders.pages, making.target
    again = target.begin(pages)
    status = sys.stderr if making.verbose or sys.stderr.isatty() else None
    if not wanted(making.colour, sys.stderr):
        nocolor()
    run = run_sphinx(making.folders, target, again, making.jobs, status)
    target.end(pages, run.again)
    return run


def _waiting() -> None:
    click.echo("Another build is under way in the same folder: waiting for it.", err=True)


def _not_published(making: Making, reason: str) -> ExitCode:
    output = relative(making.target.output)
    kept = f"{output} keeps the last good site" if making.target.output.exists() else "no site yet"
    click.echo(f"Not published: {reason}; {kept}.", err=True)
    return ExitCode.FINDINGS
