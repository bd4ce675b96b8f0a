"""The joints, drawings and steps of a job card."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from procedures_lib.language.entities.car import Fastener
from procedures_lib.language.entities.work import Signal
from procedures_lib.manual import NumberedStep
from procedures_lib.manual.scope import name_of
from procedures_lib.manual.shop import Shop
from procedures_lib.view.joint import (
    hardware_text,
    joints,
    order_text,
    stage_major_text,
    stages_text,
    thread_text,
    tool_text,
)
from procedures_lib.view.order_drawing import Pattern, front_text, patterns_of
from procedures_lib.view.step import Doing, MetHazard, doings, hazard_named, hazards_of_step, prose
from procedures_lib.view.uses import Cars, Uses, step_links


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


@dataclass(frozen=True, slots=True)
class CardSignal:
    """A signal word with its message (ANSI Z535.6)."""

    word: str
    title: str
    lines: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class CardStep:
    """A step as it stands on the card; its number is that of the page.

    ``drawings`` are the numbers of the order drawings that its joints have.
    """

    number: int
    title: str
    only: str
    facts: tuple[tuple[str, str], ...]
    signals: tuple[CardSignal, ...]
    doings: tuple[Doing, ...]
    prose: tuple[str, ...]
    drawings: tuple[int, ...] = ()


def met_signals(hazards: Iterable[MetHazard]) -> tuple[CardSignal, ...]:
    """Return the hazards that a procedure meets, with the steps that call for them."""
    return tuple(
        CardSignal(
            met.hazard.signal,
            met.hazard.name,
            _lines(met.hazard.harm, met.hazard.avoid, _steps_text(met.steps)),
        )
        for met in hazards
    )


def _lines(*texts: str) -> tuple[str, ...]:
    return tuple(text for text in texts if text)


def _steps_text(steps: tuple[NumberedStep, ...]) -> str:
    if not steps:
        return ""
    numbers = ", ".join(str(n) for n in sorted({step.number for step in steps}))
    return f"Step{'s' if ',' in numbers else ''} {numbers}"


def card_steps(
    uses: Uses, cars: Cars, drawings: tuple[CardDrawing, ...]
) -> tuple[tuple[CardStep, ...], tuple[CardSignal, ...]]:
    """Return the steps that apply, and the signal words that stand behind the last of them.

    A signal word that stands on the procedure's page between two steps goes with the one below.
    """
    waiting = list(uses.plan.content.signals)
    steps = []
    for numbered in uses.steps:
        line = (numbered.through or numbered.step).place.line
        above = [signal for signal in waiting if signal.place.line < line]
        waiting = waiting[len(above) :]
        steps.append(_step(numbered, above, uses, cars, drawings))
    return tuple(steps), _written(waiting, uses)


def _step(
    numbered: NumberedStep,
    above: list[Signal],
    uses: Uses,
    cars: Cars,
    drawings: tuple[CardDrawing, ...],
) -> CardStep:
    step = numbered.step
    done = doings(numbered, uses, cars)
    tightened = {doing.id for doing in done if doing.torque}
    return CardStep(
        number=numbered.number,
        title=step.title,
        only=cars.only(numbered.when),
        facts=tuple(_facts(numbered)),
        signals=(
            *_written(above, uses),
            *_called(numbered, uses),
            *_written(step.signals, uses),
        ),
        doings=done,
        prose=prose(step.block.body, uses),
        drawings=tuple(each.number for each in drawings if each.fastener in tightened),
    )


def _facts(numbered: NumberedStep) -> Iterator[tuple[str, str]]:
    step = numbered.step
    if step.time:
        yield "Time", step.time.canonical()
    if step.people > 1:
        yield "People", str(step.people)
    if step.tools:
        yield "Tools", ", ".join(step.tools)
    if step.supplies:
        yield "Supplies", ", ".join(step.supplies)


def _called(numbered: NumberedStep, uses: Uses) -> Iterator[CardSignal]:
    """The hazards that the step calls for and that its own signal words do not show already."""
    shown = {signal.hazard for signal in numbered.step.signals}
    for name in hazards_of_step(numbered, uses.plan):
        hazard = None if name in shown else hazard_named(name, uses.plan.scope)
        if hazard is not None:
            yield CardSignal(hazard.signal, hazard.name, _lines(hazard.avoid))


def _written(signals: Iterable[Signal], uses: Uses) -> tuple[CardSignal, ...]:
    """The signal words that a writer put on the page."""
    return tuple(
        CardSignal(signal.word, signal.title, prose(signal.text, uses)) for signal in signals
    )
