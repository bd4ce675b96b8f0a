"""Signal words compared: what they say, and whether they stand before the same words as before."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from procedures_lib.judging.compare.change import Act, Change, Group, Thing, text_change
from procedures_lib.judging.compare.renamed_things import Words
from procedures_lib.judging.compare.rows import Entry, Pairs, gone_and_come, paired_in_turn
from procedures_lib.judging.compare.side import Word, spaced_once
from procedures_lib.language.entities.work import Signal
from procedures_lib.language.reading.block_kinds import SIGNAL_WORDS
from procedures_lib.language.reading.page import HIDDEN, Block, Page


def signal_changes(
    old: Sequence[Signal],
    new: Sequence[Signal],
    parts: tuple[Page | Block, Page | Block],
    where: str,
    words: Words,
) -> Iterator[Change]:
    """Yield how the signal words of a step, or of the page around the steps, differ.

    ``parts`` are the blocks of the step, or the pages, in which they stand; ``where`` its title.
    """
    before, after = _traits(old, words.old), _traits(new, words.new)
    pairs = paired_in_turn(*zip(before, after, strict=True))
    for a, b in pairs:
        yield from _signal(old[a], new[b], where, words)
    yield from gone_and_come(
        [Entry(_signal_thing(each, where), each.place, _whole(each, words.old)) for each in old],
        [Entry(_signal_thing(each, where), each.place, _whole(each, words.new)) for each in new],
        pairs,
        Group.SAFETY,
        "signal word",
    )
    yield from _moved(old, new, parts, where, pairs)


def _traits(signals: Sequence[Signal], word: Word) -> list[list[tuple[str, ...]]]:
    """What one signal is known by in both states: first all of it, then ever less."""
    texts = [(each, _hazard(each, word), spaced_once(each.text)) for each in signals]
    return [
        [(each.word, each.title, hazard, text, str(each.when)) for each, hazard, text in texts],
        [(each.title, text) for each, _, text in texts],
        [(each.title,) for each, _, _ in texts],
        [(each.word, hazard) for each, hazard, _ in texts],
    ]


def _signal(old: Signal, new: Signal, where: str, words: Words) -> Iterator[Change]:
    hazards = _hazard(old, words.old), _hazard(new, words.new)
    texts = spaced_once(old.text), spaced_once(new.text)
    for topic, act, both in (
        ("signal word", Act.CHANGED, (old.word, new.word)),
        ("hazard shown", Act.CHANGED, hazards),
        ("cars of the signal word", Act.CHANGED, (str(old.when), str(new.when))),
        ("title of the signal word", Act.REWORDED, (old.title, new.title)),
        ("text of the signal word", Act.REWORDED, texts),
    ):
        thing, places = _signal_thing(new, where), (old.place, new.place)
        yield from text_change(Group.SAFETY, topic, thing, both, places, act)


def _hazard(signal: Signal, word: Word) -> str:
    return word(signal.hazard) if signal.hazard else ""


def _whole(signal: Signal, word: Word) -> str:
    """All of a signal word in a line: the word, the hazard that it shows, what it says."""
    hazard = _hazard(signal, word)
    head = f"{signal.word} ({hazard})" if hazard else signal.word
    text = spaced_once(signal.text)
    return f"{head}: {text}" if text else head


def _signal_thing(signal: Signal, where: str) -> Thing:
    return Thing("signal", where, signal.title)


# -- where it stands ---------------------------------------------------------------------------


def _moved(
    old: Sequence[Signal],
    new: Sequence[Signal],
    parts: tuple[Page | Block, Page | Block],
    where: str,
    pairs: Pairs,
) -> Iterator[Change]:
    """Yield the signal words that stand on the other side of something that is still there."""
    before, after = (_beside(part) for part in parts) if pairs else ({}, {})
    kept = before.keys() & after.keys()
    for a, b in pairs:
        lines = old[a].place.line, new[b].place.line
        above_before = {key for key in kept if before[key] < lines[0]}
        above_after = {key for key in kept if after[key] < lines[1]}
        below, above = _named(above_after - above_before), _named(above_before - above_after)
        texts = _stands(above=below, below=above), _stands(above=above, below=below)
        if not (below or above):
            texts = _end(before, lines[0]), _end(after, lines[1])
        if all(texts) and texts[0] != texts[1]:
            yield Change(Group.SAFETY, new[b].place, "place of the signal word",
                         _signal_thing(new[b], where), Act.MOVED, *texts,
                         was=old[a].place)  # fmt: skip


def _end(lines: dict[str, int], sign: int) -> str:
    """Where a signal word stands when it is above or below all else, said otherwise by now."""
    above = [line < sign for line in lines.values()]
    if not above or any(above) != all(above):
        return ""
    return "below all else" if above[0] else "above all else"


def _beside(part: Page | Block) -> dict[str, int]:
    """The paragraphs and blocks of a part, but signal words and what stands twice, by line."""
    lines: dict[str, int] = {}
    twice = set()
    own = part.place.line if isinstance(part, Block) else 0
    title = part.title if isinstance(part, Page) else ""
    rows = [(spaced_once(each.text), each.line) for each in part.prose if each.text != title]
    rows += [(f"{{{block.name}}} {block.argument}".strip(), block.place.line)
             for block in part.blocks if block.name not in SIGNAL_WORDS]  # fmt: skip
    for key, line in rows:
        if key in lines:
            twice.add(key)
        if line != own:
            lines.setdefault(key, line)
    return {key: line for key, line in lines.items() if key not in twice}


_LONGEST_NAME = 40


def _named(keys: set[str]) -> str:
    """The first of some paragraphs and blocks, shortened, and how many more there are."""
    if not keys:
        return ""
    text = min(keys).replace(HIDDEN, "…")
    short = text if len(text) <= _LONGEST_NAME else f"{text[: _LONGEST_NAME - 1].rstrip()}…"
    return f"“{short}”" + (f" and {len(keys) - 1} more" if len(keys) > 1 else "")


def _stands(above: str, below: str) -> str:
    sides = (("above", above), ("below", below))
    return ", ".join(f"{side} {text}" for side, text in sides if text)
