"""Faults in ids: one that is spelled otherwise than everywhere else."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.judging.checks.mentions import action_mentions, mentions
from procedures_lib.language.entities.entity import references
from tests.faults.kinds import Fault, kind
from tests.faults.source import Edit, Source
from tests.faults.steps import WORK, name_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tests.faults.demo import Demo

UNNAMED = "nothing names it"
ROLES = frozenset({"torque", "fastener", "part", "connection", "step"})


def misspelt(name: str) -> str:
    """An id with a slip of the pen: its last two letters the other way round, or one more."""
    swapped = f"{name[:-2]}{name[-1]}{name[-2]}"
    return f"{name}s" if swapped == name or "-" in name[-2:] else swapped


@kind("misspell an id where it is defined")
def definition(demo: Demo) -> Iterator[Fault]:
    """Define a thing under another id."""
    named = _named(demo)
    for source in demo.sources.values():
        for entity in source.content.entities:
            new, line = misspelt(entity.id), source.rows(entity.place.line, entity.place.line)
            key = source.key_of(entity)
            at = key.start if key else source.text.rindex(entity.id, *line)
            reason = "" if entity.id in named else UNNAMED
            what = f"define the {entity.KIND} {new} for {entity.id}"
            yield Fault(source.name, what, (Edit(at, at + len(entity.id), new),), reason)


def _named(demo: Demo) -> set[str]:
    """Every id that stands anywhere but where it is defined."""
    contents = demo.manual.contents.values()
    named = {str(mention.target) for content in contents for mention in mentions(content)}
    return named | {str(name) for _, action in demo.actions for name in action.objects}


@kind("misspell an id in a field")
def in_field(demo: Demo) -> Iterator[Fault]:
    """Name a thing wrongly in a field of another."""
    for source in demo.sources.values():
        for entity in source.content.entities:
            named = {str(ref.target) for ref in references(entity)}
            for spot in source.spot_of(entity).scalars():
                if spot.value in named:
                    what = f"{entity.id}: {misspelt(spot.value)} for {spot.value}"
                    edit = Edit(spot.start, spot.end, misspelt(spot.value))
                    yield Fault(source.name, what, (edit,))


@kind("misspell an id in an action")
def in_action(demo: Demo) -> Iterator[Fault]:
    """Name a thing wrongly in one action."""
    for source in demo.pages(*WORK):
        for step in source.steps:
            spots = source.spots(step.block).texts("do")
            for action, spot in zip(step.actions, spots, strict=True):
                for mention in action_mentions(action):
                    name = str(mention.target)
                    at = source.text.rindex(name, spot.start, spot.end)
                    what = f"{name_of(step)}: {misspelt(name)} for {name} in `{action}`"
                    yield Fault(source.name, what, (Edit(at, at + len(name), misspelt(name)),))


@kind("misspell an id in the prose")
def in_prose(demo: Demo) -> Iterator[Fault]:
    """Name a thing wrongly in one role."""
    for source in demo.pages(*WORK):
        for block in source.blocks.values():
            for role in block.roles:
                if role.name in ROLES:
                    yield _in_line(source, role.target.line, role.name, str(role.target))


def _in_line(source: Source, line: int, role: str, name: str) -> Fault:
    written = f"{{{role}}}`{name}`"
    at = source.text.index(written, source.rows(line, line)[0])
    edit = Edit(at, at + len(written), f"{{{role}}}`{misspelt(name)}`")
    return Fault(source.name, f"{{{role}}} of {misspelt(name)} for {name}", (edit,))


@kind("misspell the id of a call, a drawing or a row of double entry")
def in_argument(demo: Demo) -> Iterator[Fault]:
    """Name a thing wrongly after the name of a block, or in double entry."""
    for source in demo.sources.values():
        for block in source.blocks.values():
            if block.name in {"common-steps", "order-drawing"}:
                name, line = str(block.argument), block.place.line
                at = source.text.index(name, source.text.index("}", source.rows(line, line)[0]))
                what = f"{block.name} {misspelt(name)} for {name}"
                yield Fault(source.name, what, (Edit(at, at + len(name), misspelt(name)),))
            elif block.name == "expect":
                for key, _ in source.spots(block).entries:
                    what = f"expect {misspelt(key.value)} for {key.value}"
                    edit = Edit(key.start, key.end, misspelt(key.value))
                    yield Fault(source.name, what, (edit,))
