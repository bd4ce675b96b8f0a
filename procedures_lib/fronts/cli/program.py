"""The command ``procedures``: its subcommands, and what happens when one of them fails."""

from __future__ import annotations

import io
import os
import sys
from importlib import import_module
from typing import Any

import click

from procedures_lib.fronts.cli.terminal import (
    EXIT_CODES,
    ExitCode,
    tell_fault,
    tell_file_error,
    version,
)

NAMES = (
    "back-out", "build", "card", "check", "compare", "dyno", "explain", "export", "fix", "joint",
    "new", "order", "record", "schema", "serve", "table", "wrench",
)  # fmt: skip
"""The commands; each stands in the file of its name."""


class Commands(dict[str, click.Command]):
    """The commands by name, each loaded when it is asked for: most runs need one of them."""

    def __init__(self) -> None:
        super().__init__(dict.fromkeys(NAMES, click.Command(None)))

    def __getitem__(self, name: str) -> click.Command:
        if name not in self:
            raise KeyError(name)
        word = name.replace("-", "_")
        found: click.Command = getattr(import_module(f"procedures_lib.fronts.cli.{word}"), word)
        return found

    def get(self, name: str, default: Any = None) -> Any:
        """Return a command, or the default for a name that is none."""
        try:
            return self[name]
        except KeyError:
            return default


class Program(click.Group):
    """The group of commands; each returns its exit code."""

    def __init__(self, *args: Any, **settings: Any) -> None:
        super().__init__(*args, **settings)
        self.commands = Commands()

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command and leave with its exit code, or with the one for what went wrong."""
        _print_anything()
        try:
            code = super().invoke(ctx)
        except (click.ClickException, click.exceptions.Exit):
            raise
        except (KeyboardInterrupt, click.Abort):
            click.echo("\nStopped by hand.", err=True)
            code = ExitCode.INTERRUPTED
        except BrokenPipeError:
            code = _closed_pipe()
        except OSError as error:
            code = tell_file_error(error)
        except Exception as error:
            code = tell_fault(error)
        ctx.exit(int(code or ExitCode.CLEAN))


def _print_anything() -> None:
    """Print what the terminal can't show as an escape, and don't stop at it."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")


def _closed_pipe() -> ExitCode:
    """Whoever read the output wants no more of it: leave without a word."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return ExitCode.PIPE_CLOSED


@click.group(
    cls=Program,
    epilog=EXIT_CODES,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.version_option(version(), prog_name="procedures")
@click.option("--debug", is_flag=True, help="Show the traceback of a fault of the program.")
def main(debug: bool) -> None:
    """Check, build and serve a manual of install procedures, and print its tables.

    The manual is the nearest folder, from the current one upwards, that has `docs` and `conf` in
    it; `--manual` names another.
    """
