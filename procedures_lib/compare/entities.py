"""What entities say differently: one change a field, one for a thing added or dropped."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from procedures_lib.compare.change import Act, Change, Group
from procedures_lib.compare.context import thing_of
from procedures_lib.compare.said import said, same_amount, text_of
from procedures_lib.compare.stages import difference, note_of, topic_of
from procedures_lib.compare.topics import JOINT_TOPICS, group_of
from procedures_lib.entities.base import Model, fields_of
from procedures_lib.entities.builder import HEADS
from procedures_lib.entities.car import Fastener, Hazard
from procedures_lib.quantities import Quantity

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.compare.context import Context, Side
    from procedures_lib.entities.base import Entity

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
