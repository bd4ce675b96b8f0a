"""What stands on a page beside its entities and steps: signal words, double entry, shown blocks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.compare.change import Act, Change, Group, Thing
from procedures_lib.compare.sequences import paired, unpaired
from procedures_lib.compare.signals import signal_changes, spaced_once
from procedures_lib.compare.words import page_words
from procedures_lib.entities.builder import HEADS
from procedures_lib.findings import Place

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from procedures_lib.compare.context import Context
    from procedures_lib.compare.matching import Words
    from procedures_lib.entities.content import Content, Derived
    from procedures_lib.entities.work import Expect, ExpectRow

    Word = Callable[[str], str]


def page_changes(old: Content, new: Content, context: Context) -> Iterator[Change]:
    """Yield how two states of a page differ, but for entities and steps."""
    thing = Thing("page", new.page.name, new.page.title)
    words = context.matches.words(old.page.name, new.page.name)
    yield from signal_changes(old.signals, new.signals, "", words)
    yield from _double_entry(old, new, words)
    yield from _shown(old, new, thing, words)
    yield from page_words(old.page, new.page, thing, words)


def _double_entry(old: Content, new: Content, words: Words) -> Iterator[Change]:
    before, after = _rows(old), _rows(new)
    pairs = paired(
        [words.old(str(row.id)) for _, row in before], [words.new(str(row.id)) for _, row in after]
    )
    left, right = unpaired(pairs, len(before), len(after))
    for a, b in pairs:
        (source, row), (its_source, its_row) = before[a], after[b]
        thing = Thing("double entry", str(its_row.id), its_source.source)
        for topic, group, was, now in (
            ("double entry", Group.NUMBERS, spaced_once(row.text), spaced_once(its_row.text)),
            ("source", Group.PAPERS, source.source, its_source.source),
        ):
            if was != now:
                yield Change(group, its_row.place, topic, thing, Act.CHANGED, was, now,
                             was=row.place)  # fmt: skip
    for n in left:
        source, row = before[n]
        thing = Thing("double entry", str(row.id), source.source)
        yield Change(Group.NUMBERS, row.place, "double entry", thing, Act.DROPPED,
                     spaced_once(row.text), was=row.place)  # fmt: skip
    for n in right:
        source, row = after[n]
        thing = Thing("double entry", str(row.id), source.source)
        yield Change(Group.NUMBERS, row.place, "double entry", thing, Act.ADDED, "",
                     spaced_once(row.text))  # fmt: skip


def _rows(content: Content) -> list[tuple[Expect, ExpectRow]]:
    return [(expect, row) for expect in content.expects for row in expect.rows]


def _shown(old: Content, new: Content, thing: Thing, words: Words) -> Iterator[Change]:
    """Yield the tables, lists and drawings that a page no longer shows, or shows now."""
    before = [_name(one, words.old) for one in old.derived]
    after = [_name(one, words.new) for one in new.derived]
    left, right = unpaired(paired(before, after), len(before), len(after))
    for n in left:
        place = old.derived[n].block.place
        yield Change(Group.PAPERS, place, "shown", thing, Act.DROPPED, before[n], was=place)
    for n in right:
        yield Change(Group.PAPERS, new.derived[n].block.place, "shown", thing, Act.ADDED, "",
                     after[n])  # fmt: skip


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
    numbers = [f"{n} {_plural(noun, n)}" for noun, n in counts if n]
    return ", ".join([*heads, *numbers]) or "prose"


def _plural(noun: str, number: int) -> str:
    return noun if number == 1 else f"{noun}s"
