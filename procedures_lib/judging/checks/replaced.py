"""Hardware: whether what takes a thing's place is like it, and whether nuts suit their bolts."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from procedures_lib.engineering.threads.bolt_grades import is_weaker
from procedures_lib.engineering.threads.nuts import goes_with, is_thin, is_weaker_nut
from procedures_lib.findings import Finding, Level
from procedures_lib.judging.checks.joints import faults_of
from procedures_lib.judging.checks.mentions import things
from procedures_lib.language.entities.car import BOLT_KINDS, Connection, Fastener, Part
from procedures_lib.language.entities.kit import ContentItem, Kit
from procedures_lib.manual import Manual, Scope
from procedures_lib.manual.names import name_of

Thing = Part | Fastener | Connection


class Replacement(NamedTuple):
    """A new thing, the old one that it replaces, and the line of the kit that says so, if any."""

    new: Thing
    old: Thing
    item: ContentItem | None

    @property
    def is_explained(self) -> bool:
        """Whether a note of the new thing, or of its line in the box, can say why it differs."""
        return bool(self.new.note or (self.item is not None and self.item.note))


def replacements(manual: Manual, page: str) -> Iterator[Replacement]:
    """Yield what a page says takes the place of what, where both are of one kind and read whole."""
    scope = manual.scope(page)
    named = {item.what: item for kit in things(manual, page, Kit) for item in kit.contents}
    own: list[Thing] = [*things(manual, page, Part), *things(manual, page, Fastener)]
    own += things(manual, page, Connection)
    listed = [(what, item.replaces, item) for what, item in named.items()]
    listed += [(each.id, each.replaces, named[each.id]) for each in own if each.id in named]
    alone = [(each.id, each.replaces, None) for each in own if each.id not in named]
    seen: set[str] = set()
    for what, replaced, item in (*listed, *alone):
        new, old = scope.get(what), scope.get(str(replaced)) if replaced else None
        if not isinstance(new, Thing) or not isinstance(old, type(new)) or what in seen:
            continue
        seen.add(what)
        if not (scope.shared & {new.id, old.id} or any(map(manual.is_damaged, (new, old)))):
            yield Replacement(new, old, item)


def unlike(manual: Manual, page: str) -> Iterator[Finding]:
    """Find what differs from what it replaces in number, hand, use or class, and says not why."""
    pairs = list(replacements(manual, page))
    for pair in pairs:
        if pair.is_explained:
            continue
        differs = dict(_differences(pair, [each for each in pairs if each.old is pair.old]))
        if differs:
            said = f"`{pair.new.id}` replaces `{pair.old.id}`, and differs: "
            fields = ", ".join(f"`{field}`" for field in differs)
            hint = f"correct {fields}, or say in its `note` why it differs"
            at = (pair.new.place, pair.old.place, pair.item.place if pair.item else pair.old.place)
            place, *related = dict.fromkeys(at)
            yield Finding(place, "unlike-replaced", said + "; ".join(differs.values()), hint,
                          related=tuple(related))  # fmt: skip
        else:
            yield from _other_contents(pair.new, pair.old)


def _other_contents(new: Thing, old: Thing) -> Iterator[Finding]:
    """Find a new line in which something else runs, or nothing is said to."""
    if isinstance(new, Connection) and isinstance(old, Connection) and new.carries != old.carries:
        runs = f"`carries: {new.carries}`" if new.carries else "no `carries`"
        had = f"`carries: {old.carries}`" if old.carries else "no `carries`"
        said = f"`{new.id}` replaces `{old.id}`, and differs: it has {runs}, the old one {had}"
        hint = "correct `carries`: what opening it asks for hangs on that; or say why in its `note`"
        yield Finding(new.place, "unlike-replaced", said, hint, Level.WARNING,
                      related=(old.place,))  # fmt: skip


def _differences(pair: Replacement, group: list[Replacement]) -> Iterator[tuple[str, str]]:
    """Yield the fields in which a new thing differs, each with what differs in words."""
    new, old = pair.new, pair.old
    if pair is group[-1] and not _is_enough(group):
        yield "count", f"{_many(group)} for {old.count}"
    if isinstance(new, Fastener) and isinstance(old, Fastener):
        if new.turns != old.turns:
            yield "turns", f"a {new.turns}-hand thread for a {old.turns}-hand one"
        if _is_weaker(new, old) and not list(faults_of(new)):
            yield "class", f"{new.class_text} is weaker than {old.class_text}"
    is_said = "reuse" in new.model_fields_set
    if not is_said and _may_be_reused(new) and not _may_be_reused(old):
        yield "reuse", "nothing says that it is for one use, as the old one is"


def _is_enough(group: list[Replacement]) -> bool:
    """Tell whether the new things of one old one are as many, alone or together.

    What is only spare, and what the box holds in another number than is fitted, is not judged:
    the second is a finding of its own.
    """
    counts = [pair.new.count for pair in group if not _is_spare(pair.item)]
    wanted = group[0].old.count
    told = any(pair.item and not _is_as_packed(pair.item, pair.new) for pair in group)
    return not counts or told or sum(counts) == wanted or set(counts) == {wanted}


def _is_spare(item: ContentItem | None) -> bool:
    return item is not None and item.spare is not None and item.spare >= item.count


def _is_as_packed(item: ContentItem, new: Thing) -> bool:
    return item.count - (item.spare or 0) == new.count


def _many(group: list[Replacement]) -> str:
    counts = [pair.new.count for pair in group if not _is_spare(pair.item)]
    return " and ".join(map(str, counts))


def _may_be_reused(thing: Thing) -> bool:
    return thing.reuse if isinstance(thing, Connection) else thing.reusable


def _is_weaker(new: Fastener, old: Fastener) -> bool:
    if new.kind in BOLT_KINDS and old.kind in BOLT_KINDS:
        return is_weaker(new.class_, old.class_)
    return new.kind == old.kind == "nut" and is_weaker_nut(new.class_, old.class_)


# -- nuts on bolts ---------------------------------------------------------------------------------


def nuts(manual: Manual, page: str) -> Iterator[Finding]:
    """Find nuts that are weaker than the bolts that they go on, or of another thread or hand."""
    scope = manual.scope(page)
    news = {pair.new.id for pair in replacements(manual, page)}
    for one, other in _joined(manual, page, scope):
        at = max(one, other, key=lambda each: (each.place.page == page, each.id in news))
        nut, bolt = (one, other) if one.kind == "nut" else (other, one)
        if nut.kind == "nut" and bolt.kind in BOLT_KINDS and not nut.note:
            yield from _pair(nut, bolt, at, scope)


def _joined(manual: Manual, page: str, scope: Scope) -> Iterator[tuple[Fastener, Fastener]]:
    """Yield the fasteners that go together by `with`: as the page says it, and with what is new.

    What a kit replaces has the new one in its place: an old nut goes on the new bolt.
    """
    new_for_old = {pair.old.id: pair.new.id for pair in replacements(manual, page)}
    old_for_new = {new: old for old, new in new_for_old.items()}
    seen: set[frozenset[str]] = set()
    for one in scope.all(Fastener) if new_for_old else things(manual, page, Fastener):
        old = scope.of(Fastener, old_for_new.get(one.id, ""))
        now = {} if one.id in new_for_old else new_for_old
        names = one.with_ or (old.with_ if old else ())
        for other in (scope.of(Fastener, now.get(name, name)) for name in map(str, names)):
            if other is None or page not in {one.place.page, other.place.page}:
                continue
            if (pair := frozenset((one.id, other.id))) not in seen:
                seen.add(pair)
                yield one, other


def _pair(nut: Fastener, bolt: Fastener, at: Fastener, scope: Scope) -> Iterator[Finding]:
    said = f"{name_of(nut, scope)} (`{nut.id}`)"
    other = bolt if at is nut else nut
    if problem := _does_not_go_on(nut, bolt):
        hint = "one of the two is mistyped, or the wrong one is in the box"
        yield Finding(at.place, "thread-mismatch", f"{said} {problem}", hint,
                      related=(other.place,))  # fmt: skip
    elif not is_thin(nut.class_) and not goes_with(bolt.class_, nut.class_):
        told = f"{said} is {nut.class_text}, and goes on `{bolt.id}`, which is {bolt.class_text}"
        hint = ("the nut's first number is at least the bolt's: correct one of the two, or say in"
                " the nut's `note` why")  # fmt: skip
        yield Finding(at.place, "nut-too-weak", told, hint, related=(other.place,))


def _does_not_go_on(nut: Fastener, bolt: Fastener) -> str:
    """Say in what a nut's thread differs from its bolt's; of a stud only the diameter is known.

    The nut's end of a stud may be finer than the end that stays in.
    """
    if nut.thread is None or bolt.thread is None:
        same = True
    elif bolt.kind == "stud":
        same = nut.thread.thread.diameter == bolt.thread.thread.diameter
    else:
        same = nut.thread.thread == bolt.thread.thread
    if not same and nut.thread and bolt.thread:
        return f"is {nut.thread.written}, and goes on `{bolt.id}`, which is {bolt.thread.written}"
    if nut.turns != bolt.turns and bolt.kind != "stud":
        return f"has a {nut.turns}-hand thread, and goes on `{bolt.id}`, whose is {bolt.turns}-hand"
    return ""
