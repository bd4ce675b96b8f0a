"""What stands on a page: things, plans, every mention of an id; which pages a change touches."""

from __future__ import annotations

import posixpath
from collections.abc import Iterable, Iterator
from functools import cache
from typing import NamedTuple, TypeVar

from procedures_lib.language.entities.builder import HEADS
from procedures_lib.language.entities.dyno_session import DynoSession
from procedures_lib.language.entities.entity import Entity, references
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.picture import Picture
from procedures_lib.language.entities.printed import STEP, THINGS
from procedures_lib.language.entities.verbs import KEYWORDS, VERBS
from procedures_lib.language.entities.work import (
    Action,
    Common,
    Content,
    Job,
    Procedure,
    Step,
)
from procedures_lib.language.reading.block_kinds import BLOCK_KINDS
from procedures_lib.language.reading.page import Block, Role, Scalar
from procedures_lib.manual import Manual, Plan
from procedures_lib.manual.folder import DataFileError

ROLE_KINDS = {
    "torque": "fastener",
    "fastener": "fastener",
    "part": "part",
    "connection": "connection",
    "rule": "rule",
}
_ARGUMENT_KINDS = {
    "order-drawing": "fastener",
    "picture": "picture",
    "gain-report": "dyno-session",
    "common-steps": "common",
}


E = TypeVar("E", bound=Entity)


def things(manual: Manual, page: str, kind: type[E]) -> list[E]:
    """Return the things of one kind that a page defines, those of packing lists too."""
    return [each for each in manual.entities_on(page).values() if isinstance(each, kind)]


def whole_things(manual: Manual, page: str, kind: type[E]) -> Iterator[E]:
    """Yield the things of one kind in a page's blocks that could be read whole."""
    for entity in manual.contents[page].entities:
        if isinstance(entity, kind) and not manual.is_damaged(entity):
            yield entity


def plans_on(manual: Manual, page: str) -> Iterator[Plan]:
    """Yield the plan of each procedure on a page."""
    for procedure in things(manual, page, Procedure):
        yield manual.plan(procedure)


def every_plan_on(manual: Manual, page: str) -> Iterator[Plan]:
    """Yield the plan of each procedure on a page, then of each of its common steps."""
    yield from plans_on(manual, page)
    yield from map(manual.plan, things(manual, page, Common))


class Mention(NamedTuple):
    """An id as it stands on a page: ``kinds`` is what it may be, ``by`` what mentions it."""

    target: Scalar
    kinds: tuple[str, ...]
    by: str
    loose: bool = False
    holder: bool = False


def mentions(content: Content) -> Iterator[Mention]:
    """Yield every mention of an id on the page, but for the actions of its steps."""
    for entity in content.entities:
        for ref in references(entity):
            by = f"`{ref.field}` of `{entity.id}`"
            yield Mention(ref.target, ref.kinds, by, ref.loose, ref.kinds[0] == "part")
    for block in content.page.walk():
        yield from _of_block(block)
    for role in roles_of(content):
        if role.name in ROLE_KINDS:
            yield Mention(role.target, (ROLE_KINDS[role.name],), f"{{{role.name}}}")
    for expect in content.expects:
        for row in expect.rows:
            if STEP not in row.kinds:  # a step's id is no id of a thing
                of_head = not HEADS.keys().isdisjoint(row.kinds)
                yield Mention(row.id, row.kinds if of_head else THINGS, "{expect}")
    yield from _hazards(content)


def _hazards(content: Content) -> Iterator[Mention]:
    signals = list(content.signals)
    for step in steps_on(content):
        signals += step.signals
        for name in step.hazards:
            yield Mention(name, ("hazard",), f"the step `{step.title}`")
    for signal in signals:
        if signal.hazard:
            line = getattr(signal.hazard, "line", signal.place.line)
            yield Mention(Scalar(signal.hazard, line), ("hazard",), f"the {signal.word.lower()}")


def _of_block(block: Block) -> Iterator[Mention]:
    kind = kind_of_argument(block.name)
    defines = block.name == "picture" and (block.data is not None or not block.readable)
    if kind and block.argument and not defines:
        yield Mention(block.argument, (kind,), f"{{{block.name}}}")


def kind_of_argument(block: str) -> str:
    """Return what the argument of a block names: the kind of an entity, "" for none."""
    if BLOCK_KINDS[block].argument == "procedure id":
        return "procedure"
    return _ARGUMENT_KINDS.get(block, "")


def roles_of(content: Content) -> Iterator[Role]:
    """Yield every role on the page, in the order of blocks."""
    yield from content.page.roles
    for block in content.page.walk():
        yield from block.roles


def action_mentions(action: Action) -> Iterator[Mention]:
    """Yield the ids that an action names; none for verbs that take anything."""
    by, kinds = f"`{action}`", _sorted(VERBS[str(action.verb)].kinds)
    for name in ids_in(action):
        yield Mention(name, kinds, by)
    if action.on is not None:
        yield Mention(action.on, ("part",), by)


