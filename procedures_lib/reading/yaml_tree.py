"""YAML of a block to nested text, every key and value with its line.

Everything stays text: a loader that guesses types turns part number ``010`` into 8, ``1:30`` into
90 and ``no`` into False. Anchors and aliases are refused (a page says things once, and nested
aliases grow without bound), and so are tags and duplicate keys.
"""

from __future__ import annotations

import re
from typing import Any

import yaml

from procedures_lib.findings import Finding, Place
from procedures_lib.reading.scalar import Scalar, Tree

try:
    from yaml import CLoader as _Loader
except ImportError:  # a PyYAML built without libyaml
    from yaml import Loader as _Loader  # type: ignore[assignment]

DEEPEST = 20
_PLAIN_TAGS = frozenset({None, "!"})
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\ufffe\uffff]")


class RefusedError(Exception):
    """A construct that this reader does not take."""

    def __init__(self, line: int, message: str, hint: str) -> None:
        super().__init__(message)
        self.line = line
        self.message = message
        self.hint = hint


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
                raise RefusedError(
                    self._line(event), "a second YAML document begins", "remove the `---`"
                )
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
            return RefusedError(
                line, f"the alias `*{event.anchor}` is not read here", "write the value out"
            )
        if event.anchor:
            return RefusedError(
                line,
                f"the anchor `&{event.anchor}` is not read here",
                "write the value out where it is needed",
            )
        return RefusedError(line, f"the tag `{event.tag}` is not read here", "remove it")

    def _text(self, event: yaml.ScalarEvent) -> Scalar:
        if _CONTROL.search(event.value):
            raise RefusedError(
                self._line(event), "a text holds a control character", "write it without escapes"
            )
        return Scalar(event.value, self._line(event))

    def _sequence(self, depth: int) -> list[Tree]:
        items: list[Tree] = []
        while not isinstance(event := self._next(), yaml.SequenceEndEvent):
            items.append(self._value(event, depth + 1))
        return items

    def _mapping(self, depth: int) -> dict[Scalar, Tree]:
        pairs: dict[Scalar, Tree] = {}
        lines: dict[str, int] = {}
        while not isinstance(event := self._next(), yaml.MappingEndEvent):
            key = self._value(event, depth + 1)
            if not isinstance(key, Scalar):
                raise RefusedError(
                    self._line(event), "a key must be one word or phrase", "name the key"
                )
            value = self._value(self._next(), depth + 1)
            if key in lines:
                self.findings.append(duplicate_key(key, self._page, lines[key]))
            else:
                pairs[key] = value
                lines[key] = key.line
        return pairs


def duplicate_key(key: Scalar, page: str, earlier: int) -> Finding:
    """Return the finding for a key that stands a second time; ``earlier`` is the first's line."""
    return Finding(
        Place(page, key.line),
        "duplicate-key",
        f"`{key}` stands twice in this block (first on line {earlier})",
        "keep one of the two; the first is used meanwhile",
        related=(Place(page, earlier),),
    )
