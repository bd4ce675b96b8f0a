"""A procedure as schema.org ``HowTo``, for the head of its page (JSON-LD 1.1)."""

from __future__ import annotations

import json
from typing import Any

from procedures_lib.fronts.formats.table_text import spaced
from procedures_lib.fronts.tables.procedure_tables import supply_text
from procedures_lib.fronts.tables.words import doings
from procedures_lib.language.entities.work import Procedure
from procedures_lib.language.variants import ALWAYS
from procedures_lib.manual import Manual, Plan
from procedures_lib.view.preparation import preparation
from procedures_lib.view.step import StepView, steps_in
from procedures_lib.view.uses import Cars, Uses, uses_of


def how_to(manual: Manual, plan: Plan) -> dict[str, Any]:
    """Return a procedure as a schema.org ``HowTo``, with all its steps on all cars.

    ``totalTime`` is there where every step says its time; ``version`` is the revision.
    """
    uses, cars = uses_of(plan), Cars(plan, ALWAYS)
    prepared = preparation(uses, manual.shop)
    timed = prepared.steps and prepared.timed == prepared.steps
    return {
        "@context": "https://schema.org",
        "@type": "HowTo",
        "name": plan.title,
        **_head(plan),
        "inLanguage": "en",
        **({"totalTime": iso_duration(prepared.seconds)} if timed else {}),
        "tool": [{"@type": "HowToTool", "name": spaced(tool.name)} for tool in prepared.tools],
        "supply": [
            {"@type": "HowToSupply", "name": spaced(supply_text(supply))}
            for supply in prepared.supplies
        ],
        "step": [_step(view, uses, cars) for view in steps_in(uses)],
    }


def _head(plan: Plan) -> dict[str, str]:
    head = plan.head
    if not isinstance(head, Procedure):
        return {}
    said = {"version": head.revision}
    if head.reviewed:
        said["dateModified"] = head.reviewed.isoformat()
    return said


def _step(view: StepView, uses: Uses, cars: Cars) -> dict[str, Any]:
    """A step with its actions in words; its title alone where it has none."""
    only = cars.only(view.when)
    said = [f"{doing.text}." for doing in doings(view, uses, cars)]
    text = " ".join([f"Only for cars with {only}.", *said] if only else said)
    return {
        "@type": "HowToStep",
        "position": view.number,
        "name": view.step.title,
        "text": spaced(text or view.step.title),
        "url": f"#step-{view.number}",
    }


def iso_duration(seconds: float) -> str:
    """Return a time as ISO 8601 writes durations, to the second: ``PT1H40M``."""
    minutes, rest = divmod(round(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    parts = ((hours, "H"), (minutes, "M"), (rest, "S"))
    return "PT" + ("".join(f"{count}{unit}" for count, unit in parts if count) or "0S")


def script_text(value: dict[str, Any]) -> str:
    """Return a value as JSON that can stand inside a ``script`` element.

    ``<``, ``>`` and ``&`` are written as escapes, so that no text of a page ends the element or
    begins a comment in it (HTML Living Standard, 4.12.1.3).
    """
    text = json.dumps(value, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    for sign in "<>&\u2028\u2029":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return text