def ids_in(action: Action) -> Iterator[Scalar]:
    """Yield the objects that are ids; a word that the verb takes stands for itself."""
    kinds = VERBS[str(action.verb)].kinds
    for name in action.objects if kinds else ():
        if KEYWORDS.get(name) not in kinds:
            yield name


@cache
def _sorted(kinds: frozenset[str]) -> tuple[str, ...]:
    return tuple(sorted(kinds))


def steps_on(content: Content) -> Iterator[Step]:
    """Yield the steps on a page, and its calls of common steps."""
    for _, steps in content.steps:
        yield from steps


def touched(old: Manual, new: Manual, changed: Iterable[str]) -> frozenset[str]:
    """Return the pages of ``new`` whose findings can differ from those in ``old``.

    ``changed`` are the pages and data files that differ, by their path in the manual's folder:
    pages that were added or have gone are among them. The shop is taken to be the same.
    """
    if _asked_by_all(old) != _asked_by_all(new):
        return frozenset(new.contents)
    moved = {name for (_, name), _ in _heads(old).items() ^ _heads(new).items()}
    files = frozenset(changed)
    found: set[str] = set(files)
    for manual in (old, new):
        for page in manual.contents:
            if _asks_for_any(manual, page, moved) or files & leans_on(manual, page):
                found.add(page)
    if _common_words(old) != _common_words(new):
        found.update(old.common_pages, new.common_pages)
    return frozenset(found & new.contents.keys())


def _asked_by_all(manual: Manual) -> tuple[object, ...]:
    """What the checks of every page ask about: what could not be read, and heads of one id."""
    lost = frozenset(head for content in manual.contents.values() for head in content.lost_heads)
    return manual.has_unread_pages, manual.has_loose_procedures, lost, manual.twice


def _heads(manual: Manual) -> dict[tuple[str, str], str]:
    """Every head by kind and id, with the page it stands on."""
    return {
        (kind, head.id): head.place.page for kind in HEADS for head in manual.heads(HEADS[kind])
    }


def _common_words(manual: Manual) -> object:
    """What the words of a common page may mean: every id of the manual."""
    return manual.known_ids if manual.common_pages else None


def leans_on(manual: Manual, page: str) -> set[str]:
    """Return the pages and data files that the findings of a page depend on, itself among them."""
    found = {page, *manual.scope(page).pages, *_files_of(manual, page)}
    for other in _procedures_of(manual, page):
        found.update(manual.scope(other).pages)
    return found


def _procedures_of(manual: Manual, page: str) -> Iterator[str]:
    """Yield the pages of procedures that a page has to do with, beside those it can see."""
    content = manual.contents[page]
    for entity in content.entities:
        if isinstance(entity, Kit):
            yield from manual.pages_by_kit.get(entity.id, ())
        elif isinstance(entity, Procedure):
            yield from _begun_by(manual, entity)
        elif isinstance(entity, Job):
            for procedure in (manual.head(Procedure, str(name)) for name in entity.procedures):
                yield from _begun_by(manual, procedure) if procedure else ()
    for derived in content.derived:
        procedure = manual.head(Procedure, str(derived.block.argument))
        if procedure is not None:
            yield procedure.place.page


def _begun_by(manual: Manual, procedure: Procedure) -> Iterator[str]:
    for word in (*procedure.begins_with, *procedure.ends_with):
        for kind in (Common, Procedure):
            head = manual.head(kind, word.strip())
            if head is not None:
                yield head.place.page


def _asks_for_any(manual: Manual, page: str, moved: set[str]) -> bool:
    """Tell whether a page names or has one of these heads, or one that is not there."""
    if not moved:
        return False
    content = manual.contents[page]
    if any(entity.id in moved for entity in content.entities):
        return True
    return any(name in moved or not known for name, known in _heads_named(manual, content))


def _heads_named(manual: Manual, content: Content) -> Iterator[tuple[str, bool]]:
    """Yield the ids of heads that a page names, each with whether there is such a head.

    A word of `begins-with` may be meant for any head: it counts as one that is not there.
    """
    for mention in mentions(content):
        for kind in set(mention.kinds) & HEADS.keys():
            name = str(mention.target)
            yield name, manual.head(HEADS[kind], name) is not None
    for entity in content.entities:
        if isinstance(entity, Procedure):
            words = (*entity.begins_with, *entity.ends_with)
            yield from ((word.strip(), False) for word in words)


def _files_of(manual: Manual, page: str) -> set[str]:
    """The pictures and data files that a page names, by their path in the manual's folder."""
    files = manual.files
    found = set()
    for entity in manual.contents[page].entities:
        if isinstance(entity, Picture):
            found.add(posixpath.normpath(posixpath.join(posixpath.dirname(page), entity.file)))
        if files is None or not isinstance(entity, DynoSession):
            continue
        for each in (*entity.before, *entity.after):
            try:
                found.add(files.page_of(page, each.pull))
            except (DataFileError, OSError):
                found.add(f"{page.rpartition('/')[0]}/{each.pull}".lstrip("/"))
    return found
