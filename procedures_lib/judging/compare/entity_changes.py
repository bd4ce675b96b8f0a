"""What entities say differently: fields, stages of a joint, packing lists."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Any

from procedures_lib.engineering.quantities import Quantity, QuantityError
from procedures_lib.engineering.tightening import Stage, StageKind
from procedures_lib.findings import counted
from procedures_lib.judging.compare.change import (
    JOINT_TOPICS,
    Act,
    Change,
    Group,
    Thing,
    act_of,
    group_of,
    text_change,
)
from procedures_lib.judging.compare.renamed_things import Matches, Words
from procedures_lib.judging.compare.rows import Entry, gone_and_come, paired_in_turn
from procedures_lib.judging.compare.side import Side, Texts, Word, text_of, texts_of, traits_of
from procedures_lib.language.entities.builder import HEADS
from procedures_lib.language.entities.car import Fastener
from procedures_lib.language.entities.dyno_session import DynoSession, Pull
from procedures_lib.language.entities.entity import Entity, Model, fields_of
from procedures_lib.language.entities.field_types import WrittenThread
from procedures_lib.language.entities.hazard import Hazard
from procedures_lib.language.entities.how_tight import HowTight
from procedures_lib.language.entities.kit import ContentItem, Kit
from procedures_lib.language.entities.verbs import verbs_that
from procedures_lib.language.entities.work import Rule
from procedures_lib.language.variants import Condition

TURNED = verbs_that(lambda verb: verb.turns_in)
UNREAD = "can't be read"


def entity_changes(old: Entity, new: Entity, matches: Matches) -> Iterator[Change]:
    """Yield how one entity differs between two states: its id, its page, its fields and lists."""
    pages, places = (old.place.page, new.place.page), (old.place, new.place)
    ids = old.id, new.id
    yield from text_change(Group.PAGES, "id", thing_of(new), ids, places, Act.RENAMED)
    if matches.pages.get(pages[0]) != pages[1]:
        yield from text_change(Group.PAGES, "page", thing_of(new), pages, places, Act.MOVED)
    words = matches.words(*pages)
    for field, before, after in differing(texts_of(old, words.old), texts_of(new, words.new)):
        yield _field(field, (old, new), (before, after), matches)
    yield from _lists(old, new, words)


def differing(before: Texts, after: Texts) -> Iterator[tuple[str, str, str]]:
    """Yield the fields whose texts differ, with both texts."""
    for field in dict.fromkeys([*after, *before]):
        texts = before.get(field, ""), after.get(field, "")
        if texts[0] != texts[1]:
            yield (field, *texts)


def thing_of(entity: Entity) -> Thing:
    """Return the name of an entity for a report."""
    return Thing(entity.KIND, entity.id, str(getattr(entity, "name", "") or ""))


def _field(
    field: str, entities: tuple[Entity, Entity], texts: tuple[str, str], matches: Matches
) -> Change:
    old, new = entities
    before = texts[0] or _unread(old, field, matches.old)
    after = texts[1] or _unread(new, field, matches.new)
    values = _value(old, field), _value(new, field)
    same = same_amount(*values)
    topic = _topic(field, old, new)
    users = matches.new.users(new, TURNED if topic in JOINT_TOPICS else ())
    told = isinstance(new, Fastener) or topic == "reuse"
    return Change(
        Group.SAFETY if isinstance(new, Hazard | Rule) else group_of(topic, new.KIND),
        matches.new.place(new.place, field),
        topic,
        thing_of(new),
        act_of(before, after),
        before,
        after,
        _note(field, values, same=same, unread=UNREAD in before + after),
        matches.old.place(old.place, field),
        users if told else (),
        matches.new.kits(new, users) if told else (),
        same=same,
    )


def _unread(entity: Entity, field: str, side: Side) -> str:
    """What stands on the page for a field that could not be read, "" when nothing does."""
    raw = side.raw(entity.place, field) if side.manual.is_damaged(entity) else ""
    return f"{raw} ({UNREAD})" if raw else ""


def _value(entity: Entity, field: str) -> Any:
    head, _, rest = field.partition(" ")
    value = getattr(entity, fields_of(type(entity)).get(head, head), None)
    if rest and isinstance(value, Model):
        return getattr(value, fields_of(type(value)).get(rest, rest), None)
    return value


def _topic(field: str, old: Entity, new: Entity) -> str:
    if field == "tighten" and isinstance(old, Fastener) and isinstance(new, Fastener):
        return _topic_of_stages(old.how_tight, new.how_tight)
    return field


def _topic_of_stages(old: HowTight, new: HowTight) -> str:
    """The topic of what changed; ``stages`` when other cars are told apart than before."""
    if old and new and _conditions(old) != _conditions(new):
        return "stages"
    return topic_of(old.every, new.every)


def _note_of_stages(old: HowTight, new: HowTight) -> str:
    """By how much the stages differ, with the cars where they are told apart."""
    if len(old.by_condition) < 2 and len(new.by_condition) < 2:
        return note_of(old.every, new.every)
    was = dict(old.by_condition)
    notes = [(when, note_of(was[when], stages)) for when, stages in new.by_condition if when in was]
    return "; ".join(f"{when}: {note}" for when, note in notes if note)


def _conditions(how: HowTight) -> list[tuple[Condition, int]]:
    return [(when, len(stages)) for when, stages in how.by_condition]


def _note(field: str, values: tuple[Any, Any], *, same: bool, unread: bool) -> str:
    old, new = values
    if same:
        return "the same, written otherwise"
    if (
        field == "tighten"
        and not unread
        and isinstance(old, HowTight)
        and isinstance(new, HowTight)
    ):
        return _note_of_stages(old, new)
    if isinstance(old, Quantity) and isinstance(new, Quantity):
        return difference(old, new)
    return "every car where there is nothing" if field == "when" and not (old and new) else ""


def whole_entity(entity: Entity, act: Act, side: Side) -> Change:
    """Return the change of a thing that only one side has: what it says, in one line."""
    text = summary(entity)
    users = side.users(entity, TURNED)
    is_joint = isinstance(entity, Fastener) and bool(entity.how_tight)
    group = Group.PAGES if entity.KIND in HEADS else Group.THINGS
    return Change(
        Group.JOINTS if is_joint else Group.SAFETY if isinstance(entity, Hazard | Rule) else group,
        entity.place,
        "joint" if is_joint else entity.KIND,
        thing_of(entity),
        act,
        "" if act is Act.ADDED else text,
        text if act is Act.ADDED else "",
        used=users,
        kits=side.kits(entity, users),
    )


def summary(entity: Entity) -> str:
    """Return what an entity says in one line: a joint's hardware and stages, or all its fields."""
    if isinstance(entity, Fastener):
        hardware = (text_of(entity.thread), entity.class_, text_of(entity.how_tight))
        words = [f"{entity.count} × {entity.kind}", *hardware, entity.condition or ""]
        return ", ".join(word for word in words if word)
    texts = traits_of(entity)
    name = texts.pop("name", "")
    return ", ".join(f"{field}: {text}" for field, text in texts.items()) or name or entity.id


