"""Option expressions: ``transmission=manual and not tow-eye=fitted``.

Grammar, from loosest to tightest::

    expression = conjunction {"or" conjunction}
    conjunction = negation {"and" negation}
    negation = "not" negation | "(" expression ")" | test
    test = option "=" value | option "in" "[" value {"," value} "]"
"""

from __future__ import annotations

import re
from collections.abc import Container, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from procedures_lib.findings import SlipError
from procedures_lib.spelling import nearest

_TOKEN = re.compile(r"\s*(?:(?P<word>[A-Za-z0-9][\w.+-]*)|(?P<mark>[()\[\],]|!?=))")
_KEYWORDS = frozenset({"and", "or", "not", "in"})
_DEEPEST = 40
MOST_OPTIONS = 16
"""The most options that one expression may name: what they allow together is worked out."""


class ConditionError(SlipError):
    """An expression that can't be read; ``hint`` says what to write instead."""

    def __init__(self, message: str, hint: str) -> None:
        super().__init__("unreadable-condition", message, hint)


@dataclass(frozen=True, slots=True)
class Condition:
    """An expression over the options of a car.

    ``kind`` is ``test`` (``option`` is one of ``values``), ``not`` (of ``parts[0]``), ``and`` or
    ``or`` (of all ``parts``). An ``and`` of nothing always holds.
    """

    kind: Literal["test", "not", "and", "or"]
    option: str = ""
    values: tuple[str, ...] = ()
    parts: tuple[Condition, ...] = ()

    def holds(self, car: Mapping[str, str]) -> bool:
        """Tell whether a car with these options meets the expression.

        An option that ``car`` does not name meets no test.
        """
        if self.kind == "test":
            return car.get(self.option) in self.values
        if self.kind == "not":
            return not self.parts[0].holds(car)
        if self.kind == "and":
            return all(part.holds(car) for part in self.parts)
        return any(part.holds(car) for part in self.parts)

    def tests(self) -> Iterator[tuple[str, str]]:
        """Yield each (option, value) that the expression names."""
        for value in self.values:
            yield self.option, value
        for part in self.parts:
            yield from part.tests()

    @property
    def options(self) -> frozenset[str]:
        """The options that the expression depends on."""
        return frozenset(option for option, _ in self.tests())

    def __str__(self) -> str:
        """The expression as a writer would put it; "" when it always holds."""
        if self.kind == "test":
            if len(self.values) == 1:
                return f"{self.option}={self.values[0]}"
            return f"{self.option} in [{', '.join(self.values)}]"
        if self.kind == "not":
            return f"not {bracketed(self.parts[0])}"
        inner = {"or"} if self.kind == "and" else set()
        return f" {self.kind} ".join(bracketed(part, inner) for part in self.parts)

    def __and__(self, other: Condition) -> Condition:
        """Return the expression that holds where both do."""
        if self is ALWAYS or other is ALWAYS:
            return other if self is ALWAYS else self
        parts = tuple(dict.fromkeys((*_conjuncts(self), *_conjuncts(other))))
        return parts[0] if len(parts) == 1 else Condition("and", parts=parts)

    def __or__(self, other: Condition) -> Condition:
        """Return the expression that holds where either does."""
        if ALWAYS in (self, other):
            return ALWAYS
        return self if self == other else Condition("or", parts=(self, other))


def _conjuncts(condition: Condition) -> tuple[Condition, ...]:
    return condition.parts if condition.kind == "and" else (condition,)


def bracketed(part: Condition, kinds: Container[str] = ("and", "or")) -> str:
    """Return an expression as a part of another, in brackets where it is of one of these kinds."""
    return f"({part})" if part.kind in kinds else str(part)


ALWAYS = Condition("and")
"""Holds for every car."""


def is_condition_word(text: str) -> bool:
    """Tell whether an expression can name an option or a value so called."""
    match = _TOKEN.fullmatch(text)
    return match is not None and match["word"] == text and text not in _KEYWORDS


