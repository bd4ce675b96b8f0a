"""Lists of mappings compared item by item: a kit's packing list, the pulls of a dyno session."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from procedures_lib.compare.change import Act, Change, Group, Thing
from procedures_lib.compare.said import said
from procedures_lib.compare.sequences import paired, unpaired
from procedures_lib.entities.dyno import DynoSession, Pull
from procedures_lib.entities.kit import ContentItem, Kit

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from procedures_lib.compare.context import Context
    from procedures_lib.compare.matching import Words
    from procedures_lib.entities.base import Entity

    Word = Callable[[str], str]

_ITEM_KINDS = frozenset({"part", "fastener", "connection", "supply", "paper", "tool"})


def listed_changes(old: Entity, new: Entity, context: Context) -> Iterator[Change]:
    """Yield how the lists of a kit or dyno session differ."""
    words = context.words(old, new)
    if isinstance(old, Kit) and isinstance(new, Kit):
        yield from _list("packing list", old.contents, new.contents, Group.BOX, words)
    if isinstance(old, DynoSession) and isinstance(new, DynoSession):
        yield from _list("before", old.before, new.before, Group.NUMBERS, words)
        yield from _list("after", old.after, new.after, Group.NUMBERS, words)


def _list(
    topic: str, old: Sequence[Any], new: Sequence[Any], group: Group, words: Words
) -> Iterator[Change]:
    pairs = paired(
        [_name(item, words.old) for item in old], [_name(item, words.new) for item in new]
    )
    gone, come = unpaired(pairs, len(old), len(new))
    again = paired([_number(old[n]) for n in gone], [_number(new[n]) for n in come])
    pairs += [(gone[a], come[b]) for a, b in again if _number(old[gone[a]])]
    for a, b in sorted(pairs, key=lambda pair: pair[1]):
        yield from _item(topic, old[a], new[b], group, words)
    gone, come = unpaired(pairs, len(old), len(new))
    for n in gone:
        text = _text(old[n], words.old)
        yield Change(group, old[n].place, topic, _thing(old[n]), Act.DROPPED, text,
                     was=old[n].place)  # fmt: skip
    for n in come:
        yield Change(
            group, new[n].place, topic, _thing(new[n]), Act.ADDED, "", _text(new[n], words.new)
        )


def _name(item: Any, word: Word) -> tuple[str, str]:
    if isinstance(item, ContentItem):
        return item.kind, word(item.what)
    return "pull", str(item.pull)


def _number(item: Any) -> str:
    return str(getattr(item, "number", ""))


def _item(topic: str, old: Any, new: Any, group: Group, words: Words) -> Iterator[Change]:
    before, after = said(old, words.old), said(new, words.new)
    for field in dict.fromkeys([*after, *before]):
        a, b = before.get(field, ""), after.get(field, "")
        if a != b:
            act = Act.CHANGED if a and b else Act.ADDED if b else Act.DROPPED
            yield Change(group, new.place, f"{topic}: {field}", _thing(new), act, a, b,
                         was=old.place)  # fmt: skip


def _text(item: Any, word: Word) -> str:
    texts = said(item, word)
    plain = {"qty": "1"}
    return ", ".join(f"{field}: {text}" for field, text in texts.items()
                     if plain.get(field) != text and field not in _ITEM_KINDS) or "1"  # fmt: skip


def _thing(item: Any) -> Thing:
    if isinstance(item, Pull):
        return Thing("pull", str(item.pull))
    return Thing(item.kind, item.what, item.name)
