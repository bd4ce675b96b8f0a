"""What a terminal gets: exit codes, faults, colour, progress, bytes and text."""

from __future__ import annotations

import enum
import json
import os
import platform
import shutil
import sys
import textwrap
import traceback
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import IO, Any

import click


class ExitCode(enum.IntEnum):
    """What a command tells the program that called it."""

    CLEAN = 0
    FINDINGS = 1
    REFUSED = 2
    FAULT = 3
    INTERRUPTED = 130
    PIPE_CLOSED = 141


EXIT_CODES = """\b
Exit codes:
  0    no errors; warnings don't count
  1    there are findings of level error, or Sphinx gave warnings
  2    the command can't be carried out: its words, a path, unreadable settings
  3    a fault of the program itself
  130  stopped by hand"""


class Refused(click.ClickException):
    """The command can't be carried out; the message says why, and what to give instead."""

    exit_code = int(ExitCode.REFUSED)


DISTRIBUTION = "procedures-lib"


def version() -> str:
    """Return the installed version, "(not installed)" when it runs from its folder."""
    from importlib import metadata  # noqa: PLC0415 - takes as long as all else of a start

    try:
        return metadata.version(DISTRIBUTION)
    except metadata.PackageNotFoundError:
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


def has_colour(choice: str, stream: IO[Any]) -> bool:
    """Tell whether to colour what goes to a stream, by the choice after ``--colour``.

    ``auto`` colours a terminal, unless ``NO_COLOR`` is set or the terminal is a dumb one.
    """
    if choice != "auto":
        return choice == "always"
    plain = os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb"
    return stream.isatty() and not plain


def write_text(text: str) -> None:
    """Write a text to stdout as it is, line ends too."""
    write_bytes(text.encode("utf-8", "backslashreplace"))


def write_json(value: Any) -> None:
    """Write a value to stdout as JSON."""
    write_text(json.dumps(value, ensure_ascii=False, indent=2, allow_nan=False) + "\n")


def write_bytes(content: bytes) -> None:
    """Write to stdout what is no text, or text whose line ends must stay."""
    sys.stdout.flush()
    sys.stdout.buffer.write(content)
    sys.stdout.buffer.flush()


def width(asked: int | None = None) -> int | None:
    """Return the columns asked for, or those of the terminal; None, for no limit, elsewhere."""
    if asked is not None:
        return asked
    if sys.stdout.isatty() or os.environ.get("COLUMNS"):
        return shutil.get_terminal_size().columns
    return None


def folded(text: str, room: int | None) -> str:
    """Return text whose lines fit, as far as words can be parted; what goes on is set in by 4."""
    if room is None:
        return text
    return "\n".join(_fold(line, room) for line in text.split("\n"))


def _fold(line: str, room: int) -> str:
    if len(line) <= room:
        return line
    return "\n".join(
        textwrap.wrap(
            line,
            room,
            subsequent_indent=line[: len(line) - len(line.lstrip())] + "    ",
            break_long_words=False,
            break_on_hyphens=False,
            drop_whitespace=True,
        )
    )


LONG = 200


@contextmanager
def progress(pages: int, rounds: int, label: str) -> Iterator[Callable[[], None]]:
    """Yield what is to be called after each page of each round.

    The bar stands on stderr, and only when that is a terminal and the manual has more than
    ``LONG`` pages.
    """
    if pages <= LONG or not sys.stderr.isatty():
        yield lambda: None
        return
    total = pages * rounds
    with click.progressbar(
        length=total, label=label, file=sys.stderr, update_min_steps=max(1, total // 200)
    ) as bar:
        yield lambda: bar.update(1)
