"""The YAML of a block, read as far as it can be: a broken entry does not hide the others."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

import yaml

from procedures_lib.findings import Finding, Place
from procedures_lib.reading.yaml_plain import plain_mapping
from procedures_lib.reading.yaml_tree import Composer, RefusedError, duplicate_key

if TYPE_CHECKING:
    from procedures_lib.reading.scalar import Scalar, Tree

_OUTERMOST = re.compile(r"([^\s#:{\[\]}&*!|>%@`,-][^:]*?)\s*:(?:\s|$)")
_NOT_LINE_ENDS = str.maketrans("\x85\u2028\u2029", "   ")
"""YAML ends a line at these, a page does not."""


@dataclass(frozen=True, slots=True)
class Composed:
    """What the YAML of one block says.

    ``tree`` is None for an empty text and where nothing could be read; ``lost`` holds the keys of
    the outermost mapping whose values could not be read, while the others were.
    """

    tree: Tree | None
    findings: tuple[Finding, ...] = ()
    lost: frozenset[str] = frozenset()

    @property
    def readable(self) -> bool:
        """Whether all of it could be read."""
        return not any(found.check == "unreadable-block" for found in self.findings)


def compose(text: str, page: str, first: int) -> Composed:
    """Read YAML into nested lists and mappings of :class:`Scalar`.

    ``first`` is the page's line on which the text begins. What is wrong is an ``unreadable-block``
    or a ``duplicate-key`` among the findings. Where one entry of the outermost mapping is broken,
    the others are read all the same.
    """
    if plain := plain_mapping(text, first):
        return Composed(plain)
    text = text.translate(_NOT_LINE_ENDS)
    composer = Composer(text, page, first)
    try:
        return Composed(composer.compose(), tuple(composer.findings))
    except RefusedError as no:
        found = Finding(Place(page, no.line), "unreadable-block", no.message, no.hint)
    except yaml.YAMLError as error:
        found = _syntax_finding(error, text, page, first)
    entries = _entries(text)
    if len(entries) > 1:
        return _entry_by_entry(entries, page, first, found)
    return Composed(None, (found,), frozenset(key for key, _, _ in entries if key))


def _entries(text: str) -> list[tuple[str, int, str]]:
    """Cut a broken text where its outermost keys begin: (key, offset in lines, text) of each."""
    entries: list[tuple[str, int, list[str]]] = []
    for n, line in enumerate(text.split("\n")):
        match = _OUTERMOST.match(line)
        if match:
            entries.append((match[1].strip("'\""), n, [line]))
        elif entries:
            entries[-1][2].append(line)
        elif line.strip() and not line.startswith("#"):
            entries.append(("", n, [line]))
    return [(key, n, "\n".join(lines)) for key, n, lines in entries]


def _entry_by_entry(
    entries: list[tuple[str, int, str]], page: str, first: int, found: Finding
) -> Composed:
    """Read each entry on its own; ``found`` is said when each of them alone is right."""
    pairs: dict[Scalar, Tree] = {}
    lines: dict[str, int] = {}
    findings: list[Finding] = []
    lost: set[str] = set()
    for key, offset, text in entries:
        one = compose(text, page, first + offset)
        findings.extend(one.findings)
        if not isinstance(one.tree, dict):
            lost.add(key)
            continue
        for name, value in one.tree.items():
            if name in lines:
                findings.append(duplicate_key(name, page, lines[name]))
            else:
                pairs[name] = value
                lines[name] = name.line
    if not any(finding.check == "unreadable-block" for finding in findings):
        findings.append(found)
    return Composed(pairs or None, tuple(findings), frozenset(lost - {""} - set(lines)))


def _syntax_finding(error: yaml.YAMLError, text: str, page: str, first: int) -> Finding:
    lines = text.rstrip().split("\n")
    index = min(_line_of(error, lines), len(lines) - 1)
    problem = getattr(error, "problem", None) or getattr(error, "reason", None) or "not YAML"
    hint = _hint(lines[index], str(problem))
    return Finding(Place(page, first + index), "unreadable-block", f"broken YAML: {problem}", hint)


def _line_of(error: yaml.YAMLError, lines: list[str]) -> int:
    """Return the index of the line to look at: where the fault is, not where it was noticed.

    A quote that is left open is at fault where it opens. What is missing inside brackets and
    noticed at the beginning of a line, is missing at the end of the line before.
    """
    mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
    context = str(getattr(error, "context", ""))
    if "quoted" in context:
        mark = getattr(error, "context_mark", None) or mark
    if mark is None:
        return 0
    at = int(mark.line)
    if "flow" in context and not "".join(lines[at : at + 1])[: mark.column].strip():
        return max((n for n in range(min(at, len(lines))) if lines[n].strip()), default=at)
    return at


def _hint(line: str, problem: str) -> str:
    if "\t" in line[: len(line) - len(line.lstrip())] or "\\t" in problem or "tab" in problem:
        return "indent with spaces, not with a tab"
    if line.count(":") > 1 or ": " in line:
        return "put a text that holds `: `, `#`, `{` or `[` in quotes, and close every bracket"
    return "write `key: value`, one a line, indented alike"
