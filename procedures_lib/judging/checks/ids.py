"""Reading: ids that nothing defines, that two things share, that nothing uses; ids of steps."""

from __future__ import annotations

from collections.abc import Iterator
from difflib import get_close_matches

from procedures_lib.findings import Finding, Place
from procedures_lib.judging.checks.mentions import (
    Mention,
    action_mentions,
    mentions,
    plans_on,
    steps_on,
)
from procedures_lib.language.entities.builder import HEADS
from procedures_lib.language.entities.car import (
    BUILTIN_HAZARDS,
    Connection,
    Fluid,
    Hazard,
    Opening,
    Vehicle,
)
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.verbs import KEYWORDS
from procedures_lib.language.entities.work import Common, Procedure, Rule
from procedures_lib.language.reading.page import Scalar
from procedures_lib.manual import Manual
from procedures_lib.spelling import suggestion

_DEFINE = "define it on this page, or on the page of its kit or its car"
_ALIKE = 0.8
"""How like a known part a free end must be to be taken for a slip (difflib ratio)."""


def duplicate_ids(manual: Manual, page: str) -> Iterator[Finding]:
    """Find two things of one id on this page, and of this page and another that it can see."""
    content = manual.contents[page]
    seen: dict[str, Place] = {}
    for entity in content.entities:
        if entity.id in seen:
            yield duplicate(entity.id, entity.place, seen[entity.id])
        seen.setdefault(entity.id, entity.place)
        head = manual.head(type(entity), entity.id) if entity.KIND in HEADS else None
        if head is not None and head.place != entity.place and head.place.page != page:
            yield duplicate(entity.id, entity.place, head.place)
    if any(isinstance(entity, Procedure | Common) for entity in content.entities):
        for near, far in manual.scope(page).clashes():
            together = isinstance(near, Hazard) and near.id in BUILTIN_HAZARDS
            if together and isinstance(far, Hazard):
                continue
            if near.KIND not in HEADS or near.KIND != far.KIND:
                yield duplicate(near.id, near.place, far.place)


def duplicate(name: str, place: Place, other: Place) -> Finding:
    """Return the finding of an id that something else has already."""
    said = f"`{name}` is already the id of something at {other}"
    hint = "give one of the two another id: one procedure can see both"
    return Finding(place, "duplicate-id", said, hint, related=(other,))


def unknown_ids(manual: Manual, page: str) -> Iterator[Finding]:
    """Find mentions of ids that nothing in reach defines, or that are of another kind."""
    content, scope = manual.contents[page], manual.scope(page)
    for mention in mentions(content):
        entity = scope.get(mention.target)
        if entity is None or entity.KIND not in mention.kinds:
            yield from _judge(manual, page, mention, mention.target.line)
    for step in steps_on(content):
        for action in step.actions:
            if all(map(scope.get, action.names)):
                continue
            for mention in action_mentions(action):
                if scope.get(mention.target) is None:
                    yield from _judge(manual, page, mention, action.place.line, verb=True)
    yield from _through_common(manual, page)


def _judge(
    manual: Manual, page: str, mention: Mention, line: int, *, verb: bool = False
) -> Iterator[Finding]:
    name = str(mention.target)
    kinds = _kinds_of(manual, page, name, mention)
    place = Place(page, line)
    if not kinds:
        if mention.holder and name in _fixed(manual, page):
            return
        if mention.loose:
            yield from _slip(manual, page, mention)
        elif not _follows_from_another(manual, page, mention):
            hint = suggestion(name, _known(manual, page, mention)) or _DEFINE
            said = f"{mention.by} names `{name}`, which no page in reach defines"
            yield Finding(place, "unknown-id", said, hint)
    elif not verb and not kinds & set(mention.kinds):
        wanted = " or ".join(mention.kinds)
        said = f"{mention.by} names `{name}`, a {'/'.join(sorted(kinds))}; a {wanted} is wanted"
        hint = suggestion(name, _known(manual, page, mention)) or f"name a {wanted}, or define one"
        yield Finding(place, "wrong-kind", said, hint)


