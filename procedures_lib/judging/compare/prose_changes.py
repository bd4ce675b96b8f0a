"""Prose, signal words and what else stands on a page, compared."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Sequence
from itertools import zip_longest

from procedures_lib.findings import Place
from procedures_lib.judging.compare.change import Act, Change, Group, Thing
from procedures_lib.judging.compare.context import Context
from procedures_lib.judging.compare.renamed_things import Words
from procedures_lib.judging.compare.sequences import paired, unpaired
from procedures_lib.language.entities.builder import HEADS
from procedures_lib.language.entities.content import Content, Derived
from procedures_lib.language.entities.work import Expect, ExpectRow, Signal
from procedures_lib.language.reading.page import Block, Page, Role

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


PROSE = "prose"


def page_words(old: Page, new: Page, thing: Thing, words: Words) -> Iterator[Change]:
    """Yield how the prose around the blocks of a page differs."""
    was, place = Place(old.name, 1), Place(new.name, 1)
    if old.title != new.title:
        yield Change(Group.PAPERS, place, "title", thing, Act.CHANGED, old.title, new.title,
                     was=was)  # fmt: skip
    if _page_said(old, words.old) != _page_said(new, words.new):
        first = Place(new.name, _first_other(old, new))
        yield Change(Group.PROSE, first, PROSE, thing, Act.REWORDED, was=was)
    yield from _numbers(_bodies(old), _bodies(new), thing, (was, place), words)


def step_words(old: Block, new: Block, thing: Thing, words: Words) -> Iterator[Change]:
    """Yield how the prose of a step differs."""
    if _block_said(old, words.old) != _block_said(new, words.new):
        yield Change(Group.PROSE, new.place, PROSE, thing, Act.REWORDED, was=old.place)
    yield from _numbers(old.roles, new.roles, thing, (old.place, new.place), words)


def _page_said(page: Page, word: Word) -> list[object]:
    """All that a reader sees between the blocks, lines broken as they may be."""
    sections = [(section.level, section.title) for section in page.sections]
    samples = [block.body for block in page.blocks if block.name == "page-example"]
    return [
        [section for section in sections if section != (1, page.title)],
        [spaced_once(prose.text) for prose in page.prose if prose.text != page.title],
        [(fence.language, fence.text) for fence in page.fences],
        _mentions(page.roles, word),
        samples,
    ]


def _first_other(old: Page, new: Page) -> int:
    """The line of the first paragraph or heading that is not as it was; 1 when none is."""
    for before, after in (
        (
            [spaced_once(p.text) for p in old.prose],
            [(spaced_once(p.text), p.line) for p in new.prose],
        ),
        ([s.title for s in old.sections], [(s.title, s.line) for s in new.sections]),
    ):
        for n, (text, line) in enumerate(after):
            if n >= len(before) or before[n] != text:
                return line
    return 1


def _block_said(block: Block, word: Word) -> list[object]:
    body = [prose for prose in block.prose if prose.line != block.place.line]
    return [
        [spaced_once(prose.text) for prose in body],
        [(fence.language, fence.text) for fence in block.fences],
        _mentions(block.roles, word),
    ]


def _mentions(roles: Sequence[Role], word: Word) -> list[tuple[str, str]]:
    return [(role.name, word(str(role.target))) for role in roles if role.name not in _TOPICS]


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
    for role, topic in _TOPICS.items():
        before, after = _of(role, old, words.old), _of(role, new, words.new)
        pairs = paired([text for text, _ in before], [text for text, _ in after])
        left, right = unpaired(pairs, len(before), len(after))
        gone, come = [before[n] for n in left], [after[n] for n in right]
        for was, now in zip_longest(gone, come):
            yield _number(topic, thing, places, was, now)


_TOPICS = {"q": "amount in the text", "torque": "torque in the text"}


def _of(role: str, roles: Sequence[Role], word: Word) -> list[tuple[str, int]]:
    turn = word if role == "torque" else str
    return [(turn(str(one.target)), one.target.line) for one in roles if one.name == role]


def _number(
    topic: str,
    thing: Thing,
    places: tuple[Place, Place],
    was: tuple[str, int] | None,
    now: tuple[str, int] | None,
) -> Change:
    old_place = Place(places[0].page, was[1]) if was else None
    place = Place(places[1].page, now[1]) if now else old_place or places[1]
    act = Act.CHANGED if was and now else Act.ADDED if now else Act.DROPPED
    texts = was[0] if was else "", now[0] if now else ""
    group = Group.SAFETY if topic == _TOPICS["torque"] else Group.NUMBERS
    return Change(group, place, topic, thing, act, *texts, was=old_place)


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
