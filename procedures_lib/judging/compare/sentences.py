"""Sentences compared: which is which, the words that changed in them, and whether that turns them.

Words are told apart by difflib of the standard library; this file only cuts and marks them.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict, deque
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from difflib import SequenceMatcher

from procedures_lib.data_tables import toml_table
from procedures_lib.judging.compare.rows import Pairs, mutual_best, paired, unpaired
from procedures_lib.judging.compare.side import Word
from procedures_lib.language.reading.page import HIDDEN, Prose, Role

NUMBERS = ("q", "torque")
"""Roles that show a number: what they hold is told apart from the words around it."""


@dataclass(frozen=True, slots=True)
class Sentence:
    """One sentence: ``shape`` has U+FFFC for each of its numbers, ``values`` are these."""

    shape: str
    line: int = field(compare=False)
    values: tuple[tuple[str, str], ...] = ()
    lines: tuple[int, ...] = field(default=(), compare=False)

    @property
    def text(self) -> str:
        """The sentence with its numbers: an amount as it is, a torque by its joint."""
        parts = self.shape.split(HIDDEN)
        words = [f"torque of {value}" if role == "torque" else value for role, value in self.values]
        return "".join(a + b for a, b in zip(parts, [*words, ""], strict=True))


_END = re.compile(r"(?<=[.!?])\s+")
_CODE = "…"


def sentences_of(prose: Sequence[Prose], roles: Sequence[Role], word: Word) -> list[Sentence]:
    """Return the sentences of some prose; ``word`` turns ids that were renamed.

    A role stands where a hidden place of its line is: the first for the first, and so on.
    """
    by_line: dict[int, deque[Role]] = defaultdict(deque)
    for role in roles:
        by_line[role.target.line].append(role)
    return [each for part in prose for each in _sentences(part, by_line, word)]


def _sentences(part: Prose, roles: dict[int, deque[Role]], word: Word) -> Iterator[Sentence]:
    shape = ""
    found: list[tuple[str, str, int]] = []
    starts: list[int] = []
    for line, row in enumerate(part.text.split("\n"), start=part.line):
        for n, piece in enumerate(row.split(HIDDEN)):
            if n and (waiting := roles.get(line)):
                shape += _role(waiting.popleft(), found, word)
            elif n:
                shape += _CODE
            shape += piece
        shape += "\n"
        starts.append(len(shape))
    at = taken = 0
    for text in _END.split(shape):
        count = text.count(HIDDEN)
        values = found[taken : taken + count]
        at = shape.index(text, at)
        line = part.line + sum(start <= at for start in starts)
        if text.strip():
            yield Sentence(" ".join(text.split()), line, tuple((r, v) for r, v, _ in values),
                           tuple(row for _, _, row in values))  # fmt: skip
        taken += count
        at += len(text)


def _role(role: Role, found: list[tuple[str, str, int]], word: Word) -> str:
    """Return what a sentence shows for a role, and note it when it is a number."""
    target = str(role.target)
    if role.name not in NUMBERS:
        return word(target)
    found.append((role.name, word(target) if role.name == "torque" else target, role.target.line))
    return HIDDEN


# -- which is which ----------------------------------------------------------------------------

_ALIKE = 0.5
_MOST_PAIRS = 2_500


def same_sentences(old: Sequence[Sentence], new: Sequence[Sentence]) -> Pairs:
    """Return the pairs of sentences that say the same, but perhaps for their numbers."""
    pairs = paired(old, new)
    left, right = unpaired(pairs, len(old), len(new))
    found = paired([old[n].shape for n in left], [new[n].shape for n in right])
    return pairs + [(left[a], right[b]) for a, b in found]


def alike_sentences(old: Sequence[Sentence], new: Sequence[Sentence], pairs: Pairs) -> Pairs:
    """Return the pairs of those left that are one sentence said otherwise."""
    left, right = unpaired(pairs, len(old), len(new))
    before, after = [old[n] for n in left], [new[n] for n in right]
    if not before or not after:
        return []
    bags = {id(each): Counter(_words(each.text)) for each in (*before, *after)}

    def score(a: Sentence, b: Sentence) -> float:
        return _likeness(bags[id(a)], bags[id(b)])

    found = mutual_best(before, after, score, _ALIKE, _MOST_PAIRS)
    return [(left[a], right[b]) for a, b in found]


def _likeness(one: Counter[str], two: Counter[str]) -> float:
    total = sum(one.values()) + sum(two.values())
    return 2 * sum((one & two).values()) / total if total else 0.0


# -- word by word ------------------------------------------------------------------------------

_TOKEN = re.compile(r"(\s*)(\w+(?:[-'’.,/]\w+)*|[^\w\s])")
_ROLE = re.compile(r"\{[a-z-]+\}`([^`]+)`")
"""A role as it stands in the text of a rule or signal word, which is kept as written."""
_MOST_WORDS = 600
_AROUND = 4
"""How many words on either side of a change are shown."""


def _words(text: str) -> list[str]:
    return [word for _, word in _TOKEN.findall(text)]


def operations(old: Sequence[str], new: Sequence[str]) -> Sequence[tuple[str, int, int, int, int]]:
    """Return how a row of words becomes another, as difflib tells it.

    In rows too long for that, all between what they begin and end with alike.
    """
    if max(len(old), len(new)) <= _MOST_WORDS:
        return SequenceMatcher(None, old, new, autojunk=False).get_opcodes()
    most = min(len(old), len(new))
    head = next((n for n in range(most) if old[n] != new[n]), most)
    most -= head
    tail = next((n for n in range(most) if old[-1 - n] != new[-1 - n]), most)
    ends = len(old) - tail, len(new) - tail
    return [("equal", 0, head, 0, head), ("replace", head, ends[0], head, ends[1]),
            ("equal", ends[0], len(old), ends[1], len(new))]  # fmt: skip


def marked(old: str, new: str) -> str:
    """Return both texts as one: ``Set the [-stands-] {+jack+} under it``, far words left out."""
    before, after = (_TOKEN.findall(_ROLE.sub(r"\1", text)) for text in (old, new))
    steps = operations([word for _, word in before], [word for _, word in after])
    parts = []
    for n, (name, a, b, c, d) in enumerate(steps):
        if name == "equal":
            parts.append(_shortened(before[a:b], first=n == 0, last=n == len(steps) - 1))
            continue
        gone, come = _joined(before[a:b]), _joined(after[c:d])
        gap = _gap(before[a:b] or after[c:d])
        both = [f"[-{gone.strip()}-]"] if gone else []
        both += [f"{{+{come.strip()}+}}"] if come else []
        parts.append(gap + " ".join(both))
    return "".join(parts).strip()


def _joined(tokens: Sequence[tuple[str, str]]) -> str:
    return "".join(space + word for space, word in tokens)


def _gap(tokens: Sequence[tuple[str, str]]) -> str:
    return tokens[0][0] if tokens else ""


def _shortened(tokens: Sequence[tuple[str, str]], *, first: bool, last: bool) -> str:
    most = _AROUND * (1 if first or last else 2)
    if len(tokens) <= most + 1:
        return _joined(tokens)
    head = "" if first else _joined(tokens[:_AROUND])
    tail = "" if last else _joined(tokens[-_AROUND:])
    return f"{head} …{tail}"


# -- what turns a sentence ---------------------------------------------------------------------

_WORDS = toml_table(__package__, "grave_words.toml")
_TURNING = frozenset(_WORDS["turning"])
_OPPOSITES = tuple(map(frozenset, _WORDS["opposites"]))


def changed_words(old: str, new: str) -> tuple[frozenset[str], frozenset[str]]:
    """Return the words, in small letters, of which a text has fewer than before, and more."""
    before, after = Counter(_words(old.lower())), Counter(_words(new.lower()))
    return frozenset(before - after), frozenset(after - before)


def turns(old: str, new: str) -> bool:
    """Tell whether a change of words can turn a sentence round.

    A "not" or "before" that comes or goes, a number, left for right, or the same words in another
    order.
    """
    gone, come = changed_words(old, new)
    if not gone | come:
        return _words(old.lower()) != _words(new.lower())
    if any(word in _TURNING or any(map(str.isdigit, word)) for word in gone | come):
        return True
    return any(row & gone and row & come for row in _OPPOSITES)
