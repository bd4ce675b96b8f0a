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

COMMANDS = (
    "archive", "back-out", "build", "card", "check", "compare", "dyno", "editor", "explain",
    "export", "fix", "joint", "learn", "new", "order", "recall", "record", "schema", "serve",
    "start", "table", "take-over", "witness", "wrench",
)  # fmt: skip
"""The commands; each stands in the file of its name."""


def command(name: str) -> click.Command:
    """Return a command by its name, loaded only now: most runs need one of them."""
    word = name.replace("-", "_")
    found: click.Command = getattr(import_module(f"procedures_lib.fronts.cli.{word}"), word)
    return found


class Program(click.Group):
    """The group of commands; each returns its exit code."""

    def __init__(self, *args: Any, **settings: Any) -> None:
        super().__init__(*args, **settings)
        self.commands = dict.fromkeys(COMMANDS, click.Command(None))

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Return a command; None for a name that is none."""
        del ctx
        return command(cmd_name) if cmd_name in self.commands else None

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


def _tell_version(ctx: click.Context, _param: click.Parameter, asked: bool) -> None:
    if asked:
        click.echo(f"procedures, version {version()}")
        ctx.exit()


@click.group(
    cls=Program,
    epilog=EXIT_CODES,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.option(
    "--version",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=_tell_version,
    help="Show the version and exit.",
)
@click.option("--debug", is_flag=True, help="Show the traceback of a fault of the program.")
def main(debug: bool) -> None:
    """Check, build and serve a manual of install procedures, and print its tables.

    The manual is the nearest folder, from the current one upwards, that has `docs` and `conf` in
    it; `--manual` names another.
    """
