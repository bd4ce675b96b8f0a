"""Hits about things and work: fasteners, parts, fluids, a kit's contents, steps and tools."""

from __future__ import annotations

import re
from collections.abc import Iterator

from procedures_lib.engineering.quantities.conversion import TORQUE_UNITS
from procedures_lib.fronts.search.amounts import Amount, amounts_in, amounts_of_stages
from procedures_lib.fronts.search.facts import (
    Thing,
    belongs_to,
    facts_of,
    facts_of_step,
    marks_of,
    other_words,
)
from procedures_lib.fronts.search.index import Row, key_of
from procedures_lib.fronts.search.terms import terms_of, terms_of_all
from procedures_lib.fronts.tables.words import stages_text, tight_text
from procedures_lib.language.entities.car import Connection, Fastener, Fluid, Opening, Part, Vehicle
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.kit import ContentItem, Kit
from procedures_lib.language.entities.work import Procedure
from procedures_lib.manual import Manual, Plan, Scope
from procedures_lib.manual.names import humanised, name_of
from procedures_lib.view.joint import socket_for
from procedures_lib.view.preparation import tools
from procedures_lib.view.step import StepView
from procedures_lib.view.uses import Uses

_LETTERS: dict[type[Entity], str] = {
    Fastener: "f",
    Part: "p",
    Connection: "c",
    Opening: "p",
    Fluid: "l",
}
_METRIC = re.compile(r"M(\d+)x")
_ITEM_LETTERS = {"fastener": "f", "part": "p", "connection": "c", "tool": "t"}


def thing_row(thing: Thing, manual: Manual, scope: Scope, target: str) -> Row:
    """Return the row of a thing, the same on every page but for its place."""
    key = ("find thing", thing.place.page, thing.id)
    return manual.once(key, lambda: _thing_row(thing, manual, scope))._replace(target=target)


def _thing_row(thing: Thing, manual: Manual, scope: Scope) -> Row:
    home = thing.place.page
    name = name_of(thing, scope)
    number = number_of(thing, manual)
    strong = [name, number, thing.id, *other_words(thing, manual, scope), *_strong(thing)]
    about = belongs_to(thing, manual, scope)
    weak = [getattr(thing, "note", ""), getattr(thing, "kind", ""), *_weak(thing), *about]
    facts = facts_of(thing, manual, scope)
    return Row(
        _LETTERS[type(thing)],
        key_of(home, thing.id),
        name,
        "",
        _shown(thing, number),
        str(getattr(thing, "when", "")),
        (*terms_of_all(strong), *marks_of(facts)),
        (*terms_of_all(weak), *owner_terms(manual, home)),
        facts,
        amounts=_amounts(thing),
    )


def item_row(item: ContentItem, home: str, manual: Manual, scope: Scope) -> Row:
    """Return the row of a line of a kit's packing list."""
    entity = scope.get(item.what) if item.kind in {"part", "fastener", "connection"} else None
    target = f"item:{item.number}" if item.number else ""
    if isinstance(entity, Fastener | Part | Connection) and entity.place.page == home:
        return thing_row(entity, manual, scope, target or f"definition:{entity.id}")
    name = item.name or (name_of(entity, scope) if entity else item.what)
    counted = f"{item.count} ×" if item.count > 1 else item.packed if item.amount else ""
    return Row(
        _ITEM_LETTERS.get(item.kind, "u"),
        key_of(home, f"item {item.number or item.what}"),
        name,
        target,
        ", ".join(filter(None, (item.number, counted))),
        str(item.when),
        terms_of_all((name, item.number, *item.also)),
        (*terms_of(item.note), *owner_terms(manual, home)),
        (("also", ", ".join(map(str, item.also))),) if item.also else (),
    )


def calibration_rows(kit: Kit, manual: Manual) -> Iterator[Row]:
    """Yield a row for each calibration that a kit needs."""
    page = kit.place.page
    for option, number in kit.needs.calibration:
        name = f"Calibration for {option}" if option else "Calibration"
        terms = terms_of_all((name, number))
        key = key_of(page, f"calibration {number}")
        yield Row("p", key, name, "", number, strong=terms, weak=owner_terms(manual, page))


def number_of(thing: Thing, manual: Manual) -> str:
    """The part number of a thing: its own, or that of its line in the kit's packing list."""
    own = str(getattr(thing, "number", ""))
    return own or _numbers(manual, thing.place.page).get(thing.id, "")


def _numbers(manual: Manual, page: str) -> dict[str, str]:
    def collect() -> dict[str, str]:
        kits = [e for e in manual.entities_on(page).values() if isinstance(e, Kit)]
        return {item.what: item.number for kit in kits for item in kit.contents if item.number}

    return manual.once(("find numbers", page), collect)


def owner_terms(manual: Manual, page: str) -> tuple[str, ...]:
    """The terms of the cars and kits that a page is about, and of the cars that these fit."""

    def collect() -> tuple[str, ...]:
        heads = [e for e in manual.entities_on(page).values() if e.KIND in {"vehicle", "kit"}]
        fitted = (manual.head(Vehicle, str(e.fits.vehicle)) for e in heads if isinstance(e, Kit))
        heads += [car for car in fitted if car is not None]
        return terms_of_all(
            text for e in heads for text in (getattr(e, "name", ""), e.id, *getattr(e, "also", ()))
        )

    return manual.once(("find owner", page), collect)


