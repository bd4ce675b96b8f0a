"""The actions of a step in words: what is done to which thing, to which torque, on which cars."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from procedures_lib.entities.car import Connection, Fastener
from procedures_lib.manual.names import humanised, name_of
from procedures_lib.tables.torque import stages_text
from procedures_lib.variants import ALWAYS

if TYPE_CHECKING:
    from procedures_lib.entities.work import Action
    from procedures_lib.manual import NumberedStep
    from procedures_lib.tables.cars import Cars
    from procedures_lib.tables.uses import Uses

TURNING = {
    "loosen": "undo clockwise",
    "remove": "undo clockwise",
    "start": "turn anticlockwise",
    "tighten": "turn anticlockwise",
}
"""Which way a left-hand thread turns."""

OPENS = frozenset({"disconnect", "connect", "remove", "loosen", "start", "fit", "tag"})
"""The verbs at which the note of a connection is told."""


@dataclass(frozen=True, slots=True)
class Doing:
    """One object of an action, in words.

    ``name`` has its count and what must be known of it; ``torque`` its stages, where it is
    tightened; ``only`` for which of the step's cars it is ("" for all); ``id`` is what it is.
    """

    verb: str
    id: str
    name: str
    torque: str = ""
    only: str = ""

    @property
    def text(self) -> str:
        """All of it in one line."""
        torque = f": {self.torque}" if self.torque else ""
        only = f" (only: {self.only})" if self.only else ""
        return f"{self.verb} {self.name}{torque}{only}"


def doings(numbered: NumberedStep, uses: Uses, cars: Cars) -> tuple[Doing, ...]:
    """Return what a step does, thing by thing, without what none of the cars asked about has."""
    found = []
    for action in numbered.step.actions:
        for name in map(str, action.objects):
            when = getattr(uses.plan.scope.get(name), "when", ALWAYS)
            if uses.applies(when & numbered.when):
                only = cars.only(when, numbered.when)
                found.append(_doing(action, name, only, uses))
    return tuple(found)


def _doing(action: Action, name: str, only: str, uses: Uses) -> Doing:
    verb, scope = str(action.verb), uses.plan.scope
    entity = scope.get(name)
    text = name_of(entity, scope) if entity else humanised(name).lower()
    count = getattr(entity, "count", 1)
    if isinstance(count, int) and count > 1:
        text = f"{count} × {text}"
    torque = ""
    if isinstance(entity, Fastener):
        if entity.turns == "left" and verb in TURNING:
            text += f" (left-hand thread: {TURNING[verb]})"
        torque = stages_said(entity, action.stage) if verb == "tighten" else ""
    if isinstance(entity, Connection) and entity.note and verb in OPENS:
        text += f" ({entity.note})"
    if action.on:
        parent = scope.get(action.on)
        text += f" on {name_of(parent, scope) if parent else action.on}"
    return Doing(verb.capitalize(), name, text, torque, only)


def stages_said(fastener: Fastener, stage: int) -> str:
    """The stages of a joint in one line, or the one named: "stage 2: 25 N·m (18 lbf·ft)"."""
    if 0 < stage <= len(fastener.tighten):
        return f"stage {stage}: {fastener.tighten[stage - 1].shown()}"
    return stages_text(fastener)
