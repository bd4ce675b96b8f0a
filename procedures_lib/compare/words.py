"""Prose compared: whether it differs at all, and the amounts that stand in it."""

from __future__ import annotations

from itertools import zip_longest
from typing import TYPE_CHECKING

from procedures_lib.compare.change import Act, Change, Group, Thing
from procedures_lib.compare.sequences import paired, unpaired
from procedures_lib.compare.signals import spaced_once
from procedures_lib.findings import Place

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from procedures_lib.compare.matching import Words
    from procedures_lib.reading.page import Block, Page, Role

    Word = Callable[[str], str]

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
