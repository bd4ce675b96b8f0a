"""A step as a value for JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from procedures_lib.exports.quantity_value import quantity_value
from procedures_lib.exports.spacing import spaced
from procedures_lib.manual.names import name_of
from procedures_lib.tables.hazards import hazards_of_step
from procedures_lib.tables.prose import prose
from procedures_lib.variants import ALWAYS

if TYPE_CHECKING:
    from procedures_lib.entities.work import Action
    from procedures_lib.manual import NumberedStep
    from procedures_lib.tables.uses import Uses


def step_value(numbered: NumberedStep, uses: Uses) -> dict[str, Any]:
    """Return a step: ``common`` is the page of common steps that it comes from, "" for its own."""
    step = numbered.step
    return {
        "number": numbered.number,
        "id": step.id,
        "title": step.title,
        "when": str(numbered.when),
        "common": str(numbered.through.common) if numbered.through else "",
        "actions": [_action(action, uses) for action in step.actions],
        "time": quantity_value(step.time),
        "people": step.people,
        "tools": list(step.tools),
        "supplies": list(step.supplies),
        "hazards": [str(name) for name in hazards_of_step(numbered, uses.plan)],
        "signals": [
            {
                "word": signal.word,
                "title": signal.title,
                "hazard": str(signal.hazard),
                "text": [spaced(text) for text in prose(signal.text, uses)],
            }
            for signal in step.signals
        ],
        "prose": [spaced(text) for text in prose(step.block.body, uses)],
    }


def _action(action: Action, uses: Uses) -> dict[str, Any]:
    return {
        "verb": str(action.verb),
        "objects": [_object(str(name), uses) for name in action.objects],
        "on": str(action.on or ""),
        "stage": action.stage or None,
    }


def _object(name: str, uses: Uses) -> dict[str, Any]:
    """What an action works on; ``kind`` is "" for words that name no thing of the manual."""
    entity = uses.plan.scope.get(name)
    if entity is None:
        return {"id": "", "kind": "", "name": name, "count": None, "when": ""}
    count = getattr(entity, "count", None)
    return {
        "id": entity.id,
        "kind": entity.KIND,
        "name": name_of(entity, uses.plan.scope),
        "count": count if isinstance(count, int) else None,
        "when": str(getattr(entity, "when", ALWAYS)),
    }
