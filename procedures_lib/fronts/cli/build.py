"""``procedures build``: the manual as a site, checked, built and published."""

from __future__ import annotations

import sys
from collections.abc import Callable
from contextlib import nullcontext
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from procedures_lib.findings import counted
from procedures_lib.fronts.cli.arguments import (
    Folders,
    PathWord,
    Word,
    relative,
    with_colour,
    with_jobs,
    with_manual,
)
from procedures_lib.fronts.cli.checked_manual import Checked, Reading, Rereading
from procedures_lib.fronts.cli.publishing.disk import disk_faults_told
from procedures_lib.fronts.cli.publishing.publication import UnfitFile, mend, publish
from procedures_lib.fronts.cli.publishing.superseded import earlier_revisions, keep_superseded
from procedures_lib.fronts.cli.publishing.target import (
    Target,
    build_lock,
    find_target,
    older_site_set_aside,
)
from procedures_lib.fronts.cli.report import report_text
from procedures_lib.fronts.cli.revision import state_named
from procedures_lib.fronts.cli.terminal import EXIT_CODES, ExitCode, Refused, has_colour
from procedures_lib.judging.compare.marks import marks_of
from procedures_lib.language.entities.work import Procedure
from procedures_lib.manual import Manual
from procedures_lib.manual.folder import SUPERSEDED

if TYPE_CHECKING:
    from procedures_lib.fronts.cli.sphinx_run import SphinxRun


@dataclass(frozen=True, slots=True)
class BuildOptions:
    """How to make a site: from where, to where, with how many processes.

    ``check`` stops before Sphinx when there are errors; ``verbose`` shows Sphinx's progress even
    where no one is looking at a terminal; ``cards`` makes a job card of each procedure;
    ``changes_since`` names the old state since which changes are marked; ``tell`` gets what the
    checks find, and the manual; ``reading`` keeps that from one build to the next; without
    ``whole`` only pages are made, not what is made of all of them; without ``keep`` no revision
    that is superseded since the last publication is kept.
    """

    folders: Folders
    target: Target
    jobs: int = 1
    check: bool = True
    colour: str = "auto"
    verbose: bool = False
    cards: bool = False
    changes_since: str | None = None
    tell: Callable[[Checked, Manual], None] | None = None
    reading: Rereading | None = None
    whole: bool = True
    keep: bool = True


def make_site(options: BuildOptions) -> ExitCode:
    """Build and publish the site, print what is wrong to stderr, and return the exit code."""
    _refuse_pages_among_kept(options.folders)
    reading = (options.reading or Rereading(options.folders)).look()
    settings = _settings(options, reading.manual)
    _tell(options, reading)
    if options.check and reading.checked.errors:
        return _not_published(options, "the errors above come first")
    run = _build_and_publish(options, reading, settings)
    if run.warnings:
        click.echo(run.warnings, err=True, nl=False)
        return _not_published(options, "Sphinx gave the warnings above")
    index = relative(options.target.output / "index.html")
    click.echo(f"{counted(run.pages, 'page')} built: {index}")
    return ExitCode.CLEAN


def _refuse_pages_among_kept(folders: Folders) -> None:
    taken = folders.pages / SUPERSEDED
    if taken.exists():
        raise Refused(
            f"{relative(taken)} can't hold pages: the site keeps superseded revisions there.\n"
            "Give the folder another name."
        )


def _settings(options: BuildOptions, manual: Manual) -> dict[str, Any]:
    """What Sphinx is told beside its conf.py; :class:`Refused` for an old state that is none."""
    settings: dict[str, Any] = {"procedures_cards": True} if options.cards else {}
    if options.changes_since is not None:
        old = state_named(options.changes_since, options.folders)
        settings["procedures_changes"] = marks_of(old.manual, manual)
    return settings


def _tell(options: BuildOptions, reading: Reading) -> None:
    """Print the findings, where they stop the build, and hand them on."""
    checked = reading.checked
    if not options.check:
        return
    if options.tell is not None:
        options.tell(checked, reading.manual)
    if checked.findings:
        text = report_text(checked, options.folders)
        click.echo(text, err=True, color=has_colour(options.colour, sys.stderr))


def _build_and_publish(
    options: BuildOptions, reading: Reading, settings: dict[str, Any]
) -> SphinxRun:
    """Run Sphinx and publish what it has made, as the only build in these folders."""
    target = options.target
    with disk_faults_told(target.work, target.output):
        target.open()
        with build_lock(target.lock, _waiting):
            mend(target.output, target.work)
            run = _run(options, reading, {**settings, **_earlier(options, reading.manual)})
            if not run.warnings:
                _publish(options)
    return run


def _earlier(options: BuildOptions, manual: Manual) -> dict[str, Any]:
    """The setting that tells each procedure's page where its earlier revisions will be."""
    revisions = {str(head.id): head.revision for head in manual.heads(Procedure)}
    kept = earlier_revisions(options.target.output, revisions, options.keep)
    return {"procedures_earlier": kept} if kept else {}


def _waiting() -> None:
    click.echo("Another build is under way in the same folder: waiting for it.", err=True)


def _run(options: BuildOptions, reading: Reading, settings: dict[str, Any]) -> SphinxRun:
    from procedures_lib.fronts.cli.sphinx_run import run_sphinx  # noqa: PLC0415 - loads Sphinx
    from procedures_lib.fronts.site.state import given  # noqa: PLC0415 - as above

    pages, target = options.folders.pages, options.target
    again = target.begin(pages)
    colour = has_colour(options.colour, sys.stderr)
    status = sys.stderr if options.verbose or sys.stderr.isatty() else None
    with given(pages, reading.manual, reading.checked.findings, options.whole):
        run = run_sphinx(options.folders, target, again, options.jobs, status, colour, settings)
    target.end(pages, run.again)
    return run


def _publish(options: BuildOptions) -> None:
    """Publish; after a file that may not be, the next build starts afresh, without it."""
    target = options.target
    with older_site_set_aside(target.output) if target.usual else nullcontext():
        keep_superseded(target.output, target.html, options.keep)
        try:
            publish(target.html, target.output, target.work)
        except UnfitFile:
            target.end(options.folders.pages, None)
            raise


def _not_published(options: BuildOptions, reason: str) -> ExitCode:
    output = options.target.output
    kept = f"{relative(output)} keeps the last good site" if output.exists() else "no site yet"
    click.echo(f"Not published: {reason}; {kept}.", err=True)
    return ExitCode.FINDINGS


@click.command(epilog=EXIT_CODES)
@click.option(
    "--output",
    metavar="DIR",
    type=PathWord(path_type=Path),
    help="Where to publish the site.  [default: `.build/html` beside the pages]",
)
@with_jobs("read and write pages")
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
    return make_site(BuildOptions(folders, find_target(output, folders), **options))
