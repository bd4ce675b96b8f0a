"""What stands on the job card of a procedure, as values: the card is drawn from nothing else."""

from __future__ import annotations

from dataclasses import dataclass

from procedures_lib.fronts.paper.card_lists import (
    CardDrawing,
    CardJoint,
    CardRule,
    CardSignal,
    CardStep,
    card_drawings,
    card_joints,
    card_steps,
    met_rules,
    met_signals,
)
from procedures_lib.fronts.tables.gain_report import gain_lines
from procedures_lib.fronts.tables.procedure_tables import (
    car_facts,
    check_in_table,
    handover_lines,
    protection_text,
    supply_text,
    table_of_tests,
    tight_table,
    tool_table,
)
from procedures_lib.fronts.tables.table import Table
from procedures_lib.fronts.tables.words import recheck_text, work_facts
from procedures_lib.language.entities.car import Fastener
from procedures_lib.language.entities.work import Procedure
from procedures_lib.language.variants import ALWAYS, Condition
from procedures_lib.manual import Manual, Plan
from procedures_lib.view.closing import closing, handover
from procedures_lib.view.preparation import PreparationView, preparation
from procedures_lib.view.uses import Cars, Choice, Uses, choices, uses_of

MAKER_FIRST = (
    "The vehicle maker's data and local law come first. This card helps a technician and does not "
    "replace judgement."
)
"""The notice on every card, whatever the shop's own says."""

FAULTY = "The pages behind this card have errors: it may lack a step or a torque. Ask before work."
"""The notice on a card that is drawn from pages with errors."""


@dataclass(frozen=True, slots=True)
class CardHead:
    """Whose card it is, and for which procedure and cars.

    ``choices`` are the options on which something of this card depends; ``when`` is what was asked
    for ("" for every car); ``reviewed`` is a date as in ``2026-09-14`` or ""; ``address`` is where
    the page is read, "" when the shop has none.
    """

    shop: str
    manual: str
    title: str
    procedure: str
    revision: str
    reviewed: str
    when: str
    address: str
    facts: tuple[tuple[str, str], ...]
    choices: tuple[Choice, ...]
    notices: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CardClosing:
    """The last look over the car: joints, tests, second looks due, what is handed on open."""

    tight: Table
    tests: Table
    rechecks: tuple[str, ...]
    left_open: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Card:
    """A job card from its head to the customer's sheet.

    ``signals`` are the hazards met, gravest first; ``left_out`` are the numbers of the steps that
    are for other cars; ``after`` is what the page warns of behind its last step. Rows of tables
    carry in ``when`` for which of the card's cars they are.
    """

    head: CardHead
    signals: tuple[CardSignal, ...]
    rules: tuple[CardRule, ...]
    check_in: Table
    tools: Table
    protection: tuple[str, ...]
    supplies: tuple[str, ...]
    steps: tuple[CardStep, ...]
    left_out: tuple[int, ...]
    after: tuple[CardSignal, ...]
    joints: tuple[CardJoint, ...]
    drawings: tuple[CardDrawing, ...]
    closing: CardClosing
    handover: tuple[tuple[str, str], ...]


def make_card(manual: Manual, plan: Plan, when: Condition, faulty: bool = False) -> Card:
    """Return the job card of a procedure, for the cars that meet a condition.

    ``faulty`` is for pages with errors: the card says so at its head.
    """
    uses, cars = uses_of(plan, when), Cars(plan, when)
    prepared, last = preparation(uses, manual.shop), closing(uses)
    drawings = card_drawings(uses)
    steps, after = card_steps(manual, uses, cars, drawings)
    return Card(
        head=_head(manual, uses, cars, prepared, faulty),
        signals=met_signals(prepared.hazards),
        rules=met_rules(prepared.rules, uses),
        check_in=check_in_table(prepared.check_in, cars.only),
        tools=tool_table(prepared.tools),
        protection=tuple(map(protection_text, prepared.protection)),
        supplies=tuple(map(supply_text, prepared.supplies)),
        steps=steps,
        left_out=tuple(sorted({n.number for n in plan.steps} - {each.number for each in steps})),
        after=after,
        joints=card_joints(uses, cars, manual.shop, drawings),
        drawings=drawings,
        closing=CardClosing(
            tight_table(last, cars.only),
            table_of_tests(last),
            tuple(map(recheck_text, last.rechecks)),
            last.left_open,
        ),
        handover=tuple(handover_lines(handover(uses), gain_lines(manual, plan.head.id))),
    )


def _head(
    manual: Manual, uses: Uses, cars: Cars, prepared: PreparationView, faulty: bool
) -> CardHead:
    head, shop = uses.plan.head, manual.shop
    own = head if isinstance(head, Procedure) else None
    page = head.place.page.removesuffix(".md")
    return CardHead(
        shop=shop.name,
        manual=shop.manual,
        title=uses.plan.title,
        procedure=head.id,
        revision=own.revision if own else "",
        reviewed=own.reviewed.isoformat() if own and own.reviewed else "",
        when=str(uses.when),
        address=f"{shop.address.rstrip('/')}/{page}.html" if shop.address else "",
        facts=(*car_facts(prepared, options=False), *work_facts(prepared)),
        choices=tuple(_choices(uses, cars)),
        notices=tuple(
            text for text in (FAULTY if faulty else "", MAKER_FIRST, shop.notice) if text
        ),
    )


def _choices(uses: Uses, cars: Cars) -> list[Choice]:
    """The options that were chosen, and those that something on the card still depends on."""
    asked = {option for option, _ in uses.when.tests()}
    entities = (uses.plan.scope.get(name) for name in uses.by_object)
    kit = uses.plan.kit
    conditions = [step.when for step in uses.steps]
    for entity in entities:
        several = entity.variants if isinstance(entity, Fastener) else [entity]
        conditions += [getattr(each, "when", ALWAYS) for each in several]
    conditions += [item.when for item in kit.contents] if kit else []
    asked |= cars.open_options(condition for condition in conditions if uses.applies(condition))
    return [choice for choice in choices(uses.plan, uses.when) if choice.option in asked]
