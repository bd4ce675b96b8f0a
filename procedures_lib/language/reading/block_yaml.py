"""The YAML of a block to nested text with lines: a broken entry does not hide the others.

Everything stays text: a loader that guesses types turns part number ``010`` into 8, ``1:30`` into
90 and ``no`` into False. Anchors and aliases are refused (a page says things once, and nested
aliases grow without bound), and so are tags and duplicate keys.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import yaml

from procedures_lib.findings import Finding, Place, SlipError
from procedures_lib.language.reading.page import Scalar, Tree
from procedures_lib.language.reading.shortcuts import plain_mapping

try:
    from yaml import CLoader as _Loader
except ImportError:  # a PyYAML built without libyaml
    from yaml import Loader as _Loader  # type: ignore[assignment]

DEEPEST = 20
_PLAIN_TAGS = frozenset({None, "!"})
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\ufffe\uffff]")


class RefusedError(SlipError):
    """A construct that this reader does not take, with its line on the page."""

    def __init__(self, line: int, message: str, hint: str) -> None:
        super().__init__("unreadable-block", message, hint, line)


class Composer:
    """Builds the tree from parser events; ``first`` is the page line of the YAML's first line."""

    def __init__(self, text: str, page: str, first: int) -> None:
        self._loader = _Loader(text)
        self._page = page
        self._first = first
        self._last = first + text.rstrip().count("\n")
        self.findings: list[Finding] = []

    def compose(self) -> Tree | None:
        """Return the tree, None for an empty one; raises RefusedError and yaml's own errors."""
        try:
            self._next()  # stream start
            if isinstance(self._next(), yaml.StreamEndEvent):
                return None
            tree = self._value(self._next(), 0)
            self._next()  # document end
            event = self._next()
            if not isinstance(event, yaml.StreamEndEvent):
                message = "a second YAML document begins"
                raise RefusedError(self._line(event), message, "remove the `---`")
            return tree or None
        finally:
            self._loader.dispose()

    def _next(self) -> Any:
        event = self._loader.get_event()
        if event is None:
            raise yaml.YAMLError("the text ends too early")
        return event

    def _line(self, event: Any) -> int:
        return min(self._first + (event.start_mark.line if event.start_mark else 0), self._last)

    def _value(self, event: Any, depth: int) -> Tree:
        if depth > DEEPEST:
            raise RefusedError(self._line(event), "nested too deep", f"at most {DEEPEST} levels")
        if isinstance(event, yaml.AliasEvent) or event.anchor or event.tag not in _PLAIN_TAGS:
            raise self._refused(event)
        if isinstance(event, yaml.ScalarEvent):
            return self._text(event)
        if isinstance(event, yaml.SequenceStartEvent):
            return self._sequence(depth)
        return self._mapping(depth)

    def _refused(self, event: Any) -> RefusedError:
        line = self._line(event)
        if isinstance(event, yaml.AliasEvent):
            message = f"the alias `*{event.anchor}` is not read here"
            return RefusedError(line, message, "write the value out")
        if event.anchor:
            message = f"the anchor `&{event.anchor}` is not read here"
            return RefusedError(line, message, "write the value out where it is needed")
        return RefusedError(line, f"the tag `{event.tag}` is not read here", "remove it")

    def _text(self, event: yaml.ScalarEvent) -> Scalar:
        if _CONTROL.search(event.value):
            message = "a text holds a control character"
            raise RefusedError(self._line(event), message, "write it without escapes")
        return Scalar(event.value, self._line(event))

    def _sequence(self, depth: int) -> list[Tree]:
        items: list[Tree] = []
        while not isinstance(event := self._next(), yaml.SequenceEndEvent):
            items.append(self._value(event, depth + 1))
        return items

    def _mapping(self, depth: int) -> dict[Scalar, Tree]:
        pairs: dict[Scalar, Tree] = {}
        while not isinstance(event := self._next(), yaml.MappingEndEvent):
            key = self._value(event, depth + 1)
            if not isinstance(key, Scalar):
                message = "a key must be one word or phrase"
                raise RefusedError(self._line(event), message, "name the key")
            value = self._value(self._next(), depth + 1)
            self.findings += _add(pairs, key, value, self._page)
        return pairs


def _add(pairs: dict[Scalar, Tree], key: Scalar, value: Tree, page: str) -> list[Finding]:
    """Put an entry into a mapping; the finding when its key stands there already."""
    if key not in pairs:
        pairs[key] = value
        return []
    earlier = next(first.line for first in pairs if first == key)
    said = f"`{key}` stands twice in this block (first on line {earlier})"
    hint = "keep one of the two; the first is used meanwhile"
    related = (Place(page, earlier),)
    return [Finding(Place(page, key.line), "duplicate-key", said, hint, related=related)]


def events_of(text: str) -> Iterator[Any]:
    """Yield the parser's events of a YAML text, each with where it stands; yaml's own errors."""
    loader = _Loader(text)
    try:
        while (event := loader.get_event()) is not None:
            yield event
            if isinstance(event, yaml.StreamEndEvent):
                return
    finally:
        loader.dispose()


_OUTERMOST = re.compile(r"([^\s#:{\[\]}&*!|>%@`,-][^:]*?)\s*:(?:\s|$)")
NOT_LINE_ENDS = str.maketrans("\x85\u2028\u2029", "   ")
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
    text = text.translate(NOT_LINE_ENDS)
    composer = Composer(text, page, first)
    try:
        return Composed(composer.compose(), tuple(composer.findings))
    except RefusedError as no:
        found = no.on(page)
    except yaml.YAMLError as error:
        found = _syntax_finding(error, text, page, first)
    entries = entries_of(text)
    if len(entries) > 1:
        return _entry_by_entry(entries, page, first, found)
    return Composed(None, (found,), frozenset(key for key, _, _ in entries if key))


def entries_of(text: str) -> list[tuple[str, int, str]]:
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
    findings: list[Finding] = []
    lost: set[str] = set()
    for key, offset, text in entries:
        one = compose(text, page, first + offset)
        findings.extend(one.findings)
        if not isinstance(one.tree, dict):
            lost.add(key)
            continue
        for name, value in one.tree.items():
            findings += _add(pairs, name, value, page)
    if not any(finding.check == "unreadable-block" for finding in findings):
        findings.append(found)
    return Composed(pairs or None, tuple(findings), frozenset(lost - {"", *pairs}))


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