@lru_cache(maxsize=4096)
def read_condition(text: str) -> Condition:
    """Read an option expression.

    Raises :class:`ConditionError` with a message that says what to write instead.
    """
    parser = _Parser(text)
    condition = parser.expression(0)
    if parser.token is not None:
        raise ConditionError(
            f"`{parser.token}` is not expected in `{text}`",
            "join tests with `and` or `or`, as in `transmission=manual and not tow-eye=fitted`",
        )
    if len(condition.options) > MOST_OPTIONS:
        raise ConditionError(
            f"the condition names more than {MOST_OPTIONS} options",
            "part the thing or the step in several, each for some of the cars",
        )
    return condition


class _Parser:
    def __init__(self, text: str) -> None:
        self._text = text
        self._tokens = self._split(text)
        self.token: str | None = next(self._tokens, None)

    def _split(self, text: str) -> Iterator[str]:
        at = 0
        end = len(text.rstrip())
        while at < end:
            match = _TOKEN.match(text, at)
            if not match:
                raise ConditionError(
                    f"`{text[at:].strip()[:20]}` can't be read in the condition `{text}`",
                    "write `option=value`, joined with `and`, `or`, `not`",
                )
            at = match.end()
            yield match["word"] or match["mark"]

    def _take(self) -> str | None:
        taken, self.token = self.token, next(self._tokens, None)
        return taken

    def expression(self, depth: int) -> Condition:
        return self._joined("or", depth)

    def _joined(self, word: Literal["and", "or"], depth: int) -> Condition:
        def part() -> Condition:
            return self._joined("and", depth) if word == "or" else self._negation(depth)

        parts = [part()]
        while self.token == word:
            self._take()
            parts.append(part())
        return parts[0] if len(parts) == 1 else Condition(word, parts=tuple(parts))

    def _negation(self, depth: int) -> Condition:
        if depth > _DEEPEST:
            raise ConditionError("the condition is nested too deep", "write it flatter")
        if self.token == "not":  # noqa: S105
            self._take()
            return Condition("not", parts=(self._negation(depth + 1),))
        if self.token == "(":  # noqa: S105
            self._take()
            inner = self.expression(depth + 1)
            self._expect(")")
            return inner
        return self._test()

    def _test(self) -> Condition:
        option = self._word("an option")
        sign = self._take()
        if sign == "=":
            return Condition("test", option, (self._word(f"a value after `{option}=`"),))
        if sign == "!=":
            value = self._word(f"a value after `{option}!=`")
            raise ConditionError(f"`{option}!={value}` is not read", f"not {option}={value}")
        if sign == "in":
            return Condition("test", option, self._values())
        raise ConditionError(
            f"`{option}` stands alone in the condition `{self._text}`",
            f"write which value, as in `{option}=…`",
        )

    def _values(self) -> tuple[str, ...]:
        self._expect("[")
        values = [self._word("a value")]
        while self.token == ",":  # noqa: S105
            self._take()
            values.append(self._word("a value"))
        self._expect("]")
        return tuple(values)

    def _word(self, wanted: str) -> str:
        word = self._take()
        if word is None or not word[0].isalnum() or word in _KEYWORDS:
            got = f"`{word}` stands there" if word else "it ends"
            raise ConditionError(
                f"{wanted} is missing in the condition `{self._text}`: {got}",
                "write `option=value`, as in `transmission=manual`",
            )
        return word

    def _expect(self, mark: str) -> None:
        if self._take() != mark:
            raise ConditionError(f"`{mark}` is missing in the condition `{self._text}`", "close it")


def readable_test(
    option: str, values: tuple[str, ...], options: Mapping[str, tuple[str, ...]]
) -> tuple[str, tuple[str, ...]]:
    """Return the option and values that a test means: the nearest known ones, or its own.

    That a word is unknown is a finding of its own; what follows from it is none.
    """
    known = option if option in options else nearest(option, options)
    if not known:
        return option, values
    words = options[known]
    return known, tuple(v if v in words else nearest(v, words) or v for v in values)
