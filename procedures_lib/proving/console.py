"""Console examples: each ``$ procedures …`` line is run, and its output compared."""

from __future__ import annotations

import doctest
import shlex
from typing import TYPE_CHECKING

from click.testing import CliRunner

if TYPE_CHECKING:
    from collections.abc import Callable

    from sybil import Example

_PROMPT = "$ "


def judge_console(text: str) -> Callable[[Example], str | None]:
    """Return an evaluator for a console example; ``...`` in the output stands for anything."""

    def judge(_example: Example) -> str | None:
        from procedures_lib.cli import main  # noqa: PLC0415 - start-up of most runs needs none of it

        for command, wanted in _commands(text):
            words = shlex.split(command)
            if words[:1] != ["procedures"]:
                return f"`{command}` is not run: only `procedures …` is"
            result = CliRunner().invoke(main, words[1:])
            if result.exception and not isinstance(result.exception, SystemExit):
                return f"`{command}` failed: {result.exception!r}"
            if not doctest.OutputChecker().check_output(wanted, result.output, doctest.ELLIPSIS):
                return f"`{command}` prints\n{result.output}instead of\n{wanted}"
        return None

    return judge


def _commands(text: str) -> list[tuple[str, str]]:
    """Return each command with the output that is shown below it."""
    found: list[tuple[str, str]] = []
    for line in text.splitlines():
        if line.startswith(_PROMPT):
            found.append((line.removeprefix(_PROMPT), ""))
        elif found:
            command, output = found[-1]
            found[-1] = (command, f"{output}{line}\n")
    return found