def _kinds_of(manual: Manual, page: str, name: str, mention: Mention) -> set[str]:
    """What an id may be from here: on a common page, whatever any page makes of it."""
    entity = manual.scope(page).get(name)
    kinds = {entity.KIND} if entity else set()
    wanted_heads = set(mention.kinds) & set(HEADS)
    for kind in wanted_heads:
        if manual.head(HEADS[kind], name):
            kinds.add(kind)
    if name in BUILTIN_HAZARDS:
        kinds.add("hazard")
    if "connection" in set(mention.kinds) - kinds and any(
        connection.alike == name for connection in manual.scope(page).all(Connection)
    ):
        kinds.add("connection")
    if not kinds and manual.is_common(page):
        kinds |= manual.known_ids.get(name, frozenset())
    return kinds


def _follows_from_another(manual: Manual, page: str, mention: Mention) -> bool:
    """Tell whether the id may be unknown only because of something found elsewhere.

    So it is when it was written but could not be read, when a head that the page leans on is not
    there, and when it is a head's and some page could not be read at all.
    """
    if set(mention.kinds) & set(HEADS):
        return manual.has_unread_pages or manual.is_lost(mention.target)
    near = manual.scope(page).pages
    lost = any(mention.target in manual.contents[name].lost for name in near)
    return lost or not manual.sees_all(page)


def _known(manual: Manual, page: str, mention: Mention) -> list[str]:
    """The ids of the wanted kinds that the page can see."""
    key = ("known", page, *mention.kinds)
    return manual.once(key, lambda: _all_known(manual, page, mention))


def _all_known(manual: Manual, page: str, mention: Mention) -> list[str]:
    known = [e.id for e in manual.scope(page).entities() if e.KIND in mention.kinds]
    for kind in set(mention.kinds) & set(HEADS):
        known += [head.id for head in manual.heads(HEADS[kind])]
    known += [name for name, kind in KEYWORDS.items() if kind in mention.kinds]
    return [*known, *BUILTIN_HAZARDS] if "hazard" in mention.kinds else known


def _slip(manual: Manual, page: str, mention: Mention) -> Iterator[Finding]:
    """Find a free end that is neither a part nor fixed.

    Where the vehicle does not say what is fixed, only an end that is so like a part's id that it
    must be a slip of the pen.
    """
    name, fixed = str(mention.target), _fixed(manual, page)
    if name in fixed or _follows_from_another(manual, page, mention):
        return
    known = [*_known(manual, page, mention), *sorted(fixed)]
    near = get_close_matches(name, known, n=1, cutoff=0.6 if fixed else _ALIKE)
    if near or fixed:
        said = f"{mention.by} names `{name}`, which no page in reach defines"
        meant = f"did you mean `{near[0]}`? " if near else ""
        hint = f"{meant}A fixed end goes into the vehicle's `fixed`"
        yield Finding(Place(page, mention.target.line), "unknown-id", said, hint)


def _fixed(manual: Manual, page: str) -> set[str]:
    """What the car has that never moves: ends of plugs, and what parts are on or behind."""
    return {str(end) for vehicle in manual.scope(page).all(Vehicle) for end in vehicle.fixed}


def _through_common(manual: Manual, page: str) -> Iterator[Finding]:
    """Find ids in the common steps of a procedure that its own car and kit do not have."""
    for numbered in (each for plan in plans_on(manual, page) for each in plan.steps):
        call = numbered.through
        for action in numbered.step.actions if call is not None else ():
            for mention in action_mentions(action):
                name = str(mention.target)
                known = _kinds_of(manual, page, name, mention)
                if call and not known and not _follows_from_another(manual, page, mention):
                    said = (
                        f"the common steps `{call.common}` name `{name}`,"
                        " which this car and kit do not have"
                    )
                    hint = suggestion(name, _known(manual, page, mention)) or _DEFINE
                    yield Finding(call.place, "unknown-id", said, hint, related=(action.place,))


def step_ids(manual: Manual, page: str) -> Iterator[Finding]:
    """Find two steps with one id, and derived blocks that name a step which is not there."""
    content = manual.contents[page]
    for _, steps in content.steps:
        seen: dict[str, Place] = {}
        for step in steps:
            if step.id in seen:
                yield duplicate(step.id, step.place, seen[step.id])
            elif step.id:
                seen[step.id] = step.place
    for derived in content.derived:
        after = derived.options.after
        plan = manual.plan_of_page(page, str(derived.block.argument))
        if after is None or plan is None or plan.step_number(after) is not None:
            continue
        known = [numbered.step.id for numbered in plan.steps if numbered.step.id]
        yield no_step(after, known, page)


