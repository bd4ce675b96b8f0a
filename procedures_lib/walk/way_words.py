"""The way back from a step in a technician's words: each move with its name and its torque."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.entities.car import Fastener
from procedures_lib.manual.names import humanised, name_of
from procedures_lib.tables.orders import order_text
from procedures_lib.tables.torque import stages_text
from procedures_lib.variants import Condition
from procedures_lib.variants.space import possible

if TYPE_CHECKING:
    from collections.abc import Mapping

    from procedures_lib.manual import Plan, Scope
    from procedures_lib.variants.space import Options
    from procedures_lib.walk.backing_out import BackOut
    from procedures_lib.walk.pending import Move


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
