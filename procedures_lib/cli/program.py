"""The command ``procedures``: its subcommands, and what happens when one of them fails."""

from __future__ import annotations

import io
import os
import sys
from typing import Any

import click

from procedures_lib.cli.back_out import back_out
from procedures_lib.cli.build import build
from procedures_lib.cli.card import card
from procedures_lib.cli.check import check
from procedures_lib.cli.compare import compare
from procedures_lib.cli.dyno import dyno
from procedures_lib.cli.exits import EXIT_CODES, ExitCode
from procedures_lib.cli.explain import explain
from procedures_lib.cli.export import export
from procedures_lib.cli.faults import tell_fault, tell_file_error, version
from procedures_lib.cli.fix import fix
from procedures_lib.cli.joint import joint
from procedures_lib.cli.new import new
from procedures_lib.cli.order import order
from procedures_lib.cli.record import record
from procedures_lib.cli.schema import schema
from procedures_lib.cli.serve import serve
from procedures_lib.cli.table import table
from procedures_lib.cli.wrench import wrench


class Program(click.Group):
    """The group of commands; each returns its exit code."""

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


for command in (
    new,
    check,
    explain,
    fix,
    compare,
    table,
    card,
    export,
    back_out,
    dyno,
    joint,
    order,
    record,
    schema,
    wrench,
    build,
    serve,
):
    main.add_command(command)
