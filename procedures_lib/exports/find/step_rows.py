"""Rows about the work: the steps of a procedure and the tools that they ask for."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from procedures_lib.entities.car import Fastener
from procedures_lib.entities.work import Procedure
from procedures_lib.exports.find.row import Row, key_of
from procedures_lib.exports.find.terms import terms_of, terms_of_all
from procedures_lib.exports.find.thing_rows import owner_terms
from procedures_lib.manual.names import humanised, name_of
from procedures_lib.tables.tools import tool_list
from procedures_lib.tables.torque import stages_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.manual import Manual, NumberedStep, Plan, Scope
    from procedures_lib.tables.uses import Uses

_CODE = "\ufffc"
_LONGEST_SHOWN = 90


def step_row(numbered: NumberedStep, plan: Plan, manual: Manual) -> Row:
    """Return the row of a step: its title, what it tightens, and the words of its prose."""
    step = numbered.step
    torques = list(_torques(numbered, plan.scope))
    prose = [prose.text.replace(_CODE, " ") for prose in step.block.prose]
    named = [humanised(str(role.target)) for role in step.block.roles]
    objects = [_called(str(name), plan.scope) for a in step.actions for name in a.objects]
    verbs = [str(action.verb) for action in step.actions]
    weak = [*torques, *verbs, *objects, *named, *prose, *step.tools, *step.supplies, step.id]
    return Row(
        "s",
        key_of(numbered.page, f"line {step.place.line}"),
        step.title,
        f"step:{numbered.number}",
        _shortened("; ".join(torques)),
        str(numbered.when),
        terms_of(step.title),
        (*terms_of_all(weak), *plan_terms(plan, manual)),
    )


def tool_rows(uses: Uses, manual: Manual) -> Iterator[Row]:
    """Yield a row for each tool of a procedure; one car's procedures share them."""
    plan = uses.plan
    home = plan.vehicle.place.page if plan.vehicle else plan.content.page.name
    owner = owner_terms(manual, home)
    for row in tool_list(uses, manual.shop).rows:
        name = row.cells[0].text
        key = key_of(home, row.anchor)
        yield Row("t", key, name, row.anchor, "", row.when, terms_of(name), owner)


def plan_terms(plan: Plan, manual: Manual) -> tuple[str, ...]:
    """The terms of a procedure's car, and of its kit."""

    def collect() -> tuple[str, ...]:
        pages = [each.place.page for each in (plan.vehicle, plan.kit) if each]
        own = terms_of(plan.head.id) if isinstance(plan.head, Procedure) else ()
        return (*own, *(term for page in pages for term in owner_terms(manual, page)))

    return manual.once(("find plan", plan.head.KIND, plan.head.id), collect)


def _torques(numbered: NumberedStep, scope: Scope) -> Iterator[str]:
    for action in numbered.step.actions:
        for name in action.objects if str(action.verb) == "tighten" else ():
            fastener = scope.of(Fastener, str(name))
            if fastener is not None and fastener.tighten:
                yield f"{name_of(fastener, scope)}: {stages_text(fastener)}"


def _called(name: str, scope: Scope) -> str:
    entity = scope.get(name)
    return name_of(entity, scope) if entity else humanised(name)


def _shortened(text: str) -> str:
    """Cut a long text between two words."""
    if len(text) <= _LONGEST_SHOWN:
        return text
    return re.sub(r"[;:,]?\s+\S*$", "", text[:_LONGEST_SHOWN]) + " …"
