"""Hardware: threads that do not go together, counts that differ, boxes that hold too few."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from operator import attrgetter

from procedures_lib.engineering.threads import Thread
from procedures_lib.findings import Finding, Level, Place
from procedures_lib.judging.checks.mentions import plans_on, steps_on, things, whole_things
from procedures_lib.judging.checks.replaced import Replacement, replacements
from procedures_lib.language.entities.car import (
    BOLT_KINDS,
    ONE_WAY_KINDS,
    Connection,
    Fastener,
    Fluid,
    Part,
)
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.kit import ContentItem, Kit
from procedures_lib.language.entities.verbs import VERBS
from procedures_lib.language.entities.work import Step
from procedures_lib.manual import Manual, Plan, Scope
from procedures_lib.manual.names import name_of


def threads(manual: Manual, page: str) -> Iterator[Finding]:
    """Find fasteners that go into a part, or a hole, of another thread."""
    scope = manual.scope(page)
    for fastener in things(manual, page, Fastener):
        part = scope.of(Part, str(fastener.into.part)) if fastener.into else None
        if part is not None:
            yield from _into(fastener, part, scope)
    pairs = list(replacements(manual, page))
    for pair in pairs:
        if not pair.is_explained and not _is_new_around(pair, pairs, scope):
            yield from _in_place_of(pair, scope)
    for kit in things(manual, page, Kit):
        yield from _of_kit(kit, scope)


def _of_kit(kit: Kit, scope: Scope) -> Iterator[Finding]:
    """Find old fasteners that go into new parts of another thread."""
    replaced = {str(item.replaces) for item in kit.contents if item.replaces}
    for item in kit.contents:
        if not item.replaces:
            continue
        part = scope.of(Part, item.what)
        if part is not None and part.thread is not None:
            for fastener in scope.all(Fastener):
                goes_in = str(fastener.into.part) if fastener.into else ""
                if goes_in == str(item.replaces) and fastener.id not in replaced:
                    yield from _into(fastener, part, scope, at=item.place)


def _into(
    fastener: Fastener, part: Part, scope: Scope, at: Place | None = None
) -> Iterator[Finding]:
    if (
        fastener.thread is not None
        and part.thread is not None
        and part.thread.thread != fastener.thread.thread
    ):
        said = (
            f"{name_of(fastener, scope)} (`{fastener.id}`) is {fastener.thread.written},"
            f" and goes into `{part.id}`, whose thread is {part.thread.written}"
        )
        hint = "one of the two is mistyped, or the wrong bolt is in the box"
        places = dict.fromkeys((fastener.place, part.place))
        place = at or fastener.place
        related = tuple(other for other in places if other != place)
        yield Finding(place, "thread-mismatch", said, hint, related=related)


def _is_new_around(pair: Replacement, pairs: Iterable[Replacement], scope: Scope) -> bool:
    """Tell whether a kit brings what goes with a fastener: the part it holds, or bolt and nut."""
    is_nut, *threads = _change(pair)
    if any(_change(each) == (not is_nut, *threads) for each in pairs):
        return True
    if isinstance(pair.new, Fastener) and pair.new.into is not None:
        return False
    gone = {each.old.id for each in pairs}
    held: list[tuple[str, tuple[str, ...]]] = [(p.id, p.held_by) for p in scope.all(Part)]
    held += [(c.id, c.holders) for c in scope.all(Connection)]
    return any(pair.new.id in by or (pair.old.id in by and name in gone) for name, by in held)


def _change(pair: Replacement) -> tuple[bool, Thread | None, Thread | None]:
    """Return whether it is of a nut, and the new thread and the old one."""
    new, old = (
        each.thread.thread if isinstance(each, Fastener) and each.thread else None
        for each in (pair.new, pair.old)
    )
    return isinstance(pair.new, Fastener) and pair.new.kind == "nut", new, old


def _in_place_of(pair: Replacement, scope: Scope) -> Iterator[Finding]:
    """A fastener goes where the old one was, unless it says that it goes into something else.

    One that goes `with` another is compared with that.
    """
    new, old = pair.new, pair.old
    if not isinstance(new, Fastener) or not isinstance(old, Fastener):
        return
    elsewhere = new.into is not None and new.into != old.into
    joined = {
        str(name) for each in scope.all(Fastener) for name in (each.id, *each.with_) if each.with_
    }
    if elsewhere or joined & {new.id, old.id} or new.thread is None or old.thread is None:
        return
    if new.thread.thread != old.thread.thread:
        said = (
            f"{name_of(new, scope)} (`{new.id}`) is {new.thread.written}, and goes where"
            f" `{old.id}` was, which is {old.thread.written}"
        )
        hint = (
            "correct the thread, name what it goes into (`into: {part: …}`) or `with`, or say in"
            " its `note` why"
        )
        yield Finding(new.place, "thread-mismatch", said, hint, related=(old.place,))


def counts(manual: Manual, page: str) -> Iterator[Finding]:
    """Find what a kit holds too few or too many of."""
    scope = manual.scope(page)
    for kit in things(manual, page, Kit):
        for item in kit.contents:
            thing = scope.get(item.what)
            if isinstance(thing, Part | Fastener | Connection) and thing.place != item.place:
                yield from _count(item, thing, manual, kit)


def _count(
    item: ContentItem, thing: Part | Fastener | Connection, manual: Manual, kit: Kit
) -> Iterator[Finding]:
    spare = item.spare or 0
    if item.count - spare == thing.count:
        return
    if spare == item.count <= thing.count and not _is_fitted(item, thing, manual, kit):
        return
    told = f"`{item.what}`: the kit holds {item.count}"
    if spare:
        told += f", {spare} of them spare"
    said = f"{told}, and {thing.count} {'is' if thing.count == 1 else 'are'} fitted"
    if item.count - spare < thing.count:
        hint = "correct `qty`, `spare` or `count`: the box would not be enough"
        yield Finding(item.place, "quantity-short", said, hint, related=(thing.place,))
    else:
        hint = f"correct `qty` or `count`, or declare the rest: `spare: {item.count - thing.count}`"
        yield Finding(item.place, "count-mismatch", said, hint, related=(thing.place,))


def _is_fitted(
    item: ContentItem, thing: Part | Fastener | Connection, manual: Manual, kit: Kit
) -> bool:
    """Tell whether a step puts in one of the box although all of them are said to be spare.

    What is on the car already, and may be used again, can be the car's own: the box has a spare.
    """
    reusable = thing.reuse if isinstance(thing, Connection) else thing.reusable
    if reusable and thing.place.page != kit.place.page:
        return False
    return any(
        VERBS[action.verb].takes_new and item.what in action.objects
        for page in manual.pages_by_kit.get(kit.id, ())
        for plan in plans_on(manual, page)
        if plan.kit is not None and plan.kit.id == kit.id
        for numbered in plan.steps
        for action in numbered.step.actions
    )


def kit_statements(manual: Manual, page: str) -> Iterator[Finding]:
    """Find kits that raise the power, and say nothing of emissions or of the fuel they need."""
    for kit in things(manual, page, Kit):
        raised = [each for each in (kit.claims.power, kit.claims.torque) if each and each.si > 0]
        label = any("emission" in item.what.casefold() for item in kit.contents)
        if kit.emissions is None and (raised or label):
            why = f"claims {raised[0].tidy}" if raised else "has an emissions label in its box"
            said = f"the kit `{kit.id}` {why}, and says nothing of emissions"
            hint = "add `emissions: {label: …, note: …}`, or `{label: no label needed, note: why}`"
            yield Finding(kit.place, "missing-field", said, hint, Level.WARNING)
        if raised and kit.needs.calibration and kit.needs.fuel is None:
            said = f"the kit `{kit.id}` has a calibration for more power, and names no fuel for it"
            hint = "add `fuel:` to its `needs`, the car's own if that will do"
            yield Finding(kit.place, "missing-field", said, hint, Level.WARNING)


def programs_without(manual: Manual, page: str) -> Iterator[Finding]:
    """Find kits of whose procedures one programs a calibration, and that name none."""
    for plan in plans_on(manual, page):
        kit = plan.kit
        if kit is None or kit.needs.calibration or manual.is_damaged(kit):
            continue
        actions = (action for n in plan.steps for action in n.step.actions)
        first = next((action for action in actions if action.verb == "program"), None)
        if first is not None:
            said = f"a step programs a calibration, and the kit `{kit.id}` names none"
            hint = "add `calibration:` to the kit's `needs`"
            yield Finding(first.place, "no-calibration-for", said, hint, Level.WARNING,
                          related=(kit.place,))  # fmt: skip


def ways_of_fluids(manual: Manual, page: str) -> Iterator[Finding]:
    """Find fluids that are drained or filled through a washer, or a gasket, or one same plug."""
    scope = manual.scope(page)
    for fluid in things(manual, page, Fluid):
        for field, names in (("drain", fluid.drain), ("fill", fluid.fill)):
            for name in map(str, names):
                thing = scope.get(name)
                kind = getattr(thing, "kind", "")
                if isinstance(thing, Part | Fastener) and kind in _NO_WAY:
                    said = f"`{field}` of `{fluid.id}`: `{name}` is a {kind.replace('-', ' ')}"
                    hint = "name the plug, the tap or the cover that it goes through"
                    yield Finding(fluid.place, "wrong-kind", said, hint, related=(thing.place,))
        both = {*map(str, fluid.drain)} & {*map(str, fluid.fill)}
        plugs = [name for name in sorted(both) if scope.of(Fastener, name)]
        if plugs and not fluid.note:
            said = f"`{fluid.id}` is drained and filled through the same plug, `{plugs[0]}`"
            hint = "name the other plug, or say in its `note` why"
            yield Finding(fluid.place, "unlike-practice", said, hint)


_NO_WAY = frozenset({"washer", *ONE_WAY_KINDS})
"""Kinds of things that nothing is drained or filled through."""

_FIELDS = {Fluid: ("spec", "fill"), Fastener: ("head",)}
_FEWEST = {Fluid: 3, Fastener: 6}
"""Of fewer things on a page, that one lacks what all others have says nothing."""


def left_out(manual: Manual, page: str) -> Iterator[Finding]:
    """Find the one fluid or joint of a page that lacks what all others of it say."""
    joints = [f for f in whole_things(manual, page, Fastener) if f.how_tight and _has_head(f)]
    kinds: tuple[tuple[type[Fluid | Fastener], list[Fluid] | list[Fastener]], ...] = (
        (Fluid, list(whole_things(manual, page, Fluid))), (Fastener, joints)
    )  # fmt: skip
    for kind, found in kinds:
        for field in _FIELDS[kind]:
            yield from _one_lacks(found, field, _FEWEST[kind], attrgetter(field))
    sunk = [joint for joint in joints if joint.into is not None]
    yield from _one_lacks(sunk, "material", _FEWEST[Fastener], _material)
    metal = [joint for joint in sunk if _material(joint) != "plastic"]
    yield from _one_lacks(metal, "engagement", _FEWEST[Fastener], _engagement)


def _has_head(group: Fastener) -> bool:
    return group.kind in {*BOLT_KINDS, "nut", "plug"}


def _material(group: Entity) -> object:
    return group.into.material if isinstance(group, Fastener) and group.into else None


def _engagement(group: Entity) -> object:
    return group.into.engagement if isinstance(group, Fastener) and group.into else None


def _one_lacks(
    found: Sequence[Entity], field: str, fewest: int, value: Callable[[Entity], object]
) -> Iterator[Finding]:
    lacking = [each for each in found if not value(each)]
    if len(lacking) == 1 and len(found) >= fewest and not getattr(lacking[0], "note", ""):
        said = f"`{lacking[0].id}` has no `{field}`, as the {len(found) - 1} others of this page do"
        hint = f"add `{field}`, or say in its `note` why it has none"
        yield Finding(lacking[0].place, "missing-field", said, hint, Level.WARNING)


def unused_supplies(manual: Manual, page: str) -> Iterator[Finding]:
    """Find supplies and tools of the kit that no step asks for."""
    for plan in plans_on(manual, page):
        if plan.kit is not None and plan.steps and manual.sees_all(page):
            yield from _supplies(plan, plan.kit)


def _supplies(plan: Plan, kit: Kit) -> Iterator[Finding]:
    words = _words(plan)
    for item in kit.contents:
        if item.kind not in {"supply", "tool"} or item.spare:
            continue
        if not any(item.what.casefold() in text for text in words):
            said = f"no step uses “{item.what}”, which is in the kit `{kit.id}`"
            hint = "name it under a step's `supplies` or `tools`, or declare it `spare` in the kit"
            yield Finding(plan.head.place, "not-used", said, hint, related=(item.place,))


def _words(plan: Plan) -> list[str]:
    texts: list[str] = []
    for numbered in plan.steps:
        step = numbered.step
        texts += [*step.supplies, *step.tools, *map(str, step.actions), step.block.body]
    return [text.casefold() for text in texts]


_CODES = (
    ("DOT class", re.compile(r"\bDOT[ -]?(\d(?:\.\d)?)\b", re.IGNORECASE)),
    ("API class", re.compile(r"\b(GL-?\d)\b", re.IGNORECASE)),
    ("viscosity", re.compile(r"\b(\d{1,3}W(?:[ -]?\d{1,3})?)\b", re.IGNORECASE)),
    ("base", re.compile(r"\b(ethylene|propylene) glycol\b", re.IGNORECASE)),
)
"""What a fluid is told by: FMVSS 116, API 1560, SAE J300 and J306."""

_MIXED = {("4", "3"), ("5.1", "3"), ("5.1", "4")}
"""DOT classes that may be filled where a lower is asked for; 5 is silicone, and mixes with none."""


def fluids(manual: Manual, page: str) -> Iterator[Finding]:
    """Find supplies of another class than the fluid that a step fills in."""
    scope = manual.scope(page)
    for step in steps_on(manual.contents[page]):
        filling = (action for action in step.actions if action.verb in _FILLING)
        names = [str(name) for action in filling for name in action.objects if step.supplies]
        for fluid in (scope.of(Fluid, name) for name in names):
            if fluid is not None and fluid.spec:
                for supply in step.supplies:
                    yield from _of_another_class(step, supply, fluid)


def _of_another_class(step: Step, supply: str, fluid: Fluid) -> Iterator[Finding]:
    for what, code in _CODES:
        said, known = code.search(supply), code.search(fluid.spec)
        one, other = (re.sub("[ -]", "", m[1]).casefold() if m else "" for m in (said, known))
        if known and one and one != other and (one, other) not in _MIXED:
            told = f"“{supply}” goes into `{fluid.id}`, whose {what} is {known[0]}"
            hint = "correct the supply, or the fluid's `spec`"
            yield Finding(step.place, "wrong-fluid", told, hint, related=(fluid.place,))


_FILLING = frozenset({"fill", "top-up", "bleed"})
