"""Faults in the steps of a page: one left out, two the wrong way round, one too late."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from procedures_lib.language.entities.work import Common
from tests.faults.kinds import Fault, kind
from tests.faults.source import Edit, Source

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.language.entities.work import Action, Step
    from tests.faults.demo import Demo

WORK = ("procedures", "common")
APART = "the two touch different things, none of which holds, hides or carries one of the other"


def name_of(step: Step) -> str:
    """A step in words that stay: its id, its title, or the common steps that it calls for."""
    if step.common is not None:
        return f"common steps {step.common}"
    return step.id or f"“{step.title}”"


def does_something(step: Step) -> bool:
    """Tell whether a step changes or tests anything."""
    return bool(step.actions) or step.common is not None


def span_of(source: Source, step: Step) -> tuple[int, int]:
    """The offsets of a step's block, from its first fence to its last."""
    start, end = source.rows(step.place.line, step.block.end)
    return start, end - 1


@kind("drop a step")
def dropped(demo: Demo) -> Iterator[Fault]:
    """Leave a step out, or a call for common steps."""
    for source in demo.pages(*WORK):
        for step in filter(does_something, source.steps):
            yield Fault(source.name, f"drop {name_of(step)}", (Edit(*span_of(source, step)),))


@kind("swap two neighbouring steps")
def swapped(demo: Demo) -> Iterator[Fault]:
    """Have two steps change places, where both do something."""
    for source in demo.pages(*WORK):
        for one, two in pairwise(source.steps):
            if does_something(one) and does_something(two):
                what = f"swap {name_of(one)} and {name_of(two)}"
                apart = demo.relations(source.name).apart(actions(demo, one), actions(demo, two))
                edits = exchange(source, one, two)
                yield Fault(source.name, what, edits, APART if apart else "")


def actions(demo: Demo, step: Step) -> list[Action]:
    """What a step does; of a call for common steps, what those do."""
    if step.common is None:
        return list(step.actions)
    common = demo.manual.head(Common, str(step.common))
    steps = demo.manual.plan(common).steps if common else ()
    return [action for numbered in steps for action in numbered.step.actions]


def exchange(source: Source, one: Step, two: Step) -> tuple[Edit, Edit]:
    """The edits that have two steps change places."""
    first, second = span_of(source, one), span_of(source, two)
    return Edit(*first, source.text[slice(*second)]), Edit(*second, source.text[slice(*first)])


@kind("move a step to the end")
def moved(demo: Demo) -> Iterator[Fault]:
    """Do a step after all others; the last but one is left to the swaps."""
    for source in demo.pages(*WORK):
        for step in filter(does_something, source.steps[:-2]):
            span = span_of(source, step)
            _, end = span_of(source, source.steps[-1])
            added = Edit(end, end, f"\n\n{source.text[slice(*span)]}")
            yield Fault(source.name, f"move {name_of(step)} to the end", (Edit(*span), added))
