"""Prose, double entry and what else stands on a page, compared."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from procedures_lib.findings import Place, counted
from procedures_lib.judging.compare.change import Act, Change, Group, Thing, group_of, text_change
from procedures_lib.judging.compare.renamed_things import Words
from procedures_lib.judging.compare.rows import Entry, Pairs, gone_and_come, moved, paired, unpaired
from procedures_lib.judging.compare.sentences import (
    Sentence,
    alike_sentences,
    same_sentences,
    sentences_of,
)
from procedures_lib.judging.compare.side import Word, spaced_once
from procedures_lib.judging.compare.signal_changes import signal_changes
from procedures_lib.language.entities.builder import HEADS
from procedures_lib.language.entities.work import Content, Derived, Expect, ExpectRow
from procedures_lib.language.reading.page import Block, Page, Prose, Role

SENTENCE = "sentence"
PROSE = "prose"


def page_words(old: Content, new: Content, thing: Thing, words: Words) -> Iterator[Change]:
    """Yield how the prose around the blocks of a page differs.

    Of a page that holds no work, one change however many sentences are others.
    """
    before, after = old.page, new.page
    places = Place(before.name, 1), Place(after.name, 1)
    titles = before.title, after.title
    yield from text_change(Group.PAPERS, "title", thing, titles, places, Act.CHANGED)
    rows = (
        _without(before.prose, before.title, before.roles, words.old),
        _without(after.prose, after.title, after.roles, words.new),
    )
    found = list(_sentences(*rows, thing, (before.name, after.name)))
    if not new.entities and not old.entities and found:
        some = [change for change in found if change.group is Group.PROSE]
        yield from (change for change in found if change.group is not Group.PROSE)
        found = [_gathered(some)] if some else []
    yield from found
    if _around(before) != _around(after):
        line = _first_other(before, after)
        yield Change(Group.PROSE, Place(after.name, line), PROSE, thing, Act.REWORDED,
                     note="headings or code", was=places[0])  # fmt: skip


def _gathered(changes: Sequence[Change]) -> Change:
    """Make one change of all the sentences of a page of words."""
    first = min(changes, key=lambda change: change.place)
    said = f"in {counted(len(changes), SENTENCE)}"
    return Change(first.group, first.place, PROSE, first.thing, Act.REWORDED, note=said,
                  was=first.was)  # fmt: skip


def step_words(old: Block, new: Block, thing: Thing, words: Words) -> Iterator[Change]:
    """Yield how the prose of a step differs: its sentences, and the numbers in them."""
    if old.body == new.body and old.argument == new.argument:
        return
    rows = [
        sentences_of([each for each in block.prose if each.line != block.place.line],
                     [role for role in block.roles if role.target.line != block.place.line], word)
        for block, word in ((old, words.old), (new, words.new))
    ]  # fmt: skip
    found = list(_sentences(rows[0], rows[1], thing, (old.place.page, new.place.page)))
    yield from found
    if _code(old) != _code(new) or (not found and _signs(old) != _signs(new)):
        yield Change(Group.PROSE, new.place, PROSE, thing, Act.REWORDED,
                     note="code, links or signs", was=old.place)  # fmt: skip


_BESIDE_WORDS = re.compile(r"<!--.*?-->|^%[^\n]*$|\{[a-z-]+\}`[^`]*`", re.DOTALL | re.MULTILINE)
"""Comments, which say nothing, and roles, which are compared by themselves."""


def _signs(block: Block) -> str:
    """The body of a step as it is written, without the blocks and roles in it."""
    inner = {n for each in block.blocks for n in range(each.place.line, each.end + 1)}
    rows = enumerate(block.body.split("\n"), start=block.body_line)
    return spaced_once(_BESIDE_WORDS.sub("", "\n".join(row for n, row in rows if n not in inner)))


def _without(
    prose: Sequence[Prose], title: str, roles: Sequence[Role], word: Word
) -> list[Sentence]:
    return sentences_of([each for each in prose if each.text != title], roles, word)


def _code(part: Page | Block) -> list[tuple[str, str]]:
    return [(fence.language, fence.text) for fence in part.fences]


def _around(page: Page) -> list[object]:
    """The headings, the code and the examples of a page."""
    sections = [(section.level, section.title) for section in page.sections]
    samples = [(each.data, each.body) for each in page.blocks if each.name == "page-example"]
    return [[each for each in sections if each != (1, page.title)], _code(page), samples]


def _first_other(old: Page, new: Page) -> int:
    """The line of the first heading that is not as it was; 1 when none is."""
    titles = [section.title for section in old.sections]
    for n, section in enumerate(new.sections):
        if n >= len(titles) or titles[n] != section.title:
            return section.line
    return 1


# -- sentences ---------------------------------------------------------------------------------


def _sentences(
    old: Sequence[Sentence], new: Sequence[Sentence], thing: Thing, pages: tuple[str, str]
) -> Iterator[Change]:
    """Yield the sentences that came, went, moved or are said otherwise, and their numbers."""
    same = same_sentences(old, new)
    yield from _numbers(old, new, same, thing, pages)
    for a, b in moved(same, lambda pair: old[pair[0]].shape + new[pair[1]].shape):
        yield Change(Group.PROSE, Place(pages[1], new[b].line), SENTENCE, thing, Act.MOVED,
                     old[a].text, new[b].text, was=Place(pages[0], old[a].line))  # fmt: skip
    alike = alike_sentences(old, new, same)
    for a, b in alike:
        yield Change(Group.PROSE, Place(pages[1], new[b].line), SENTENCE, thing, Act.REWORDED,
                     old[a].text, new[b].text, was=Place(pages[0], old[a].line))  # fmt: skip
    yield from gone_and_come(
        [Entry(thing, Place(pages[0], each.line), each.text) for each in old],
        [Entry(thing, Place(pages[1], each.line), each.text) for each in new],
        [*same, *alike],
        Group.PROSE,
        SENTENCE,
    )


_NUMBERS = {
    "q": ("amount in the text", Group.NUMBERS),
    "torque": ("torque in the text", Group.SAFETY),
}


def _numbers(
    old: Sequence[Sentence],
    new: Sequence[Sentence],
    same: Pairs,
    thing: Thing,
    pages: tuple[str, str],
) -> Iterator[Change]:
    """Yield the amounts and torques that differ: place by place in sentences that stay.

    Those of all other sentences are taken together, first with first, and so on.
    """
    left, right = unpaired(same, len(old), len(new))
    for role, (topic, group) in _NUMBERS.items():
        places = [
            (was, now)
            for a, b in same
            for was, now in zip(
                _entries(role, [old[a]], thing, pages[0]),
                _entries(role, [new[b]], thing, pages[1]),
                strict=True,
            )
            if was.text != now.text
        ]
        yield from _in_place(places, topic, group)
        before = _entries(role, [old[n] for n in left], thing, pages[0])
        after = _entries(role, [new[n] for n in right], thing, pages[1])
        alike = paired([each.text for each in before], [each.text for each in after])
        others = list(zip(*unpaired(alike, len(before), len(after)), strict=False))
        for was, now in ((before[a], after[b]) for a, b in others):
            texts, spots = (was.text, now.text), (was.place, now.place)
            yield from text_change(group, topic, thing, texts, spots)
        yield from gone_and_come(before, after, [*alike, *others], group, topic)


def _in_place(places: list[tuple[Entry, Entry]], topic: str, group: Group) -> Iterator[Change]:
    """Yield numbers that are others in sentences that stay; one change when they only moved."""
    before, after = [was.text for was, _ in places], [now.text for _, now in places]
    if places and sorted(before) == sorted(after):
        was, now = places[0]
        yield Change(Group.SAFETY, now.place, topic, now.thing, Act.MOVED, ", ".join(before),
                     ", ".join(after), "changed places", was.place)  # fmt: skip
        return
    for was, now in places:
        texts, spots = (was.text, now.text), (was.place, now.place)
        yield from text_change(group, topic, now.thing, texts, spots)


def _entries(role: str, sentences: Sequence[Sentence], thing: Thing, page: str) -> list[Entry]:
    return [
        Entry(thing, Place(page, line), value)
        for each in sentences
        for (name, value), line in zip(each.values, each.lines, strict=True)
        if name == role
    ]


def page_changes(old: Content, new: Content, words: Words) -> Iterator[Change]:
    """Yield how two states of a page differ, but for entities and steps."""
    thing = Thing("page", new.page.name, new.page.title)
    yield from signal_changes(old.signals, new.signals, (old.page, new.page), "", words)
    yield from _double_entry(old, new, words)
    yield from _shown(old, new, thing, words)
    yield from page_words(old, new, thing, words)


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
