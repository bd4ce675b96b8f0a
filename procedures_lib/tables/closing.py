"""After the work: the last checks, and what the customer gets."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from procedures_lib.entities.work import Procedure
from procedures_lib.manual.names import humanised, name_of
from procedures_lib.quantities import with_conversion
from procedures_lib.tables.table import Column, Row, Table, cell
from procedures_lib.tables.torque import joints, stages_text
from procedures_lib.tables.uses import step_links

if TYPE_CHECKING:
    from procedures_lib.manual import NumberedStep
    from procedures_lib.tables.uses import Uses


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


def close_up(uses: Uses) -> CloseUp:
    """Gather the last checks of the steps that apply."""
    rows = tuple(
        Row(
            (
                cell(name_of(fastener, uses.plan.scope), f"fastener:{fastener.id}"),
                cell(f"{fastener.count} ×"),
                cell(stages_text(fastener)),
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


def handover(uses: Uses) -> Handover:
    """Gather what the customer must know and get."""
    plan = uses.plan
    lines: list[tuple[str, str]] = []
    if plan.kit:
        lines += _kit_lines(uses)
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
    ]
    if kit.emissions:
        label = kit.emissions
        lines.append(("Emissions", f"{label.label}{f'; {label.note}' if label.note else ''}"))
    returned = dict.fromkeys([str(name) for name in kit.returns] + _returned(uses))
    entities = ((name, uses.plan.scope.get(name)) for name in returned)
    names = [name_of(e, uses.plan.scope) if e else humanised(name) for name, e in entities]
    return [*lines, ("Returned to you", "; ".join(names))] if names else lines


def _returned(uses: Uses) -> list[str]:
    return [name for name in uses.by_object if uses.of(name, "return")]


def _tests(uses: Uses) -> Table:
    found: dict[str, list[NumberedStep]] = {}
    for step in uses.steps:
        for action in step.step.actions:
            if action.verb == "test":
                found.setdefault(", ".join(action.objects), []).append(step)
    rows = tuple(Row((cell(humanised(what)), step_links(steps))) for what, steps in found.items())
    return Table("tests", "Tests", (Column("test", "Test"), Column("steps", "Steps")), rows)
