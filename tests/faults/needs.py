"""Faults in what a step needs: tools, supplies, people, time."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.faults.kinds import Fault, Severity, kind
from tests.faults.source import Edit
from tests.faults.steps import WORK, name_of
from tests.faults.words import OTHER_UNITS, slips

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.language.entities.work import Step
    from tests.faults.demo import Demo
    from tests.faults.kinds import Seeder
    from tests.faults.source import Source
    from tests.faults.spots import Spot


def _steps(demo: Demo, key: str) -> Iterator[tuple[Source, Step, Spot]]:
    for source in demo.pages(*WORK):
        for step in source.steps:
            whole = source.spots(step.block)
            if whole.get(key):
                yield source, step, whole


def _dropping(key: str) -> Seeder:
    def seed(demo: Demo) -> Iterator[Fault]:
        for source, step, whole in _steps(demo, key):
            parts = whole.texts(key)
            for n, spot in enumerate(parts):
                what = f"{name_of(step)}: drop `{spot.value}`"
                edit = source.without(whole, key, n)
                yield Fault(source.name, what, (edit,), (spot.value,))
            kept = parts[: len(parts) // 2]
            if kept:
                what = f"{name_of(step)}: {key} end after `{kept[-1].value}`"
                lost = tuple(part.value for part in parts[len(kept) :])
                yield Fault(source.name, what, (Edit(kept[-1].end, parts[-1].end),), lost)

    return seed


kind("drop a tool or half of them", Severity.WASTES)(_dropping("tools"))
kind("drop a supply or half of them", Severity.WASTES)(_dropping("supplies"))


@kind("too few people")
def alone(demo: Demo) -> Iterator[Fault]:
    """Leave out that two are needed."""
    for source, step, whole in _steps(demo, "people"):
        what = f"{name_of(step)}: one person"
        things = tuple(str(name) for action in step.actions for name in action.objects)
        yield Fault(source.name, what, (source.without(whole, "people"),), things)


@kind("wrong time", Severity.WASTES, rises=False)
def other_time(demo: Demo) -> Iterator[Fault]:
    """Leave the time out, mistype it, write another unit."""
    for source, step, whole in _steps(demo, "time"):
        spot = whole.texts("time")[0]
        edit = source.without(whole, "time")
        yield Fault(source.name, f"{name_of(step)}: no time", (edit,))
        number, _, unit = spot.value.partition(" ")
        for new in (*slips(spot.value), f"{number} {OTHER_UNITS.get(unit, 'h')}"):
            what = f"{name_of(step)}: time {new} for {spot.value}"
            yield Fault(source.name, what, (Edit(spot.start, spot.end, new),))


@kind("another tool in the prose than in the list", Severity.WASTES, rises=False)
def other_tool(demo: Demo) -> Iterator[Fault]:
    """Change the name of a tool in the list, and not in the prose."""
    for source in demo.pages(*WORK):
        for block in source.blocks.values():
            for role in block.roles:
                if role.name == "tool":
                    old = f"{{tool}}`{role.target}`"
                    at = source.text.index(old, source.rows(role.target.line, role.target.line)[0])
                    edit = Edit(at, at + len(old), "{tool}`long bar`")
                    what = f"{block.argument}: {{tool}} of a long bar for {role.target}"
                    yield Fault(source.name, what, (edit,), (str(role.target),))
