"""Reading: ids that nothing defines, that two things share, that nothing uses; ids of steps."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from procedures_lib.findings import Finding, Place
from procedures_lib.judging.checks.mentions import (
    Mention,
    action_mentions,
    mentions,
    plans_on,
    steps_on,
)
from procedures_lib.language.entities.builder import HEADS
from procedures_lib.language.entities.car import Connection, Fluid, Opening, Vehicle
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.hazard import BUILTIN_HAZARDS, Hazard
from procedures_lib.language.entities.picture import Picture
from procedures_lib.language.entities.verbs import KEYWORDS
from procedures_lib.language.entities.work import Common, Procedure, Rule
from procedures_lib.language.reading.page import Scalar
from procedures_lib.manual import Manual
from procedures_lib.manual.scope import speaks_of_builtin
from procedures_lib.spelling import nearest, suggestion

_HEADS_FIRST_TO_LAST = ("vehicle", "common", "kit", "procedure", "job", "dyno-session")
_DEFINE = "define it on this page, or on the page of its kit or its car"


def duplicate_ids(manual: Manual, page: str) -> Iterator[Finding]:
    """Find two things of one id on this page, and of this page and another that it can see."""
    for entity in manual.contents[page].entities:
        head = manual.head(type(entity), entity.id) if entity.KIND in HEADS else None
        if head is not None and head.place.page not in {page, entity.place.page}:
            yield duplicate(entity.id, entity.place, head.place)
    for first, *others in _of_one_id(manual, page):
        for other in others:
            if not _may_share(first, other) and _are_seen_together(manual, page, first, other):
                yield duplicate(other.id, other.place, first.place)


def _may_share(first: Entity, other: Entity) -> bool:
    """Tell whether two of different pages may have one id, or are found by it without this."""
    apart = first.place.page != other.place.page
    about_one = speaks_of_builtin(first) and speaks_of_builtin(other)
    return apart and (about_one or (first.KIND in HEADS and first.KIND == other.KIND))


def _of_one_id(manual: Manual, page: str) -> Iterator[list[Entity]]:
    """Yield the entities that a page can see and that have one id, what comes first at the front.

    The car comes before its kit, and that before its procedure, whichever of them asks.
    """
    found: dict[str, dict[Place, Entity]] = defaultdict(dict)
    for name in manual.scope(page).pages:
        for entity in (*manual.contents[name].entities, *manual.entities_on(name).values()):
            found[entity.id].setdefault(entity.place, entity)
    for group in found.values():
        if len(group) > 1:
            yield sorted(group.values(), key=lambda each: (_rank(manual, each), each.place))


def _rank(manual: Manual, entity: Entity) -> int:
    """Return how late a page comes, by its heads."""
    kinds = {each.KIND for each in manual.contents[entity.place.page].entities}
    return max((_HEADS_FIRST_TO_LAST.index(kind) for kind in kinds & HEADS.keys()), default=0)


def _are_seen_together(manual: Manual, page: str, first: Entity, other: Entity) -> bool:
    """Tell whether one procedure can see both, or the head of this page, on which one of them is.

    A job and a dyno session see the pages of several procedures, which need not see each other.
    """
    pages = {first.place.page, other.place.page}
    heads = {entity.KIND for entity in manual.contents[page].entities}
    if pages == {page} or heads & {"procedure", "common", "kit"}:
        return True
    return page in pages and bool(heads & {"job", "dyno-session"})


def duplicate(name: str, place: Place, other: Place) -> Finding:
    """Return the finding of an id that something else has already."""
    said = f"`{name}` is already the id of something at {other}"
    hint = "give one of the two another id: one procedure can see both"
    return Finding(place, "duplicate-id", said, hint, related=(other,))


def unknown_ids(manual: Manual, page: str) -> Iterator[Finding]:
    """Find mentions of ids that nothing in reach defines, or that are of another kind."""
    content, scope = manual.contents[page], manual.scope(page)
    for mention in mentions(content):
        if not scope.kinds(mention.target) & set(mention.kinds):
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
    kinds = set(manual.scope(page).kinds(name))
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

    Where the vehicle does not say what is fixed, only an end that is the misspelt id of a part.
    """
    name, fixed = str(mention.target), _fixed(manual, page)
    if name in fixed or _follows_from_another(manual, page, mention):
        return
    known = [*_known(manual, page, mention), *sorted(fixed)]
    near = nearest(name, known)
    if near or fixed:
        said = f"{mention.by} names `{name}`, which no page in reach defines"
        meant = f"did you mean `{near}`? " if near else ""
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
        if entity.KIND in HEADS or entity.id in used or isinstance(entity, Rule | Picture):
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