def no_step(name: Scalar, known: list[str], page: str) -> Finding:
    """Return the finding of a step's id that no step of a procedure has."""
    said = f"no step here has the id `{name}`"
    hint = suggestion(name, known) or "give it `:id:`"
    return Finding(Place(page, name.line), "unknown-id", said, hint)


def endless_steps(manual: Manual, page: str) -> Iterator[Finding]:
    """Find common steps that lead back to themselves."""
    for head, steps in manual.contents[page].steps:
        for step in steps:
            if step.common is not None and head in _commons_behind(manual, step.common):
                said = f"the common steps `{step.common}` lead back to `{head}`"
                yield Finding(step.place, "endless-steps", said, "take one of the calls out")


def _commons_behind(manual: Manual, name: str) -> set[str]:
    """The common heads that one calls for, itself among them."""
    found: set[str] = set()
    ahead = [name]
    while ahead:
        common = manual.head(Common, ahead.pop())
        if common is None or common.id in found:
            continue
        found.add(common.id)
        steps = manual.contents[common.place.page].steps_of(common.id)
        ahead += [str(step.common) for step in steps if step.common is not None]
    return found


_HAZARD_HINT = "name it under `hazards` of a step or the procedure, or give it `called-by`"


def unused_entities(manual: Manual, page: str) -> Iterator[Finding]:
    """Find things that a procedure or kit page defines and nothing in reach mentions."""
    content = manual.contents[page]
    kinds = {entity.KIND for entity in content.entities}
    if not kinds & {"procedure", "kit"} or "vehicle" in kinds:
        return
    near = _pages_that_may_use(manual, page)
    if not _all_read(manual, near):
        return
    used = _mentioned_on(manual, near)
    for entity in content.entities:
        if entity.KIND in HEADS or entity.id in used or isinstance(entity, Rule):
            continue
        if isinstance(entity, Hazard) and entity.called_by:
            continue
        if isinstance(entity, Opening) and used & set(entity.exposed_by):
            continue
        said = f"nothing mentions the {entity.KIND} `{entity.id}`"
        hint = _HAZARD_HINT if isinstance(entity, Hazard) else "use it in a step, or take it out"
        yield Finding(entity.place, "unused-entity", said, hint)


def _pages_that_may_use(manual: Manual, page: str) -> set[str]:
    """The page itself, and the procedure pages of the kits that it holds."""
    kits = {entity.id for entity in manual.contents[page].entities if entity.KIND == "kit"}
    return {page}.union(*(manual.pages_by_kit.get(kit, frozenset()) for kit in kits))


def _all_read(manual: Manual, pages: set[str]) -> bool:
    """Tell whether all that may use things of these pages could be read.

    A kit that no procedure names may be that of one whose head could not be read.
    """
    contents = [manual.contents[page] for page in pages]
    steps = (step for content in contents for step in steps_on(content))
    if any(content.lost_heads for content in contents) or any(step.unread for step in steps):
        return False
    entities = (entity for content in contents for entity in content.entities)
    if any(isinstance(entity, Procedure) for entity in entities):
        return True
    return not manual.has_loose_procedures


def _mentioned_on(manual: Manual, pages: set[str]) -> set[str]:
    used: set[str] = set()
    for name in pages:
        content = manual.contents[name]
        used.update(str(mention.target) for mention in mentions(content))
        used.update(word for entity in content.entities for word in _in_words(entity))
        planned = (numbered.step for plan in plans_on(manual, name) for numbered in plan.steps)
        for action in (
            action for step in (*steps_on(content), *planned) for action in step.actions
        ):
            used.update(map(str, action.objects))
    return used


def _in_words(entity: Entity) -> Iterator[str]:
    """Yield the words of fields that may name a thing, or say something else."""
    if isinstance(entity, Fluid):
        yield from map(str, (*entity.drain, *entity.fill))
    if isinstance(entity, Hazard):
        yield from map(str, entity.called_by)
