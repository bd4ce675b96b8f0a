"""What stands on the job card of a procedure, as values: the card is drawn from nothing else."""

from __future__ import annotations

from dataclasses import dataclass

from procedures_lib.fronts.paper.card_lists import (
    CardDrawing,
    CardJoint,
    CardSignal,
    CardStep,
    card_drawings,
    card_joints,
    card_steps,
    met_signals,
)
from procedures_lib.language.entities.work import Procedure
from procedures_lib.language.variants import ALWAYS, Condition
from procedures_lib.manual import Manual, Plan
from procedures_lib.view.closing import CloseUp, Handover, close_up, handover
from procedures_lib.view.gain_report import handover_lines
from procedures_lib.view.preparation import Preparation, preparation
from procedures_lib.view.table import Table
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
class Card:
    """A job card from its head to the customer's sheet.

    ``signals`` are the hazards met, gravest first; ``left_out`` are the numbers of the steps that
    are for other cars; ``after`` is what the page warns of behind its last step. Rows of tables
    carry in ``when`` for which of the card's cars they are.
    """

    head: CardHead
    signals: tuple[CardSignal, ...]
    check_in: Table
    tools: Table
    supplies: tuple[str, ...]
    steps: tuple[CardStep, ...]
    left_out: tuple[int, ...]
    after: tuple[CardSignal, ...]
    joints: tuple[CardJoint, ...]
    drawings: tuple[CardDrawing, ...]
    closing: CloseUp
    handover: Handover


def make_card(manual: Manual, plan: Plan, when: Condition, faulty: bool = False) -> Card:
    """Return the job card of a procedure, for the cars that meet a condition.

    ``faulty`` is for pages with errors: the card says so at its head.
    """
    uses, cars = uses_of(plan, when), Cars(plan, when)
    prepared = preparation(uses, manual.shop)
    drawings = card_drawings(uses)
    steps, after = card_steps(uses, cars, drawings)
    return Card(
        head=_head(manual, uses, cars, prepared, faulty),
        signals=met_signals(prepared.hazards),
        check_in=cars.narrowed(prepared.check_in),
        tools=cars.narrowed(prepared.tools),
        supplies=prepared.supplies,
        steps=steps,
        left_out=tuple(sorted({n.number for n in plan.steps} - {each.number for each in steps})),
        after=after,
        joints=card_joints(uses, cars, manual.shop, drawings),
        drawings=drawings,
        closing=_narrowed(close_up(uses), cars),
        handover=handover(uses, handover_lines(manual, plan.head.id)),
    )


def _narrowed(closing: CloseUp, cars: Cars) -> CloseUp:
    return CloseUp(cars.narrowed(closing.tight), cars.narrowed(closing.tests), closing.rechecks)


def _head(manual: Manual, uses: Uses, cars: Cars, prepared: Preparation, faulty: bool) -> CardHead:
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
        facts=tuple(_facts(uses, prepared)),
        choices=tuple(_choices(uses, cars)),
        notices=tuple(
            text for text in (FAULTY if faulty else "", MAKER_FIRST, shop.notice) if text
        ),
    )


def _facts(uses: Uses, prepared: Preparation) -> list[tuple[str, str]]:
    """The facts of the preparation but for the options, which the card has on their own."""
    options = {option.replace("-", " ").capitalize() for option, _ in uses.options}
    facts = [(label, text) for label, text in prepared.facts if label not in options]
    untimed = prepared.steps - prepared.timed
    time = prepared.time_text + (f", and {untimed} steps without a time" if untimed else "")
    return [*facts, ("Steps", str(prepared.steps)), ("Time", time),
            ("People", str(prepared.people))]  # fmt: skip


def _choices(uses: Uses, cars: Cars) -> list[Choice]:
    """The options that were chosen, and those that something on the card still depends on."""
    asked = {option for option, _ in uses.when.tests()}
    entities = (uses.plan.scope.get(name) for name in uses.by_object)
    kit = uses.plan.kit
    conditions = [step.when for step in uses.steps]
    conditions += [getattr(entity, "when", ALWAYS) for entity in entities]
    conditions += [item.when for item in kit.contents] if kit else []
    asked |= cars.open_options(condition for condition in conditions if uses.applies(condition))
    return [choice for choice in choices(uses.plan, uses.when) if choice.option in asked]