# -- packing lists and pulls -------------------------------------------------------------------

_ITEM_KINDS = frozenset({"part", "fastener", "connection", "supply", "paper", "tool"})


def _lists(old: Entity, new: Entity, words: Words) -> Iterator[Change]:
    """Yield how the lists of a kit or dyno session differ."""
    if isinstance(old, Kit) and isinstance(new, Kit):
        yield from _list("packing list", old.contents, new.contents, group_of("contents"), words)
    if isinstance(old, DynoSession) and isinstance(new, DynoSession):
        yield from _list("before", old.before, new.before, group_of("before"), words)
        yield from _list("after", old.after, new.after, group_of("after"), words)


def _list(
    topic: str, old: Sequence[Any], new: Sequence[Any], group: Group, words: Words
) -> Iterator[Change]:
    pairs = paired_in_turn(
        ([_name(item, words.old) for item in old], [_name(item, words.new) for item in new]),
        ([_number(item) for item in old], [_number(item) for item in new]),
    )
    for a, b in pairs:
        places = old[a].place, new[b].place
        for field, *texts in differing(texts_of(old[a], words.old), texts_of(new[b], words.new)):
            both = texts[0], texts[1]
            yield from text_change(group, f"{topic}: {field}", _thing(new[b]), both, places)
    yield from gone_and_come(
        [Entry(_thing(item), item.place, _text(item, words.old)) for item in old],
        [Entry(_thing(item), item.place, _text(item, words.new)) for item in new],
        pairs,
        group,
        topic,
    )


def _name(item: Any, word: Word) -> tuple[str, str]:
    if isinstance(item, ContentItem):
        return item.kind, word(item.what)
    return "pull", str(item.pull)


