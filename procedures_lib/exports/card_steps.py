"""The steps of a job card: each with its hazards, its words, its actions and their torques."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from procedures_lib.tables.action_words import Doing, doings
from procedures_lib.tables.hazards import hazard_named, hazards_of_step
from procedures_lib.tables.prose import prose

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from procedures_lib.entities.work import Signal
    from procedures_lib.exports.card_joints import CardDrawing
    from procedures_lib.manual import NumberedStep
    from procedures_lib.tables.cars import Cars
    from procedures_lib.tables.hazards import MetHazard
    from procedures_lib.tables.uses import Uses


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
