"""Values of views for JSON: one form for a quantity, a stage, a joint, a part, a step each."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from typing import Any

from procedures_lib.engineering.quantities import Quantity
from procedures_lib.engineering.tightening import Stage, StageKind
from procedures_lib.fronts.formats.table_text import spaced
from procedures_lib.fronts.tables.picture_words import picture_alternative
from procedures_lib.fronts.tables.plain_words import prose
from procedures_lib.fronts.tables.procedure_tables import NO_STEP, item_note
from procedures_lib.fronts.tables.words import hardware_text
from procedures_lib.judging.checks.publishing import path_from
from procedures_lib.language.entities.car import Fastener
from procedures_lib.manual.shop import Shop
from procedures_lib.view.closing import FinalTest
from procedures_lib.view.joint import JointView, joint_tools, joints, order_of, order_of_stage
from procedures_lib.view.picture import PictureView, pictures_of
from procedures_lib.view.preparation import PartView, ToolView, parts, tools
from procedures_lib.view.step import ActionView, StepView, Thing
from procedures_lib.view.uses import Uses


def quantity_value(quantity: Quantity | None) -> dict[str, Any] | None:
    """Return ``{text, unit, value, low, high}``; None for no quantity.

    The numbers are in ``unit``, exact: ``value`` is the one named, None for a range; ``low`` and
    ``high`` are the ends of a tolerance or range, alike for a plain number.
    """
    if quantity is None:
        return None
    return {
        "text": spaced(quantity.tidy),
        "unit": quantity.unit,
        "value": None if quantity.value is None else exact_number(quantity.value),
        "low": exact_number(quantity.low),
        "high": exact_number(quantity.high),
    }


def exact_number(value: Fraction) -> int | float | str:
    """Return a number that JSON writes exactly; one that no decimal is (1/3) as "1/3"."""
    if value.denominator == 1:
        return value.numerator
    near = float(value)
    return near if Fraction(repr(near)) == value else f"{value.numerator}/{value.denominator}"


def table_values(name: str, uses: Uses, shop: Shop) -> list[dict[str, Any]]:
    """Return the rows of a table by its name: joints, parts or tools; KeyError for any other."""
    makers = {
        "torque": lambda: joint_values(uses, shop),
        "parts": lambda: part_values(parts(uses)),
        "tools": lambda: tool_values(tools(uses, shop)),
    }
    return makers[name]()


def joint_values(uses: Uses, shop: Shop) -> list[dict[str, Any]]:
    """Return the joints that the steps tighten, in the order of their first step."""
    return [_joint(joint, shop) for joint in joints(uses)]


def _joint(joint: JointView, shop: Shop) -> dict[str, Any]:
    fastener = joint.fastener
    return {
        "id": fastener.id,
        "name": joint.name,
        "kind": fastener.kind,
        "count": fastener.count,
        "thread": fastener.thread.written if fastener.thread else "",
        "turns": fastener.turns,
        "class": fastener.class_,
        "head": fastener.head,
        "condition": fastener.condition or "",
        "when": str(joint.when),
        "at_ride_height": fastener.at == "ride-height",
        "adapter": quantity_value(fastener.adapter),
        "hardware": hardware_text(joint),
        "tools": list(dict.fromkeys(spaced(t.name) for t in joint_tools(fastener, shop))),
        "stages": [_stage(stage, fastener) for stage in fastener.tighten],
        "order": list(order_of(fastener)),
        "positions": [{"name": name, "x_mm": x, "y_mm": y} for name, (x, y) in fastener.positions],
        "front": fastener.front or "",
        "recheck": quantity_value(fastener.recheck),
        "source": fastener.source,
        "steps": list(joint.steps),
    }


def _stage(stage: Stage, fastener: Fastener) -> dict[str, Any]:
    return {**stage_value(stage), "order": list(order_of_stage(fastener, stage))}


def stage_value(stage: Stage) -> dict[str, Any]:
    """Return a stage: ``amount`` as its page has it; ``N_m``, ``degrees``, ``mm`` None if not so.

    The ends of ``N_m`` and of a stretch in ``mm`` are converted exactly and not rounded;
    ``degrees`` is negative for backing off. ``share`` is that of the joint's last torque, 0.5 for
    ``50 %``; ``words`` are a criterion, or where the source gives the number; ``only`` are the
    positions that it is for, none for all.
    """
    return {
        "kind": str(stage.kind),
        "text": spaced(stage.written()),
        "amount": quantity_value(stage.amount),
        "N_m": _newton_metres(stage),
        "degrees": stage.degrees,
        "mm": _millimetres(stage),
        "share": None if stage.share is None else float(stage.share),
        "words": stage.words,
        "only": list(stage.only),
        "fully": stage.kind is StageKind.BACK_OFF and stage.amount is None,
    }


def _newton_metres(stage: Stage) -> dict[str, float] | None:
    return None if stage.torque is None else _ends(stage.torque, "N·m")


def _millimetres(stage: Stage) -> dict[str, float] | None:
    is_stretch = stage.kind is StageKind.STRETCH and stage.amount is not None
    return _ends(stage.amount, "mm") if is_stretch and stage.amount else None


def _ends(amount: Quantity, unit: str) -> dict[str, float]:
    low, high = amount.exact(unit)
    return {"low": float(low), "high": float(high)}


def part_values(listed: Iterable[PartView]) -> list[dict[str, Any]]:
    """Return parts: ``count`` None of what is not counted, then ``amount`` says how much."""
    return [
        {
            "name": spaced(part.thing.name),
            "what": str(part.fate),
            "number": spaced(part.number),
            "count": part.count,
            "note": spaced(item_note(part.item).text) if part.item else "",
            "steps": list(part.steps),
            "when": str(part.when),
            "amount": spaced(part.amount.tidy) if part.amount else "",
        }
        for part in listed
    ]


def tool_values(listed: Iterable[ToolView]) -> list[dict[str, Any]]:
    """Return tools; ``use`` names the joints that each is for."""
    return [
        {
            "tool": spaced(tool.name),
            "use": ", ".join(spaced(name) for _, name in tool.joints),
            "steps": list(tool.steps),
            "when": str(tool.when),
            "note": "",
        }
        for tool in listed
    ]


def values_of_tests(listed: Iterable[FinalTest]) -> list[dict[str, Any]]:
    """Return tests; ``note`` says what to do about one that no step makes."""
    return [
        {
            "test": spaced(test.what),
            "steps": list(test.steps),
            "when": "",
            "note": "" if test.steps else NO_STEP,
        }
        for test in listed
    ]


def step_value(view: StepView, uses: Uses) -> dict[str, Any]:
    """Return a step: ``common`` is the page of common steps that it comes from, "" for its own."""
    step = view.step
    return {
        "number": view.number,
        "id": step.id,
        "title": step.title,
        "when": str(view.when),
        "common": view.common,
        "actions": [_action(action) for action in view.actions],
        "time": quantity_value(step.time),
        "people": step.people,
        "tools": list(view.tools),
        "protection": list(view.protection),
        "supplies": list(step.supplies),
        "hazards": list(view.hazards),
        "rules": [rule.id for rule in view.rules],
        "signals": [
            {
                "word": signal.word,
                "title": signal.title,
                "hazard": str(signal.hazard),
                "when": str(signal.when),
                "text": [spaced(text) for text in prose(signal.text, uses)],
            }
            for signal in view.signals
            if uses.applies(signal.when)
        ],
        "prose": [spaced(text) for text in prose(step.block.body, uses)],
        "pictures": [_picture(each) for each in pictures_of(view, uses)],
    }


def _picture(view: PictureView) -> dict[str, Any]:
    """A picture with the points of what it shows, in pixels of the picture as it is seen."""
    picture = view.picture
    return {
        "id": picture.id,
        "name": picture.name,
        "seen": picture.seen,
        "when": str(picture.when),
        "file": path_from(picture.place.page, picture.file),
        "alternative": picture_alternative(view),
        "shows": [
            {
                "id": each.thing.id,
                "name": each.thing.name,
                "when": str(each.thing.when),
                "points": [
                    {"x": mark.x, "y": mark.y, "label": mark.label, "position": mark.position}
                    for mark in each.marks
                ],
            }
            for each in view.things
        ],
    }


def _action(action: ActionView) -> dict[str, Any]:
    return {
        "verb": action.verb,
        "objects": [_thing(thing, action) for thing in action.things],
        "on": action.on.id if action.on else "",
        "stage": action.stage or None,
    }


def _thing(thing: Thing, action: ActionView) -> dict[str, Any]:
    """What an action works on; ``kind`` is "" for words that name no thing of the manual."""
    known = thing.entity
    return {
        "id": known.id if known else "",
        "kind": known.KIND if known else "",
        "name": thing.name if known else thing.id,
        "count": thing.count,
        "when": str(thing.when),
        "setting": spaced(action.setting(thing)) if action.verb == "adjust" else "",
    }
