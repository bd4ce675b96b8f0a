"""The exit codes, and how a command says that it can't be carried out."""

from __future__ import annotations

import enum

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
