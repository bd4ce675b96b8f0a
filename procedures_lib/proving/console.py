"""Console examples: each ``$ procedures …`` line that only reads is run, its output compared."""

from __future__ import annotations

import doctest
import shlex
from typing import TYPE_CHECKING

from click.testing import CliRunner

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from sybil import Example

_PROMPT = "$ "
_HELP = frozenset({"-h", "--help"})

READING = frozenset({
    "back-out", "check", "compare", "dyno", "explain", "export", "joint", "order", "record",
    "table", "wrench",
})  # fmt: skip
"""Commands that write nothing, whatever their words are."""

READING_IF = {"fix": ("write", False), "new": ("printed", True), "schema": ("output", None)}
"""Commands that write nothing while a parameter of theirs has this value."""


def judge_console(text: str) -> Callable[[Example], str | None]:
    """Return an evaluator for a console example; ``...`` in the output stands for anything."""

    def judge(_example: Example) -> str | None:
        from procedures_lib.cli import main  # noqa: PLC0415 - start-up of most runs needs none of it

        for command, wanted in _commands(text):
            try:
                words = shlex.split(command)
            except ValueError as error:
                return f"`{command}` can't be read: {error}"
            if words[:1] != ["procedures"]:
                return f"`{command}` is not run: only `procedures …` is"
            if not only_reads(words[1:]):
                known = ", ".join(sorted(READING))
                return (
                    f"`{command}` is not run: an example runs what only reads: {known}; `fix`"
                    " without `--write`, `new` with `--print`, `schema` without `--output`"
                )
            result = CliRunner().invoke(main, words[1:])
            if result.exception and not isinstance(result.exception, SystemExit):
                return f"`{command}` failed: {result.exception!r}"
            if not doctest.OutputChecker().check_output(wanted, result.output, doctest.ELLIPSIS):
                return f"`{command}` prints\n{result.output}instead of\n{wanted}"
        return None

    return judge


def only_reads(words: Sequence[str]) -> bool:
    """Tell whether a command line writes no file and starts no server.

    Where that hangs on an option, the words are taken apart as the command itself does it: in
    ``new job x --title --print`` the title is ``--print``.
    """
    name, rest = words[0] if words else "", list(words[1:])
    if set(rest[:1]) & _HELP or (name in {*_HELP, "--version"} and not rest):
        return True
    if name not in READING_IF:
        return name in READING
    from procedures_lib.cli import main  # noqa: PLC0415 - start-up of most runs needs none of it

    parameter, value = READING_IF[name]
    context = main.commands[name].make_context(name, rest, resilient_parsing=True)
    return bool(context.params.get(parameter, "") == value)


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
