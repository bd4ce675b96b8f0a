"""After the work: the last checks, and what the customer gets."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from procedures_lib.engineering.quantities import with_conversion
from procedures_lib.language.entities.car import Connection
from procedures_lib.language.entities.work import Procedure
from procedures_lib.language.variants import Condition
from procedures_lib.manual import NumberedStep
from procedures_lib.manual.scope import humanised, name_of
from procedures_lib.view.joint import joints, stages_cell, stages_text
from procedures_lib.view.table import Column, Row, Table, cell
from procedures_lib.view.uses import Uses, made_once, step_links

_LEAKS = frozenset(
    {"fuel", "fuel-vapour", "coolant", "oil", "brake-fluid", "charge-air", "vacuum", "exhaust"}
)
_NO_STEP = "no step: see to it before the car leaves"


@dataclass(frozen=True, slots=True)
class CloseUp:
    """The last look over the car: joints, tests, re-checks due."""

    tight: Table
    tests: Table
    rechecks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Handover:
    """What goes to the customer: label and text, each a line of the sheet."""

    title: str
    lines: tuple[tuple[str, str], ...]


@made_once
def close_up(uses: Uses) -> CloseUp:
    """Gather the last checks of the steps that apply."""
    rows = tuple(
        Row(
            (
                cell(name_of(fastener, uses.plan.scope), f"fastener:{fastener.id}"),
                cell(f"{fastener.count} ×"),
                stages_cell(fastener),
                step_links(use.step for use in uses.of(fastener.id, "tighten")),
            ),
            when=str(uses.condition(fastener.when, uses.of(fastener.id, "tighten"))),
        )
        for fastener in joints(uses)
    )
    columns = (Column("joint", "Joint"), Column("count", "Count"), Column("stages", "Tight at"),
               Column("steps", "Steps"))  # fmt: skip
    return CloseUp(
        Table("tight", "What must be tight", columns, rows), _tests(uses), rechecks(uses)
    )


def rechecks(uses: Uses) -> tuple[str, ...]:
    """The second looks that joints ask for, in words."""
    return tuple(
        f"{name_of(fastener, uses.plan.scope)}: {stages_text(fastener)},"
        f" after {with_conversion(fastener.recheck)}"
        for fastener in joints(uses)
        if fastener.recheck
    )


def handover(uses: Uses, gains: Iterable[tuple[str, str]] = ()) -> Handover:
    """Gather what the customer must know and get; ``gains`` are lines about dyno sessions."""
    plan = uses.plan
    lines: list[tuple[str, str]] = []
    if plan.kit:
        lines += _kit_lines(uses)
    lines += gains
    lines += [("Come back", text) for text in rechecks(uses)]
    if isinstance(plan.head, Procedure):
        lines += [("Please note", str(text)) for text in plan.head.handover]
    return Handover(plan.title, tuple(lines))


def _kit_lines(uses: Uses) -> list[tuple[str, str]]:
    kit = uses.plan.kit
    if kit is None:
        return []
    lines = [("Fitted", f"{kit.name} ({kit.id.upper()})")]
    if kit.needs.fuel:
        lines.append(("Fuel from now on", f"at least {kit.needs.fuel.canonical()}"))
    lines += [
        ("Calibration", f"{number} ({option})" if option else number)
        for option, number in kit.needs.calibration
        if _has_value(option, uses)
    ]
    if kit.emissions:
        lines.append(("Emissions", kit.emissions.text))
    returned = dict.fromkeys([str(name) for name in kit.returns] + _returned(uses))
    entities = ((name, uses.plan.scope.get(name)) for name in returned)
    names = [name_of(e, uses.plan.scope) if e else humanised(name) for name, e in entities]
    return [*lines, ("Returned to you", "; ".join(names))] if names else lines


def _has_value(value: str, uses: Uses) -> bool:
    """Tell whether some of the cars asked about has this value of its option."""
    options = [option for option, values in uses.options if value in values]
    return not options or any(
        uses.applies(Condition("test", option, (value,))) for option in options
    )


def _returned(uses: Uses) -> list[str]:
    return [name for name in uses.by_object if uses.of(name, "return")]


def _tests(uses: Uses) -> Table:
    """The tests that the steps make, and those that what was opened asks for besides."""
    found: dict[str, list[NumberedStep]] = {}
    for step in uses.steps:
        for action in step.step.actions:
            if action.verb == "test":
                found.setdefault(", ".join(action.objects), []).append(step)
    rows = [Row((cell(humanised(what)), step_links(steps))) for what, steps in found.items()]
    rows += [Row((cell(what), cell(_NO_STEP))) for what in _untested(uses, set(found))]
    columns = (Column("test", "Test"), Column("steps", "Steps"))
    return Table("tests", "Tests", columns, tuple(rows))


def _untested(uses: Uses, tests: set[str]) -> Iterator[str]:
    """Yield the circuits that were opened and that no step tests for leaks, and the road."""
    words = [test.replace("-", " ") for test in tests]
    for carried in _opened(uses):
        plain = carried.replace("-", " ")
        if not any("leak" in text and _names(text, plain) for text in words):
            yield f"Leaks {plain}"
    if uses.steps and not any(_names(text, "road") for text in words):
        yield "Road"


def _names(text: str, what: str) -> bool:
    """Tell whether a test names what it is about; fuel vapour is not fuel."""
    return re.search(rf"\b{re.escape(what)}\b(?! vapour)", text) is not None


def _opened(uses: Uses) -> list[str]:
    """Return what runs in the lines that steps disconnect, of all that can leak."""
    found: dict[str, None] = {}
    for name in uses.by_object:
        connection = uses.plan.scope.of(Connection, name)
        if connection is not None and uses.of(name, "disconnect") and connection.carries in _LEAKS:
            found[str(connection.carries)] = None
    return list(found)
