"""The joints of a job card: what each must reach, room for what it reached, the orders drawn."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from procedures_lib.drawings.order import Pattern, front_text
from procedures_lib.manual.names import name_of
from procedures_lib.tables.order_drawings import patterns_of
from procedures_lib.tables.orders import order_text, stage_major_text
from procedures_lib.tables.tooling import tool_text
from procedures_lib.tables.torque import hardware_text, joints, stages_text, thread_text
from procedures_lib.tables.uses import step_links

if TYPE_CHECKING:
    from procedures_lib.entities.car import Fastener
    from procedures_lib.manual.shop import Shop
    from procedures_lib.tables.cars import Cars
    from procedures_lib.tables.uses import Uses


@dataclass(frozen=True, slots=True)
class CardDrawing:
    """A drawing of a tightening order, numbered on the card from 1."""

    number: int
    fastener: str
    pattern: Pattern
    stages: str
    working: str

    @property
    def caption(self) -> str:
        """What stands under the drawing."""
        said = f"Drawing {self.number}. {self.pattern.title}: {self.stages}. {self.working}"
        return f"{said.strip()} {front_text(self.pattern.front)}"


@dataclass(frozen=True, slots=True)
class CardJoint:
    """A row of the torque table on the card.

    ``details`` are thread, tool, state of the threads and the like, those that the page gives;
    ``count`` is how many fasteners are read off; ``steps`` the numbers of the steps.
    """

    id: str
    name: str
    count: int
    only: str
    details: tuple[str, ...]
    stages: str
    steps: str


def card_drawings(uses: Uses) -> tuple[CardDrawing, ...]:
    """Return a drawing for each order of each joint that has positions and an order."""
    found = [
        (fastener, pattern, stages)
        for fastener in joints(uses)
        if fastener.positions
        for pattern, stages in patterns_of(fastener, uses.plan.scope)
        if pattern.order
    ]
    return tuple(
        CardDrawing(n, fastener.id, pattern, stages, stage_major_text(fastener))
        for n, (fastener, pattern, stages) in enumerate(found, start=1)
    )


def card_joints(
    uses: Uses, cars: Cars, shop: Shop, drawings: tuple[CardDrawing, ...]
) -> tuple[CardJoint, ...]:
    """Return the joints that the steps tighten, in the order of their first step."""
    return tuple(_joint(fastener, uses, cars, shop, drawings) for fastener in joints(uses))


def _joint(
    fastener: Fastener, uses: Uses, cars: Cars, shop: Shop, drawings: tuple[CardDrawing, ...]
) -> CardJoint:
    used = uses.of(fastener.id, "tighten", "start", "fit")
    return CardJoint(
        id=fastener.id,
        name=name_of(fastener, uses.plan.scope),
        count=fastener.count,
        only=cars.only(uses.condition(fastener.when, used)),
        details=_details(fastener, uses, shop, drawings),
        stages=stages_text(fastener),
        steps=step_links(use.step for use in used).text,
    )


def _details(
    fastener: Fastener, uses: Uses, shop: Shop, drawings: tuple[CardDrawing, ...]
) -> tuple[str, ...]:
    order = order_text(fastener)
    drawn = [str(each.number) for each in drawings if each.fastener == fastener.id]
    words = (
        thread_text(fastener),
        tool_text(fastener, shop),
        f"threads {fastener.condition}" if fastener.condition else "",
        f"hardware {hardware_text(fastener, uses)}",
        f"order {order}" if order and not drawn else "",
        f"drawing {', '.join(drawn)}" if drawn else "",
        f"re-check after {fastener.recheck.canonical()}" if fastener.recheck else "",
    )
    return tuple(word for word in words if word)
