"""A visit as a table, and the way back from a step in a technician's words."""

from __future__ import annotations

from collections.abc import Mapping

from procedures_lib.engineering.quantities import NO_BREAK_SPACE
from procedures_lib.language.entities.car import Fastener
from procedures_lib.language.variants import Condition
from procedures_lib.language.variants.car_sets import Options, possible
from procedures_lib.manual import Plan, Scope
from procedures_lib.manual.scope import humanised, name_of
from procedures_lib.view.joint import order_text, stages_text
from procedures_lib.view.table import Cell, Column, Row, Table, cell, joined
from procedures_lib.walk.moves import Move
from procedures_lib.walk.visit import Visit, Visited
from procedures_lib.walk.way_back import BackOut

_COLUMNS = (
    Column("number", "Step"),
    Column("title", "Work"),
    Column("from", "Written at"),
    Column("time", "Time"),
    Column("shared", "Shared"),
)


def visit_table(visit: Visit, titles: Mapping[str, str]) -> Table:
    """Return the steps of a visit; ``titles`` are those of its procedures, by id."""
    rows = tuple(_row(each, titles) for each in visit.steps)
    return Table("visit", "One order for the visit", _COLUMNS, rows)


def _row(visited: Visited, titles: Mapping[str, str]) -> Row:
    step = visited.step.step
    number = str(visited.step.number)
    time = step.time.canonical() if step.time else ""
    shared = f"once for {len(visited.at)} procedures" if visited.shared else ""
    cells = (
        cell(number),
        cell(step.title),
        joined(_written_at(name, at, titles) for name, at in visited.at),
        cell(time),
        cell(shared),
    )
    return Row(cells, f"visit:{number}", str(visited.step.when))


def _written_at(name: str, number: int, titles: Mapping[str, str]) -> Cell:
    text = f"{titles.get(name, name)}, step{NO_BREAK_SPACE}{number}"
    return cell(text, f"step of {name}:{number}")


def way_lines(way: BackOut, plan: Plan) -> list[str]:
    """Return the way as lines: moves in order, or the steps that finish the job.

    Empty when the car can leave as it stands.
    """
    if way.why:
        titles = {numbered.number: numbered.step.title for numbered in plan.steps}
        rest = [f"Do step {number}: {titles[number]}" for number in way.steps]
        return [f"There is no way back: {way.why}. Finish the job.", *rest]
    return [move_text(move, plan.scope) for move in way.moves]


def move_text(move: Move, scope: Scope) -> str:
    """Return one move: "Tighten undertray screws: 10 N·m (89 lbf·in), in the order …"."""
    entity = scope.get(move.thing)
    name = name_of(entity, scope) if entity else humanised(move.thing).lower()
    count = getattr(entity, "count", 1)
    text = f"{move.verb.capitalize()} {f'{count} × ' if count > 1 else ''}{name}"
    if isinstance(entity, Fastener) and move.verb == "tighten" and entity.tighten:
        order = order_text(entity)
        text += f": {stages_text(entity)}{f', in the order {order}' if order else ''}"
    return f"{text}; get a new one" if move.new else text


def car_of(when: Condition, options: Options) -> Mapping[str, str]:
    """Return the first car that meets an expression: the first value of each option that can be."""
    car = {}
    for option, values in options:
        for value in values:
            narrowed = when & Condition("test", option, (value,))
            if possible(narrowed, options):
                when, car[option] = narrowed, value
                break
    return car
