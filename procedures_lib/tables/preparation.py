"""Before the work: which cars, what to check in, what to lay out, how long, which hazards."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from procedures_lib.entities.work import Procedure
from procedures_lib.tables.hazards import MetHazard, hazards_met
from procedures_lib.tables.parts import kit_check_in
from procedures_lib.tables.tools import tool_list

if TYPE_CHECKING:
    from procedures_lib.manual.shop import Shop
    from procedures_lib.tables.table import Table
    from procedures_lib.tables.uses import Uses


IN_KIT = " (in the kit)"
"""What stands behind the name of a supply that the kit brings."""


@dataclass(frozen=True)
class Preparation:
    """What a technician and a service manager need to know before the first step.

    ``seconds`` is the sum of the steps' times, ``timed`` how many of the ``steps`` say one;
    ``people`` the most that any step needs. The rest is worked out when it is asked for.
    """

    uses: Uses
    shop: Shop
    people: int
    seconds: float
    timed: int
    steps: int

    @cached_property
    def facts(self) -> tuple[tuple[str, str], ...]:
        """Label and text of what is known of the car and the kit."""
        return tuple(_facts(self.uses))

    @cached_property
    def check_in(self) -> Table:
        """What is in the kit's box."""
        return kit_check_in(self.uses)

    @cached_property
    def tools(self) -> Table:
        """The tools of the steps."""
        return tool_list(self.uses, self.shop)

    @cached_property
    def supplies(self) -> tuple[str, ...]:
        """What is used up, each once; what the kit brings says so."""
        return _supplies(self.uses)

    @cached_property
    def hazards(self) -> tuple[MetHazard, ...]:
        """The hazards that the steps meet, gravest first."""
        return hazards_met(self.uses)

    @property
    def time_text(self) -> str:
        """The time in words: "1 h 40 min"."""
        return duration_text(self.seconds)


def preparation(uses: Uses, shop: Shop) -> Preparation:
    """Gather what is needed before the steps that apply."""
    steps = [numbered.step for numbered in uses.steps]
    times = [step.time.si for step in steps if step.time is not None]
    return Preparation(
        uses,
        shop,
        people=max((step.people for step in steps), default=1),
        seconds=sum(times),
        timed=len(times),
        steps=len(steps),
    )


def duration_text(seconds: float) -> str:
    """A time in hours and whole minutes: 6000 s is "1 h 40 min"."""
    hours, minutes = divmod(round(seconds / 60), 60)
    words = [f"{hours} h"] if hours else []
    if minutes or not hours:
        words.append(f"{minutes} min")
    return " ".join(words)


def _facts(uses: Uses) -> list[tuple[str, str]]:
    plan, facts = uses.plan, []
    if plan.vehicle:
        years = (plan.kit.fits.years if plan.kit else None) or plan.vehicle.years
        facts.append(("Car", f"{plan.vehicle.name}{f', {years}' if years else ''}"))
        facts += [
            (option.replace("-", " ").capitalize(), " or ".join(values))
            for option, values in plan.vehicle.options
        ]
    if plan.kit:
        facts.append(("Kit", f"{plan.kit.name} ({plan.kit.id.upper()})"))
        only = str(plan.kit.fits.when)
        if only:
            facts.append(("Only for", only))
    if isinstance(plan.head, Procedure) and plan.head.begins_with:
        facts.append(("Begins with", ", ".join(plan.head.begins_with)))
    return facts


def _supplies(uses: Uses) -> tuple[str, ...]:
    kit = uses.plan.kit
    boxed = {item.supply for item in kit.contents if item.supply} if kit else set()
    named = dict.fromkeys(supply for n in uses.steps for supply in n.step.supplies)
    return tuple(f"{name}{IN_KIT}" if name in boxed else name for name in named)
