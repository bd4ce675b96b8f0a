"""What a technician follows, as short hashes: they tell whether a page has changed under a job."""

from __future__ import annotations

import hashlib
import re
from typing import TYPE_CHECKING

from procedures_lib.entities.car import Fastener

if TYPE_CHECKING:
    from procedures_lib.manual import NumberedStep, Plan

_UNSAFE = re.compile(r"[^a-z0-9]+")


def step_keys(plan: Plan) -> tuple[str, ...]:
    """Return a name for each step that outlives renumbering: its id, else its title as a slug.

    A name that comes again gets a number, ``raise-the-car-2``.
    """
    seen: dict[str, int] = {}
    keys = []
    for numbered in plan.steps:
        step = numbered.step
        name = step.id or _UNSAFE.sub("-", step.title.lower()).strip("-") or "step"
        seen[name] = seen.get(name, 0) + 1
        keys.append(name if seen[name] == 1 else f"{name}-{seen[name]}")
    return tuple(keys)


def step_digest(numbered: NumberedStep, plan: Plan) -> str:
    """Return 8 hex digits that change when what a step says or asks for does.

    That is its title, cars, actions, tools, supplies, people, time, hazards and prose, and the
    stages of the joints that it tightens; not its number, and not where it is written.
    """
    step = numbered.step
    said = (
        step.title,
        str(numbered.when),
        [str(action) for action in step.actions],
        step.tools,
        step.supplies,
        step.people,
        step.time.canonical() if step.time else "",
        [str(name) for name in step.hazards],
        step.block.body.strip(),
        _joints(numbered, plan),
    )
    return _hash(repr(said), 4)


def procedure_digest(plan: Plan) -> str:
    """Return 16 hex digits that change when any step does, or their order."""
    steps = [step_digest(numbered, plan) for numbered in plan.steps]
    return _hash(f"{plan.head.id} {' '.join(steps)}", 8)


def _joints(numbered: NumberedStep, plan: Plan) -> list[tuple[str, ...]]:
    names = [str(n) for a in numbered.step.actions if a.verb == "tighten" for n in a.objects]
    found = (plan.scope.of(Fastener, name) for name in names)
    return [
        (f.id, str(f.count), str(f.when), *(s.written() for s in f.tighten)) for f in found if f
    ]


def _hash(text: str, size: int) -> str:
    return hashlib.blake2b(text.encode(), digest_size=size).hexdigest()
