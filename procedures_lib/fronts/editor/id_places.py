"""Where the ids of a page stand, to the column, and what each may be the id of."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from procedures_lib.fronts.editor.fields import Field, field_of
from procedures_lib.judging.checks.mentions import ROLE_KINDS, kind_of_argument
from procedures_lib.language.entities.builder import COLLECTIONS, HEADS
from procedures_lib.language.entities.printed import PRINTED_OF
from procedures_lib.language.entities.verbs import KEYWORDS, VERBS
from procedures_lib.language.reading.word_places import ITEM, Word

STEP = "step"
"""What a step's id is the id of; a step is no entity."""

ANYTHING: tuple[str, ...] = ()

FREE = {
    "vehicle": {"fixed"},
    "procedure": {"begins-with", "ends-with"},
    "fluids": {"drain", "fill"},
    "hazards": {"called-by", "made-safe-by"},
    "rule": {"about"},
}
"""Fields of text, by block, that may hold an id among other words."""

_EXPECTED = (*PRINTED_OF, "rule", *HEADS)
"""What a row of double entry may be about; a step among them."""

SHOWN = ("fastener", "connection", "part", "opening")
"""What a picture may show."""

_TORN_DOWN = frozenset(
    {"on", "held-by", "behind", "hidden-by", "between", "clamp", "exposed-by", "closes", "with",
     "part", "into part", "drain", "fill", "returns", "vehicle"}
)  # fmt: skip
"""Fields of a row of double entry that hold ids."""
_ID = re.compile(r"(?<![\w.+-])[a-z0-9]+(?:-[a-z0-9]+)*(?![\w+-])")
_PARTS = re.compile(r"[^,]+")
_TAIL = re.compile(r"\s+(?:on|stage|to)\s+.*$", re.DOTALL)
_ON = re.compile(r"\s+on\s+(\S+)\s*$")


@dataclass(frozen=True, slots=True)
class IdPlace:
    """An id as it stands on a page: ``kinds`` is what it may be, () for anything.

    ``line`` counts from 1, ``column`` and ``end`` from 0, in characters; ``defines`` tells that the
    thing is described there.
    """

    id: str
    kinds: tuple[str, ...]
    line: int
    column: int
    end: int
    defines: bool = False


def id_places(word: Word) -> Iterator[IdPlace]:
    """Yield the ids that a word of a page holds."""
    if word.use == "role":
        kind = STEP if word.block == STEP else ROLE_KINDS.get(word.block)
        if kind:
            yield from _whole(word, (kind,))
    elif word.use == "argument":
        yield from _of_argument(word)
    elif word.use == "key":
        yield from _of_key(word)
    else:
        yield from _of_value(word)


def _of_argument(word: Word) -> Iterator[IdPlace]:
    if word.block in HEADS or word.block == "rule":
        yield from _whole(word, (word.block,), defines=True)
    elif kind := kind_of_argument(word.block):
        yield from _whole(word, (kind,), defines=kind == word.block)


def _of_key(word: Word) -> Iterator[IdPlace]:
    if len(word.path) == 1 and word.block in COLLECTIONS:
        yield from _whole(word, (COLLECTIONS[word.block].KIND,), defines=True)
    elif len(word.path) == 1 and word.block == "expect":
        yield from _whole(word, _EXPECTED)
    elif word.block == "picture" and word.path[:-1] == ("shows",):
        yield from _whole(word, SHOWN)


def _of_value(word: Word) -> Iterator[IdPlace]:
    if word.block == "expect":
        fields = [part for part in word.path[1:] if part != ITEM]
        if fields and fields[-1] in _TORN_DOWN:
            yield from _some(word, 0, len(word.text), ANYTHING)
        return
    field = field_of(word)
    if field is None:
        return
    if field.names is not None and set(field.within) <= {ITEM}:
        yield from _whole(word, field.names.kinds)
    elif field.name in FREE.get(word.block, ()):
        yield from _of_free_text(word, field)
    elif word.block == STEP and field.name == "do":
        yield from _of_action(word)
    elif field.name == "hazards" or (field.name == "hazard" and word.block not in COLLECTIONS):
        yield from _whole(word, ("hazard",))
    elif field.name in {"id", "after"}:
        yield from _whole(word, (STEP,), defines=field.name == "id")


def _of_free_text(word: Word, field: Field) -> Iterator[IdPlace]:
    if field.name != "made-safe-by":
        yield from _whole(word, ANYTHING)
        return
    verb, _, _ = word.text.partition(" ")
    if verb in VERBS:
        yield from _some(word, len(verb), len(word.text), ANYTHING)


def _of_action(word: Word) -> Iterator[IdPlace]:
    """Yield the objects of an action; what a verb takes as a word is none."""
    text = word.text
    name = text.split(maxsplit=1)[0] if text.strip() else ""
    verb = VERBS.get(name)
    start = text.find(name) + len(name)
    end = start + len(_TAIL.sub("", text[start:]))
    kinds = tuple(sorted(verb.kinds)) if verb else ANYTHING
    for part in _PARTS.finditer(text, start, end):
        if verb is None or KEYWORDS.get(part[0].strip()) not in verb.kinds:
            yield from _some(word, *part.span(), kinds)
    if on := _ON.search(text):
        yield from _some(word, *on.span(1), ("part",))


def _whole(word: Word, kinds: tuple[str, ...], *, defines: bool = False) -> Iterator[IdPlace]:
    yield from _some(word, 0, len(word.text), kinds, defines=defines)


def _some(
    word: Word, start: int, end: int, kinds: tuple[str, ...], *, defines: bool = False
) -> Iterator[IdPlace]:
    """Yield the id that is all there is between two places of a word's text."""
    piece = word.text[start:end]
    match = _ID.search(piece)
    if match and match[0] == piece.strip():
        line, column, last = word.within(start + match.start(), start + match.end())
        yield IdPlace(match[0], kinds, line, column, last, defines)
