"""Examples of code, console and pages: each language has one way to be run or read."""

from __future__ import annotations

import csv
import doctest
import io
import json
import shlex
import tomllib
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any

import yaml
from click.testing import CliRunner
from sybil import Example, Region
from sybil.evaluators.doctest import DocTestEvaluator
from sybil.parsers.abstract.doctest import DocTestStringParser

from procedures_lib.findings import Finding
from procedures_lib.judging.checks import check_page
from procedures_lib.judging.checks.prose import is_to_run
from procedures_lib.language.entities.builder import build
from procedures_lib.language.entities.work import Content
from procedures_lib.language.reading.page import Block, Fence
from procedures_lib.language.reading.reader import read_page
from procedures_lib.manual import Manual
from procedures_lib.manual.folder import DataFiles

Judge = Callable[[Example], str | None]
"""What tells why an example is wrong; None for one that is right."""

_PROMPT = "$ "
_HELP = frozenset({"-h", "--help"})

READING = frozenset({
    "back-out", "check", "compare", "dyno", "explain", "export", "joint", "order", "record",
    "table", "wrench",
})  # fmt: skip
"""Commands that write nothing, whatever their words are."""

READING_IF = {
    "fix": ("write", False),
    "new": ("printed", True),
    "schema": ("output", None),
    "take-over": ("write", False),
}
"""Commands that write nothing while a parameter of theirs has this value."""


def judge_console(text: str) -> Judge:
    """Return an evaluator for a console example; ``...`` in the output stands for anything."""

    def judge(_example: Example) -> str | None:
        failures = (_run(command, output) for command, output in _commands(text))
        return next(filter(None, failures), None)

    return judge


def _run(command: str, output: str) -> str | None:
    """Run a command that only reads, and compare what it prints."""
    from procedures_lib.fronts.cli import main  # noqa: PLC0415 - start-up of most runs needs none of it

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
            " and `take-over` without `--write`, `new` with `--print`, `schema` without `--output`"
        )
    result = CliRunner(env={"COLUMNS": None}).invoke(main, words[1:])
    if result.exception and not isinstance(result.exception, SystemExit):
        return f"`{command}` failed: {result.exception!r}"
    if not doctest.OutputChecker().check_output(output, result.output, doctest.ELLIPSIS):
        return f"`{command}` prints\n{result.output}instead of\n{output}"
    return None


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
    from procedures_lib.fronts.cli.program import command  # noqa: PLC0415 - as above

    parameter, value = READING_IF[name]
    context = command(name).make_context(name, rest, resilient_parsing=True)
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


def judge_findings(findings: list[Finding]) -> Judge:
    """Return an evaluator that fails when there are findings."""
    return lambda _example: _told(findings) or None


def _told(findings: list[Finding]) -> str:
    return "\n".join(f"{finding.text()}\n    {finding.hint}" for finding in findings)


def judge_page_example(
    block: Block, content: Content, first: Judge, files: DataFiles | None = None
) -> Judge:
    """Return an evaluator that fails unless the example gives just the findings that it names.

    It is read as a page that stands alone. The data files that it names are looked for beside the
    page that shows it. What it gives is told before what ``first`` has to say of the block itself.
    """
    options = next(s.options for s in content.samples if s.block.place == block.place)
    expected = sorted({str(name) for name in options.finds})

    def judge(example: Example) -> str | None:
        name = f"{content.page.name.rpartition('/')[0]}/example.md".lstrip("/")
        page = build(read_page(block.body.encode(), name))
        found = check_page(Manual([page], files=files, whole=False), name)
        names = sorted({finding.check for finding in found})
        if names == expected:
            return first(example)
        told = _told(found) or "no finding"
        return f"this example must give {expected or 'no finding'}, but gives {names}:\n{told}"

    return judge


_UNRUN = frozenset({"text"})
_OPEN_ENDED = frozenset({"unknown-id", "step-without-head", "unused-entity"})


def text_between(text: str, first: int, last: int, judge: Judge, parsed: Any = None) -> Region:
    """Return the region of these lines (from 1, both included)."""
    starts = [0]
    for line in text.split("\n"):
        starts.append(starts[-1] + len(line) + 1)
    end = min(starts[min(last, len(starts) - 1)] - 1, len(text))
    return Region(starts[first - 1], end, parsed=parsed, evaluator=judge)


def example_regions(text: str, fences: Iterable[Fence], unrun: str = "") -> Iterator[Region]:
    """Yield a test for every code example, and for each prompt of a Python one.

    With ``unrun``, the reason, nothing is run: the tests of examples that are to be run fail by it.
    """
    for fence in fences:
        if unrun and is_to_run(fence):
            yield _failing(text, fence, unrun)
        elif fence.language == "python" and ">>>" in fence.text:
            yield from _prompts(text, fence)
        elif fence.language not in _UNRUN:
            judge = _judge_for(fence)
            yield text_between(text, fence.line, fence.end, judge, fence.text)


def _failing(text: str, fence: Fence, reason: str) -> Region:
    return text_between(text, fence.line, fence.line, lambda _example: reason)


def _prompts(text: str, fence: Fence) -> Iterator[Region]:
    whole = text_between(text, fence.line + 1, fence.end - 1, lambda _example: None)
    inside = text[whole.start : whole.end]
    try:
        regions = list(DocTestStringParser(DocTestEvaluator(doctest.ELLIPSIS))(inside, "example"))
    except ValueError as error:
        yield _failing(text, fence, f"these prompts can't be read: {error}")
        return
    if not regions:
        yield _failing(text, fence, "no prompt of this example begins its line: it is not run here")
    for region in regions:
        region.start += whole.start
        region.end += whole.start
        yield region


def _judge_for(fence: Fence) -> Judge:
    if fence.language == "console":
        return judge_console(fence.text)
    read = _READERS.get(fence.language)
    if read is None:
        return lambda _example: (
            f"a code example in `{fence.language or 'no language'}` is not run by anything:"
            f" use one of {', '.join(sorted([*_READERS, 'python', 'console']))},"
            " or `text` for what is no code"
        )

    def judge(_example: Example) -> str | None:
        try:
            read(fence.text)
        except (ValueError, yaml.YAMLError) as error:
            return f"this is no {fence.language}: {error}"
        return None

    return judge


def _read_fragment(text: str) -> None:
    """Read a piece of a page; it may mention what stands elsewhere, but must be readable."""
    content = build(read_page(text.encode(), "fragment.md"))
    found = [
        finding.text()
        for finding in (*content.page.findings, *content.findings)
        if finding.check not in _OPEN_ENDED
    ]
    if found:
        raise ValueError("\n".join(found))


_READERS: dict[str, Callable[[str], object]] = {
    "json": json.loads,
    "toml": tomllib.loads,
    "yaml": yaml.compose,
    "csv": lambda text: list(csv.reader(io.StringIO(text), strict=True)),
    "md": _read_fragment,
}
"""What reads an example that is not run, by its language."""
