"""What is printed when something goes wrong that is not the writer's doing."""

from __future__ import annotations

import importlib.metadata
import platform
import traceback

import click

from procedures_lib.cli.exits import ExitCode

DISTRIBUTION = "procedures-lib"


def version() -> str:
    """Return the installed version, "(not installed)" when it runs from its folder."""
    try:
        return importlib.metadata.version(DISTRIBUTION)
    except importlib.metadata.PackageNotFoundError:
        return "(not installed)"


def tell_fault(error: Exception) -> ExitCode:
    """Print a fault of the program and where to report it, with its traceback after ``--debug``."""
    if click.get_current_context().find_root().params["debug"]:
        traceback.print_exception(error)
    words = f"{type(error).__name__}: {error}" if str(error) else type(error).__name__
    click.echo(
        f"procedures: this is a fault of the program, not of your pages: {words}\n"
        f"Please report it to the project's issue tracker, with what "
        f"`procedures --debug …` prints\nand these versions: {DISTRIBUTION} {version()}, "
        f"Python {platform.python_version()}, {platform.system()}.",
        err=True,
    )
    return ExitCode.FAULT


def tell_file_error(error: OSError) -> ExitCode:
    """Print that a file or folder can't be read or written; a fault when it is about neither."""
    if error.filename is None:
        return tell_fault(error)
    click.echo(f"Error: {error.filename}: {error.strerror or error}", err=True)
    return ExitCode.REFUSED
