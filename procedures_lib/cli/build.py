"""``procedures build``: the manual as a site."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from procedures_lib.cli.colour import with_colour
from procedures_lib.cli.exits import EXIT_CODES
from procedures_lib.cli.folders import with_manual
from procedures_lib.cli.jobs import with_jobs
from procedures_lib.cli.target import find_target
from procedures_lib.cli.words import PathWord, Word

if TYPE_CHECKING:
    from procedures_lib.cli.folders import Folders


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

    from procedures_lib.cli.making import Making, make_site  # noqa: PLC0415 - loads Sphinx

    return make_site(Making(folders, target, **options))
