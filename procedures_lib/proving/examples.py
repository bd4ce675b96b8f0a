"""Ordinary code examples: each language has one way to be run or read, any other fails."""

from __future__ import annotations

import csv
import doctest
import io
import json
import tomllib
from typing import TYPE_CHECKING, Any

import yaml
from sybil import Region
from sybil.evaluators.doctest import DocTestEvaluator
from sybil.parsers.abstract.doctest import DocTestStringParser

from procedures_lib.checks.code_examples import is_to_run
from procedures_lib.entities.builder import build
from procedures_lib.proving.console import judge_console
from procedures_lib.reading.reader import read_page

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from sybil import Example

    from procedures_lib.reading.page import Fence

    Judge = Callable[[Example], str | None]

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
    readers: dict[str, Callable[[str], object]] = {
        "json": json.loads,
        "toml": tomllib.loads,
        "yaml": yaml.compose,
        "csv": lambda text: list(csv.reader(io.StringIO(text), strict=True)),
        "md": _read_fragment,
    }
    if fence.language not in readers:
        return lambda _example: (
            f"a code example in `{fence.language or 'no language'}` is not run by anything:"
            f" use one of {', '.join(sorted([*readers, 'python', 'console']))},"
            " or `text` for what is no code"
        )

    def judge(_example: Example) -> str | None:
        try:
            readers[fence.language](fence.text)
        except ValueError as error:
            return f"this is no {fence.language}: {error}"
        except yaml.YAMLError as error:
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
