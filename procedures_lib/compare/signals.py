"""Signal words compared: the word, the hazard that it shows, and what it says."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.compare.change import Act, Change, Group, Thing
from procedures_lib.compare.sequences import paired, unpaired

if TYPE_CHECKING:
    from collections.abc import Callable, Hashable, Iterator, Sequence

    from procedures_lib.compare.matching import Words
    from procedures_lib.entities.work import Signal

    Word = Callable[[str], str]
    Trait = Callable[[Signal, Word], Hashable]


def _all(signal: Signal, word: Word) -> Hashable:
    return (signal.word, signal.title, _hazard(signal, word), spaced_once(signal.text))


def _words(signal: Signal, _word: Word) -> Hashable:
    return (signal.title, spaced_once(signal.text))


def _title(signal: Signal, _word: Word) -> Hashable:
    return signal.title


def _level(signal: Signal, word: Word) -> Hashable:
    return (signal.word, _hazard(signal, word))


def signal_changes(
    old: Sequence[Signal], new: Sequence[Signal], where: str, words: Words
) -> Iterator[Change]:
    """Yield how the signal words of a step, or of the page around the steps, differ."""
    pairs: list[tuple[int, int]] = []
    for trait in (_all, _words, _title, _level):
        left, right = unpaired(pairs, len(old), len(new))
        found = paired(
            [trait(old[n], words.old) for n in left], [trait(new[n], words.new) for n in right]
        )
        again = [(left[a], right[b]) for a, b in found]
        pairs += again
        for a, b in again:
            yield from _pair(old[a], new[b], where, words)
    left, right = unpaired(pairs, len(old), len(new))
    for n in left:
        yield Change(Group.SAFETY, old[n].place, "signal word", _thing(old[n], where),
                     Act.DROPPED, _whole(old[n], words.old), was=old[n].place)  # fmt: skip
    for n in right:
        yield Change(Group.SAFETY, new[n].place, "signal word", _thing(new[n], where), Act.ADDED,
                     "", _whole(new[n], words.new))  # fmt: skip


def _pair(old: Signal, new: Signal, where: str, words: Words) -> Iterator[Change]:
    texts = (
        ("signal word", Act.CHANGED, old.word, new.word),
        ("hazard shown", Act.CHANGED, _hazard(old, words.old), _hazard(new, words.new)),
        ("title of the signal word", Act.REWORDED, old.title, new.title),
        ("text of the signal word", Act.REWORDED, spaced_once(old.text), spaced_once(new.text)),
    )
    for topic, act, before, after in texts:
        if before != after:
            yield Change(Group.SAFETY, new.place, topic, _thing(new, where), act, before, after,
                         was=old.place)  # fmt: skip


def _hazard(signal: Signal, word: Word) -> str:
    return word(signal.hazard) if signal.hazard else ""


def _whole(signal: Signal, word: Word) -> str:
    """All of a signal word in a line: the word, the hazard that it shows, what it says."""
    hazard = _hazard(signal, word)
    head = f"{signal.word} ({hazard})" if hazard else signal.word
    text = spaced_once(signal.text)
    return f"{head}: {text}" if text else head


def _thing(signal: Signal, where: str) -> Thing:
    return Thing("signal", where, signal.title)


def spaced_once(text: str) -> str:
    """Return a text with single spaces: lines broken elsewhere say the same."""
    return " ".join(text.split())
