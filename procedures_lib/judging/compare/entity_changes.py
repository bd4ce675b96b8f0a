"""What entities say differently: fields, stages of a joint, packing lists."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction
from typing import Any

from procedures_lib.engineering.quantities import Quantity, QuantityError
from procedures_lib.engineering.tightening import Stage
from procedures_lib.judging.compare.change import JOINT_TOPICS, Act, Change, Group, Thing, group_of
from procedures_lib.judging.compare.context import Context, Side, thing_of
from procedures_lib.judging.compare.field_texts import said, same_amount, text_of
from procedures_lib.judging.compare.renamed_things import Words
from procedures_lib.judging.compare.sequences import paired, unpaired
from procedures_lib.language.entities.base import Entity, Model, fields_of
from procedures_lib.language.entities.builder import HEADS
from procedures_lib.language.entities.car import Fastener, Hazard
from procedures_lib.language.entities.dyno_session import DynoSession, Pull
from procedures_lib.language.entities.kit import ContentItem, Kit

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


Stages = tuple["Stage", ...]


def topic_of(old: Stages, new: Stages) -> str:
    """Return ``torque`` or ``angle`` when only such amounts differ, else ``stages``.

    Stages that are all there for the first time, or all gone, count as a torque.
    """
    if not old or not new:
        return "torque"
    if [stage.kind for stage in old] != [stage.kind for stage in new]:
        return "stages"
    differ = [(a, b) for a, b in zip(old, new, strict=True) if a != b]
    if any(a.order != b.order for a, b in differ):
        return "order" if all(a.amount == b.amount for a, b in differ) else "stages"
    turned = [a.torque is None for a, _ in differ]
    return "angle" if all(turned) else "stages" if any(turned) else "torque"


def note_of(old: Stages, new: Stages) -> str:
    """Return by how much the stages differ: ``+10 %``, ``stage 1 +10 %, stage 2 ±0 %``.

    Per cent of the old nominal value, for amounts that both have a number and the same kind;
    a tolerance that changed around the same number is said as such.
    """
    if len(old) != len(new) or [s.kind for s in old] != [s.kind for s in new]:
        return "" if not old or not new else f"{_stages(old)} → {_stages(new)}"
    notes = list(_notes(old, new))
    if len(old) == 1:
        return notes[0][1] if notes else ""
    return ", ".join(f"stage {n} {note}" for n, note in notes)


def _stages(stages: Sequence[Stage]) -> str:
    return f"{len(stages)} stage{'' if len(stages) == 1 else 's'}"


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
        return "same amount" if (low, high) == (old.low, old.high) else "tolerance only"
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


_TURNED = ("tighten", "start", "fit")
UNREAD = "can't be read"


def entity_changes(old: Entity, new: Entity, context: Context) -> Iterator[Change]:
    """Yield how one entity differs between two states."""
    page = old.place.page
    if old.id != new.id:
        yield Change(Group.PAGES, new.place, "id", thing_of(new), Act.RENAMED, old.id, new.id,
                     was=old.place)  # fmt: skip
    if context.matches.pages.get(page) != new.place.page:
        yield Change(Group.PAGES, new.place, "page", thing_of(new), Act.MOVED, page,
                     new.place.page, was=old.place)  # fmt: skip
    words = context.words(old, new)
    before, after = said(old, words.old), said(new, words.new)
    for field in dict.fromkeys([*after, *before]):
        if before.get(field, "") != after.get(field, ""):
            yield _field(field, (old, new), (before, after), context)


def _field(
    field: str,
    entities: tuple[Entity, Entity],
    texts: tuple[dict[str, str], dict[str, str]],
    context: Context,
) -> Change:
    old, new = entities
    before = texts[0].get(field, "") or _unread(old, field, context.old)
    after = texts[1].get(field, "") or _unread(new, field, context.new)
    values = _value(old, field), _value(new, field)
    same = same_amount(*values)
    topic = _topic(field, old, new)
    users = context.new.users(new, _TURNED if topic in JOINT_TOPICS else ())
    told = isinstance(new, Fastener) or topic == "reuse"
    return Change(
        Group.SAFETY if isinstance(new, Hazard) else group_of(topic, new.KIND),
        context.new.place(new.place, field),
        topic,
        thing_of(new),
        _act(before, after),
        before,
        after,
        _note(field, values, same=same, unread=UNREAD in before + after),
        context.old.place(old.place, field),
        users if told else (),
        context.new.used.kits(new, users) if told else (),
        same=same,
    )


def _act(before: str, after: str) -> Act:
    if before and after:
        return Act.CHANGED
    return Act.ADDED if after else Act.DROPPED


def _unread(entity: Entity, field: str, side: Side) -> str:
    """What stands on the page for a field that could not be read, "" when nothing does."""
    raw = side.spots(entity.place.page).raw(entity.place, field) if side.is_damaged(entity) else ""
    return f"{raw} ({UNREAD})" if raw else ""


def _value(entity: Entity, field: str) -> Any:
    head, _, rest = field.partition(" ")
    value = getattr(entity, fields_of(type(entity)).get(head, head), None)
    if rest and isinstance(value, Model):
        return getattr(value, fields_of(type(value)).get(rest, rest), None)
    return value


def _topic(field: str, old: Entity, new: Entity) -> str:
    if field == "tighten" and isinstance(old, Fastener) and isinstance(new, Fastener):
        return topic_of(old.tighten, new.tighten)
    return field


def _note(field: str, values: tuple[Any, Any], *, same: bool, unread: bool) -> str:
    old, new = values
    if same:
        return "the same, written otherwise"
    if field == "tighten" and not unread:
        return note_of(old, new)
    if isinstance(old, Quantity) and isinstance(new, Quantity):
        return difference(old, new)
    return "every car where there is nothing" if field == "when" and not (old and new) else ""


def whole_entity(entity: Entity, act: Act, context: Context) -> Change:
    """Return the change of a thing that only one state has: what it says, in one line."""
    side = context.new if act is Act.ADDED else context.old
    text = summary(entity)
    users = side.users(entity, _TURNED)
    return Change(
        _group(entity),
        entity.place,
        "joint" if isinstance(entity, Fastener) and entity.tighten else entity.KIND,
        thing_of(entity),
        act,
        "" if act is Act.ADDED else text,
        text if act is Act.ADDED else "",
        used=users,
        kits=side.used.kits(entity, users),
    )


def _group(entity: Entity) -> Group:
    if isinstance(entity, Fastener) and entity.tighten:
        return Group.JOINTS
    if isinstance(entity, Hazard):
        return Group.SAFETY
    return Group.PAGES if entity.KIND in HEADS else Group.THINGS


def summary(entity: Entity) -> str:
    """Return what an entity says in one line: a joint's hardware and stages, or all its fields."""
    if isinstance(entity, Fastener):
        hardware = (text_of(entity.thread), entity.class_, text_of(entity.tighten))
        words = [f"{entity.count} × {entity.kind}", *hardware, entity.condition or ""]
        return ", ".join(word for word in words if word)
    texts = said(entity)
    plain = {"count": "1", "reuse": "true", "kind": "part", "name": texts.get("name", "")}
    shown = [f"{field}: {text}" for field, text in texts.items() if plain.get(field) != text]
    return ", ".join(shown) or str(getattr(entity, "name", "") or entity.id)
