"""Prose, signal words and what else stands on a page, compared."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from procedures_lib.findings import Place, counted
from procedures_lib.judging.compare.change import (
    Act,
    Change,
    Entry,
    Group,
    Thing,
    gone_and_come,
    group_of,
    paired,
    paired_in_turn,
    text_change,
    unpaired,
)
from procedures_lib.judging.compare.renamed_things import Words
from procedures_lib.judging.compare.side import Word
from procedures_lib.language.entities.builder import HEADS
from procedures_lib.language.entities.work import Content, Derived, Expect, ExpectRow, Signal
from procedures_lib.language.reading.page import Block, Page, Prose, Role


def signal_changes(
    old: Sequence[Signal], new: Sequence[Signal], where: str, words: Words
) -> Iterator[Change]:
    """Yield how the signal words of a step, or of the page around the steps, differ."""
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


def spaced_once(text: str) -> str:
    """Return a text with single spaces: lines broken elsewhere say the same."""
    return " ".join(text.split())


PROSE = "prose"


def page_words(old: Page, new: Page, thing: Thing, words: Words) -> Iterator[Change]:
    """Yield how the prose around the blocks of a page differs."""
    places = Place(old.name, 1), Place(new.name, 1)
    titles = old.title, new.title
    yield from text_change(Group.PAPERS, "title", thing, titles, places, Act.CHANGED)
    if _page_said(old, words.old) != _page_said(new, words.new):
        first = Place(new.name, _first_other(old, new))
        yield Change(Group.PROSE, first, PROSE, thing, Act.REWORDED, was=places[0])
    yield from _numbers(_bodies(old), _bodies(new), thing, places, words)


def step_words(old: Block, new: Block, thing: Thing, words: Words) -> Iterator[Change]:
    """Yield how the prose of a step differs."""
    if _block_said(old, words.old) != _block_said(new, words.new):
        yield Change(Group.PROSE, new.place, PROSE, thing, Act.REWORDED, was=old.place)
    yield from _numbers(old.roles, new.roles, thing, (old.place, new.place), words)


def _page_said(page: Page, word: Word) -> list[object]:
    """All that a reader sees between the blocks, lines broken as they may be."""
    sections = [(section.level, section.title) for section in page.sections]
    samples = [(each.data, each.body) for each in page.blocks if each.name == "page-example"]
    return [
        [section for section in sections if section != (1, page.title)],
        *_seen(page, [prose for prose in page.prose if prose.text != page.title], word),
        samples,
    ]


def _first_other(old: Page, new: Page) -> int:
    """The line of the first paragraph or heading that is not as it was; 1 when none is."""
    for before, after in zip(_lines(old), _lines(new), strict=True):
        for n, (text, line) in enumerate(after):
            if n >= len(before) or before[n][0] != text:
                return line
    return 1


def _lines(page: Page) -> tuple[list[tuple[str, int]], ...]:
    """The paragraphs and the headings of a page, each with its line."""
    prose = [(spaced_once(each.text), each.line) for each in page.prose]
    return prose, [(section.title, section.line) for section in page.sections]


def _block_said(block: Block, word: Word) -> list[object]:
    return _seen(block, [each for each in block.prose if each.line != block.place.line], word)


def _seen(part: Page | Block, prose: list[Prose], word: Word) -> list[object]:
    """Prose, code and mentions in a page or a block; amounts are told apart from them."""
    roles = [role for role in part.roles if role.name not in _NUMBERS]
    return [
        [spaced_once(each.text) for each in prose],
        [(fence.language, fence.text) for fence in part.fences],
        [(role.name, word(str(role.target))) for role in roles],
    ]


def _bodies(page: Page) -> list[Role]:
    """The roles between the blocks, and in signal words that stand outside the steps."""
    inner = [role for block in page.blocks if block.name != "step" for role in block.roles]
    return [*page.roles, *inner]


def _numbers(
    old: Sequence[Role],
    new: Sequence[Role],
    thing: Thing,
    places: tuple[Place, Place],
    words: Words,
) -> Iterator[Change]:
    """Yield the amounts and torques in the prose that differ, first with first, and so on."""
    for role, (topic, group) in _NUMBERS.items():
        before = _entries(role, old, thing, places[0].page, words.old)
        after = _entries(role, new, thing, places[1].page, words.new)
        same = paired([each.text for each in before], [each.text for each in after])
        others = list(zip(*unpaired(same, len(before), len(after)), strict=False))
        for was, now in ((before[a], after[b]) for a, b in others):
            texts, spots = (was.text, now.text), (was.place, now.place)
            yield from text_change(group, topic, thing, texts, spots)
        yield from gone_and_come(before, after, [*same, *others], group, topic)


_NUMBERS = {
    "q": ("amount in the text", Group.NUMBERS),
    "torque": ("torque in the text", Group.SAFETY),
}


def _entries(role: str, roles: Sequence[Role], thing: Thing, page: str, word: Word) -> list[Entry]:
    turn = word if role == "torque" else str
    named = [one.target for one in roles if one.name == role]
    return [Entry(thing, Place(page, target.line), turn(str(target))) for target in named]


def page_changes(old: Content, new: Content, words: Words) -> Iterator[Change]:
    """Yield how two states of a page differ, but for entities and steps."""
    thing = Thing("page", new.page.name, new.page.title)
    yield from signal_changes(old.signals, new.signals, "", words)
    yield from _double_entry(old, new, words)
    yield from _shown(old, new, thing, words)
    yield from page_words(old.page, new.page, thing, words)


def _double_entry(old: Content, new: Content, words: Words) -> Iterator[Change]:
    before, after = _rows(old), _rows(new)
    pairs = paired(
        [words.old(str(row.id)) for _, row in before], [words.new(str(row.id)) for _, row in after]
    )
    for a, b in pairs:
        (source, row), (its_source, its_row) = before[a], after[b]
        thing = Thing("double entry", str(its_row.id), its_source.source)
        places = row.place, its_row.place
        texts = spaced_once(row.text), spaced_once(its_row.text)
        sources = source.source, its_source.source
        yield from text_change(Group.NUMBERS, "double entry", thing, texts, places, Act.CHANGED)
        yield from text_change(Group.PAPERS, "source", thing, sources, places, Act.CHANGED)
    rows = [_row_entry(*each) for each in before], [_row_entry(*each) for each in after]
    yield from gone_and_come(*rows, pairs, Group.NUMBERS, "double entry")


def _rows(content: Content) -> list[tuple[Expect, ExpectRow]]:
    return [(expect, row) for expect in content.expects for row in expect.rows]


def _row_entry(source: Expect, row: ExpectRow) -> Entry:
    thing = Thing("double entry", str(row.id), source.source)
    return Entry(thing, row.place, spaced_once(row.text))


def _shown(old: Content, new: Content, thing: Thing, words: Words) -> Iterator[Change]:
    """Yield the tables, lists and drawings that a page no longer shows, or shows now."""
    before = [Entry(thing, one.block.place, _name(one, words.old)) for one in old.derived]
    after = [Entry(thing, one.block.place, _name(one, words.new)) for one in new.derived]
    pairs = paired([each.text for each in before], [each.text for each in after])
    yield from gone_and_come(before, after, pairs, group_of("after", "derived"), "shown")


def _name(derived: Derived, word: Word) -> str:
    argument = str(derived.block.argument)
    parts = [f"{{{derived.block.name}}}", word(argument) if argument else ""]
    if derived.options.after:
        parts.append(f"after {derived.options.after}")
    if str(derived.options.when):
        parts.append(f"when {derived.options.when}")
    return " ".join(each for each in parts if each)


def whole_page(content: Content, act: Act) -> Change:
    """Return the change of a page that only one state has: what it holds, counted."""
    thing = Thing("page", content.page.name, content.page.title)
    text = _held(content)
    place = next((e.place for e in content.entities if e.KIND in HEADS), None)
    place = place or Place(content.page.name, 1)
    both = ("", text) if act is Act.ADDED else (text, "")
    return Change(Group.PAGES, place, "page", thing, act, *both)


def _held(content: Content) -> str:
    """The heads of a page, and how many steps and things of each kind it holds."""
    heads = [f"{e.KIND} {e.id}" for e in content.entities if e.KIND in HEADS]
    steps = sum(len(steps) for _, steps in content.steps)
    kinds = [e.KIND for e in content.entities if e.KIND not in HEADS]
    counts = [("step", steps), *((kind, kinds.count(kind)) for kind in dict.fromkeys(kinds))]
    numbers = [counted(n, noun) for noun, n in counts if n]
    return ", ".join([*heads, *numbers]) or "prose"