def _strong(thing: Thing) -> list[str]:
    if isinstance(thing, Fastener):
        thread = thing.thread.written if thing.thread else ""
        return [
            thread,
            stages_text(thing.how_tight.every),
            *(stages_text(thing.how_tight.every, unit) for unit in TORQUE_UNITS),
        ]
    if isinstance(thing, Fluid) and thing.quantity:
        return [thing.quantity.tidy, thing.spec]
    return []


def _amounts(thing: Thing) -> tuple[Amount, ...]:
    if isinstance(thing, Fastener):
        return amounts_of_stages(thing.how_tight.every)
    return amounts_in(thing.quantity.tidy) if isinstance(thing, Fluid) and thing.quantity else ()


def _weak(thing: Thing) -> list[str]:
    if isinstance(thing, Fastener):
        size = _METRIC.match(thing.thread.written) if thing.thread else None
        said = f"{size[1]} mm" if size else ""
        return [thing.head, thing.class_, thing.reach, thing.condition or "", said]
    if isinstance(thing, Fluid):
        return [thing.spec, *thing.drain, *thing.fill]
    return []


def _shown(thing: Thing, number: str) -> str:
    said: list[str] = []
    if isinstance(thing, Fastener):
        thread = thing.thread.written if thing.thread else ""
        counted = f"{thing.count} × {thread or thing.kind}"
        tight = tight_text(thing) if thing.how_tight else ""
        said = [tight, counted if thread or thing.count > 1 else ""]
    elif isinstance(thing, Fluid):
        said = [thing.quantity.tidy if thing.quantity else "", thing.spec]
    elif isinstance(thing, Connection):
        said = [thing.kind]
    return ", ".join(filter(None, (*said, number)))


NUMBER = "#"
"""What the term of a step's number begins with: nothing that is typed is read as one."""
_CODE = "\ufffc"
_LONGEST_SHOWN = 90


def step_row(view: StepView, plan: Plan, manual: Manual) -> Row:
    """Return the row of a step: its title, what it tightens, and the words of its prose."""
    step = view.step
    torques = list(_torques(view))
    prose = [prose.text.replace(_CODE, " ") for prose in step.block.prose]
    named = [humanised(str(role.target)) for role in step.block.roles]
    things = [thing.name for action in view.actions for thing in action.things]
    worked = [thing.entity for action in view.actions for thing in action.things]
    things += [
        word
        for each in worked
        if isinstance(each, Thing)
        for word in other_words(each, manual, plan.scope)
    ]
    verbs = [action.verb for action in view.actions]
    weak = [*torques, *verbs, *things, *named, *prose, *step.tools, *step.supplies, step.id]
    facts = facts_of_step(view, plan.scope)
    return Row(
        "s",
        key_of(step.place.page, f"line {step.place.line}"),
        step.title,
        f"step:{view.number}",
        _shortened("; ".join(torques)),
        str(view.when),
        (*terms_of(step.title), f"{NUMBER}{view.number}", *marks_of(facts)),
        (*terms_of_all(weak), *plan_terms(plan, manual)),
        facts,
        amounts=tuple(amount for text in named for amount in amounts_in(text)),
    )


def tool_rows(uses: Uses, manual: Manual) -> Iterator[Row]:
    """Yield a row for each tool of a procedure; one car's procedures share them."""
    plan = uses.plan
    home = plan.vehicle.place.page if plan.vehicle else plan.content.page.name
    owner = owner_terms(manual, home)
    for tool in tools(uses, manual.shop):
        anchor = f"tool:{tool.name}"
        key = key_of(home, anchor)
        yield Row("t", key, tool.name, anchor, "", "", terms_of(tool.name), owner)


def tools_of_joints(uses: Uses, manual: Manual) -> Iterator[Row]:
    """Yield, for each fastener of a procedure, where its list of tools has the socket for it."""
    scope = uses.plan.scope
    for tool in tools(uses, manual.shop):
        for name, _ in tool.joints:
            fastener = scope.of(Fastener, name)
            if fastener is not None and tool.name == socket_for(fastener.head):
                yield thing_row(fastener, manual, scope, "")._replace(tool=f"tool:{tool.name}")


def plan_terms(plan: Plan, manual: Manual) -> tuple[str, ...]:
    """The terms of a procedure's car, and of its kit."""

    def collect() -> tuple[str, ...]:
        pages = [each.place.page for each in (plan.vehicle, plan.kit) if each]
        own = terms_of(plan.head.id) if isinstance(plan.head, Procedure) else ()
        return (*own, *(term for page in pages for term in owner_terms(manual, page)))

    return manual.once(("find plan", plan.head.KIND, plan.head.id), collect)


def _torques(view: StepView) -> Iterator[str]:
    for action in view.actions:
        for thing in action.things if action.verb == "tighten" else ():
            if isinstance(thing.entity, Fastener) and thing.entity.tighten:
                several = [each.id for each in action.things].count(thing.id) > 1
                only = f" (only {thing.when})" if several else ""
                yield f"{thing.name}: {stages_text(thing.entity.tighten)}{only}"


def _shortened(text: str) -> str:
    """Cut a long text between two words."""
    if len(text) <= _LONGEST_SHOWN:
        return text
    return re.sub(r"[;:,]?\s+\S*$", "", text[:_LONGEST_SHOWN]) + " …"