def _number(item: Any) -> str:
    return str(getattr(item, "number", ""))


def _text(item: Any, word: Word) -> str:
    texts = traits_of(item, word).items()
    return ", ".join(f"{field}: {text}" for field, text in texts if field not in _ITEM_KINDS) or "1"


def _thing(item: Any) -> Thing:
    if isinstance(item, Pull):
        return Thing("pull", str(item.pull))
    return Thing(item.kind, item.what, item.name)


# -- the stages of a joint ---------------------------------------------------------------------

Stages = tuple[Stage, ...]
SAME = "same amount"


def topic_of(old: Stages, new: Stages) -> str:
    """Return ``torque`` or ``angle`` when only such amounts differ, else ``stages``.

    Stages that are all there for the first time, or all gone, count as a torque.
    """
    if not old or not new:
        return "torque"
    if [stage.kind for stage in old] != [stage.kind for stage in new]:
        return "stages"
    differ = [(a, b) for a, b in zip(old, new, strict=True) if a != b]
    if any((a.order, a.only) != (b.order, b.only) for a, b in differ):
        return "order" if all(a.amount == b.amount for a, b in differ) else "stages"
    if any(a.words != b.words for a, b in differ):
        return "stages"
    if any(StageKind.STRETCH in {a.kind, b.kind} for a, b in differ):
        return "stages"
    turned = [a.torque is None for a, _ in differ]
    return "angle" if all(turned) else "stages" if any(turned) else "torque"


def note_of(old: Stages, new: Stages) -> str:
    """Return by how much the stages differ: ``+10 %``, ``stage 1 +10 %, stage 2 ±0 %``.

    Per cent of the old nominal value, for amounts that both have a number and the same kind;
    a tolerance that changed around the same number is said as such.
    """
    if len(old) != len(new) or [s.kind for s in old] != [s.kind for s in new]:
        return (
            ""
            if not old or not new
            else f"{counted(len(old), 'stage')} → {counted(len(new), 'stage')}"
        )
    notes = list(_notes(old, new))
    if len(old) == 1:
        return notes[0][1] if notes else ""
    return ", ".join(f"stage {n} {note}" for n, note in notes)


def _notes(old: Stages, new: Stages) -> Iterator[tuple[int, str]]:
    for n, (a, b) in enumerate(zip(old, new, strict=True), start=1):
        if a.amount is not None and b.amount is not None and a.amount != b.amount:
            note = difference(a.amount, b.amount)
            if note:
                yield n, note


def difference(old: Quantity, new: Quantity) -> str:
    """Return by how much an amount differs, "" when that can't be said.

    ``+10 %``, of the old nominal value; ``same amount``; ``tolerance only``.
    """
    try:
        low, high = new.exact(old.unit)
        nominal = new.exact_nominal(old.unit)
    except QuantityError:
        return ""
    if nominal == old.nominal:
        return SAME if (low, high) == (old.low, old.high) else "tolerance only"
    if not old.nominal:
        return ""
    return per_cent(nominal / old.nominal - 1)


def per_cent(share: Fraction) -> str:
    """Return a share as per cent with its sign: ``+4.5 %``, ``−12 %``, ``+1,100 %``.

    One decimal below ten per cent, whole numbers above; what would be rounded to nothing is
    written with two significant figures.
    """
    value = float(share * 100)
    if abs(value) >= 9.95:
        text = f"{abs(value):,.0f}"
    elif abs(value) >= 0.05:
        text = f"{abs(value):.1f}".removesuffix(".0")
    else:
        text = f"{abs(value):.2g}"
    return f"{'+' if value > 0 else '−'}{text}\u00a0%"


def same_amount(old: Any, new: Any) -> bool:
    """Tell whether two values, written differently, are exactly the same amount or thread."""
    if isinstance(old, Quantity) and isinstance(new, Quantity):
        return difference(old, new) == SAME
    if isinstance(old, WrittenThread) and isinstance(new, WrittenThread):
        return old.thread == new.thread
    if isinstance(old, HowTight) and isinstance(new, HowTight):
        if not old or _conditions(old) != _conditions(new):
            return False
        return all(_alike(a, b) for a, b in zip(old.every, new.every, strict=True))
    return False


def _alike(old: Stage, new: Stage) -> bool:
    if replace(old, amount=None) != replace(new, amount=None):
        return False
    if old.amount is None or new.amount is None:
        return old.amount is new.amount
    return difference(old.amount, new.amount) == SAME
