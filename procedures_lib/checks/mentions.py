"""Every mention of an id on a page, wherever it stands."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, NamedTuple

from procedures_lib.entities.references import references
from procedures_lib.entities.verbs import KEYWORDS, VERBS
from procedures_lib.reading.block_kinds import BLOCK_KINDS
from procedures_lib.reading.scalar import Scalar

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.entities.content import Content
    from procedures_lib.entities.work import Action, ExpectRow, Step
    from procedures_lib.reading.page import Block, Role

ROLE_KINDS = {
    "torque": "fastener",
    "fastener": "fastener",
    "part": "part",
    "connection": "connection",
}
_ARGUMENT_KINDS = {
    "order-drawing": "fastener",
    "gain-report": "dyno-session",
    "common-steps": "common",
}


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
            yield Mention(row.id, _kinds_of_row(row), "{expect}")
    yield from _hazards(content)


def _kinds_of_row(row: ExpectRow) -> tuple[str, ...]:
    if row.amount:
        return ("fluid",)
    only_count = not (row.stages or row.order or row.thread or row.grade)
    return ("fastener", "part", "connection") if only_count else ("fastener",)


def _hazards(content: Content) -> Iterator[Mention]:
    signals = list(content.signals)
    for _, steps in content.steps:
        for step in steps:
            signals += step.signals
            for name in step.hazards:
                yield Mention(name, ("hazard",), f"the step `{step.title}`")
    for signal in signals:
        if signal.hazard:
            line = getattr(signal.hazard, "line", signal.place.line)
            yield Mention(Scalar(signal.hazard, line), ("hazard",), f"the {signal.word.lower()}")


def _of_block(block: Block) -> Iterator[Mention]:
    about_procedure = BLOCK_KINDS[block.name].argument == "procedure id"
    kind = "procedure" if about_procedure else _ARGUMENT_KINDS.get(block.name)
    if kind and block.argument:
        yield Mention(block.argument, (kind,), f"{{{block.name}}}")


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


def own_steps(content: Content) -> Iterator[Step]:
    """Yield the steps written on the page itself."""
    for _, steps in content.steps:
        yield from (step for step in steps if step.common is None)
