"""The joints, drawings and steps of a job card."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from procedures_lib.fronts.paper.picture import CardPicture, card_picture
from procedures_lib.fronts.tables.plain_words import prose
from procedures_lib.fronts.tables.words import (
    Doing,
    doings,
    front_text,
    hardware_text,
    stage_major_text,
    stages_text,
    step_facts,
    steps_text,
    thread_text,
    tight_text,
    tool_text,
)
from procedures_lib.language.entities.work import Rule, Signal
from procedures_lib.manual import Manual
from procedures_lib.manual.names import name_of
from procedures_lib.manual.shop import Shop
from procedures_lib.view.joint import JointView, joints, order_text
from procedures_lib.view.order_drawing import Pattern, patterns_of
from procedures_lib.view.picture import Mark, pictures_of
from procedures_lib.view.step import MetHazard, MetRule, StepView, steps_in
from procedures_lib.view.uses import Cars, Uses


@dataclass(frozen=True, slots=True)
class CardDrawing:
    """A drawing of a tightening order, numbered on the card from 1.

    ``only`` are the cars that it is for, where those of the joint have different stages.
    """

    number: int
    fastener: str
    pattern: Pattern
    stages: str
    working: str
    only: str = ""

    @property
    def caption(self) -> str:
        """What stands under the drawing."""
        title = f"{self.pattern.title}{f' (only {self.only})' if self.only else ''}"
        said = f"Drawing {self.number}. {title}: {self.stages}. {self.working}"
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
        (joint.fastener, pattern, stages, str(joint.variant))
        for joint in joints(uses)
        if joint.fastener.positions
        for pattern, stages in patterns_of(joint.fastener, joint.name)
        if pattern.order
    ]
    return tuple(
        CardDrawing(
            n,
            fastener.id,
            pattern,
            stages_text(fastener.tighten[stage - 1] for stage in stages),
            stage_major_text(fastener),
            only,
        )
        for n, (fastener, pattern, stages, only) in enumerate(found, start=1)
    )


def card_joints(
    uses: Uses, cars: Cars, shop: Shop, drawings: tuple[CardDrawing, ...]
) -> tuple[CardJoint, ...]:
    """Return the joints that the steps tighten, in the order of their first step."""
    return tuple(
        CardJoint(
            id=joint.id,
            name=joint.name,
            count=joint.fastener.count,
            only=cars.only(joint.when),
            details=_details(joint, shop, drawings),
            stages=tight_text(joint.fastener),
            steps=steps_text(joint.steps),
        )
        for joint in joints(uses)
    )


def _details(joint: JointView, shop: Shop, drawings: tuple[CardDrawing, ...]) -> tuple[str, ...]:
    fastener = joint.fastener
    order = order_text(fastener)
    drawn = [
        str(each.number)
        for each in drawings
        if each.fastener == fastener.id and each.only == str(joint.variant)
    ]
    words = (
        thread_text(fastener),
        tool_text(fastener, shop),
        f"threads {fastener.condition}" if fastener.condition else "",
        f"hardware {hardware_text(joint)}",
        f"order {order}" if order and not drawn else "",
        f"drawing {', '.join(drawn)}" if drawn else "",
        f"re-check after {fastener.recheck.tidy}" if fastener.recheck else "",
    )
    return tuple(word for word in words if word)


@dataclass(frozen=True, slots=True)
class CardSignal:
    """A signal word with its message (ANSI Z535.6)."""

    word: str
    title: str
    lines: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class CardRule:
    """A rule with its text; in the list at the beginning its steps stand below it."""

    name: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CardStep:
    """A step as it stands on the card; its number is that of the page.

    ``drawn`` has for each of ``doings`` the numbers of the order drawings that its joint has.
    """

    number: int
    title: str
    only: str
    facts: tuple[tuple[str, str], ...]
    signals: tuple[CardSignal, ...]
    doings: tuple[Doing, ...]
    prose: tuple[str, ...]
    drawn: tuple[tuple[int, ...], ...] = ()
    rules: tuple[CardRule, ...] = ()
    pictures: tuple[CardPicture, ...] = ()

    @property
    def drawings(self) -> tuple[int, ...]:
        """The numbers of all drawings of the step."""
        return tuple(number for numbers in self.drawn for number in numbers)


def met_rules(rules: Iterable[MetRule], uses: Uses) -> tuple[CardRule, ...]:
    """Return the rules about what a procedure does, with the steps that do it."""
    return tuple(_rule(met.rule, uses, _steps_text(met.steps)) for met in rules)


def _rule(rule: Rule, uses: Uses, steps: str = "") -> CardRule:
    return CardRule(name_of(rule, uses.plan.scope), _lines(*prose(rule.text, uses), steps))


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


def _steps_text(numbers: tuple[int, ...]) -> str:
    return f"Step{'s' if len(numbers) > 1 else ''} {steps_text(numbers)}" if numbers else ""


Drawn = tuple[str, tuple[Mark, ...]]
"""A picture by its id, with its marks: the same only where the numbers in it are the same."""


def card_steps(
    manual: Manual, uses: Uses, cars: Cars, drawings: tuple[CardDrawing, ...]
) -> tuple[tuple[CardStep, ...], tuple[CardSignal, ...]]:
    """Return the steps that apply, and the signal words that stand behind the last of them.

    A signal word that stands on the procedure's page between two steps goes with the one below.
    """
    waiting = list(uses.plan.content.signals)
    steps, shown = [], dict[Drawn, int]()
    for view in steps_in(uses):
        above = [signal for signal in waiting if signal.place.line < view.line]
        waiting = waiting[len(above) :]
        step = _step(view, above, uses, cars, drawings)
        steps.append(replace(step, pictures=tuple(_pictures(manual, view, uses, cars, shown))))
    return tuple(steps), _written(waiting, uses, cars)


def _step(
    view: StepView,
    above: list[Signal],
    uses: Uses,
    cars: Cars,
    drawings: tuple[CardDrawing, ...],
) -> CardStep:
    done = doings(view, uses, cars)
    last = {doing.id: n for n, doing in enumerate(done) if doing.torque}
    called = (
        CardSignal(h.signal, h.name, _lines(_only(cars.only(h.cars, view.when)), h.avoid))
        for h in view.called
        if uses.applies(view.when & h.cars)
    )
    return CardStep(
        number=view.number,
        title=view.step.title,
        only=cars.only(view.when),
        facts=step_facts(view),
        signals=(*_written(above, uses, cars), *called, *_written(view.signals, uses, cars)),
        doings=done,
        prose=prose(view.step.block.body, uses),
        drawn=tuple(
            tuple(each.number for each in drawings if last.get(each.fastener) == n)
            for n in range(len(done))
        ),
        rules=tuple(_rule(rule, uses) for rule in view.rules),
    )


def _pictures(
    manual: Manual, view: StepView, uses: Uses, cars: Cars, shown: dict[Drawn, int]
) -> Iterator[CardPicture]:
    """Yield the pictures of a step; one that an earlier step has shown alike says which."""
    for each in pictures_of(view, uses):
        picture = card_picture(manual, each, cars)
        first = shown.setdefault((each.picture.id, picture.marks), view.number)
        yield picture if first == view.number else replace(picture, step=first)


def _written(signals: Iterable[Signal], uses: Uses, cars: Cars) -> tuple[CardSignal, ...]:
    """The signal words that a writer put on the page, for the cars asked about."""
    return tuple(
        CardSignal(
            signal.word,
            signal.title,
            _lines(_only(cars.only(signal.when)), *prose(signal.text, uses)),
        )
        for signal in signals
        if uses.applies(signal.when)
    )


def _only(when: str) -> str:
    return f"Only: {when}" if when else ""
