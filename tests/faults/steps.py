"""Faults in the steps of a page: left out, moved, exchanged, split badly, pasted twice."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from tests.faults.kinds import Fault, kind
from tests.faults.likeness import similar
from tests.faults.source import Edit, Source

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.language.entities.work import Action, Step
    from tests.faults.demo import Demo

WORK = ("procedures", "common")


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


def touched_by(*actions: Action) -> tuple[str, ...]:
    """Verbs and objects of some actions."""
    words = [str(action.verb) for action in actions]
    return tuple(words + [str(name) for action in actions for name in action.objects])


def touched(*steps: Step) -> tuple[str, ...]:
    """What some steps have to do with, their common steps and hazards too."""
    words: list[str] = []
    for step in steps:
        words += [str(step.common or ""), *touched_by(*step.actions)]
        words += [signal.hazard or signal.word for signal in step.signals]
    return tuple(words)


def work(demo: Demo) -> Iterator[tuple[Source, list[Step]]]:
    """Yield the pages with steps, each with those that do something."""
    for source in demo.pages(*WORK):
        yield source, [step for step in source.steps if does_something(step)]


@kind("drop a step")
def dropped(demo: Demo) -> Iterator[Fault]:
    """Leave a step out, or a call for common steps."""
    for source, steps in work(demo):
        for step in steps:
            edit = Edit(*span_of(source, step))
            yield Fault(source.name, f"drop {name_of(step)}", (edit,), touched(step))


@kind("swap two neighbouring steps")
def swapped(demo: Demo) -> Iterator[Fault]:
    """Have two steps change places."""
    for source, steps in work(demo):
        for one, two in pairwise(steps):
            what = f"swap {name_of(one)} and {name_of(two)}"
            yield Fault(source.name, what, exchange(source, one, two), touched(one, two))


def exchange(source: Source, one: Step, two: Step) -> tuple[Edit, Edit]:
    """The edits that have two steps change places."""
    first, second = span_of(source, one), span_of(source, two)
    return Edit(*first, source.text[slice(*second)]), Edit(*second, source.text[slice(*first)])


@kind("move a step anywhere")
def moved(demo: Demo) -> Iterator[Fault]:
    """Put a step behind any other, earlier or later, but not behind its neighbours."""
    for source, steps in work(demo):
        for n, step in enumerate(steps):
            for m, other in enumerate(steps):
                if m not in {n - 2, n - 1, n, n + 1}:
                    span, (_, end) = span_of(source, step), span_of(source, other)
                    edits = Edit(*span), Edit(end, end, f"\n\n{source.text[slice(*span)]}")
                    what = f"move {name_of(step)} behind {name_of(other)}"
                    yield Fault(source.name, what, edits, touched(step))


@kind("split a step badly")
def split(demo: Demo) -> Iterator[Fault]:
    """Have the last half of what a step does come some steps later, in a step of its own."""
    for source, steps in work(demo):
        for n, step in enumerate(steps):
            half = len(step.actions) // 2
            for other in steps[n + 1 : n + 6] if half else ():
                yield _split(source, step, half, other)


def _split(source: Source, step: Step, half: int, other: Step) -> Fault:
    whole = source.spots(step.block)
    kept = len(step.actions) - half
    cuts = tuple(source.without(whole, "do", n) for n in range(kept, len(step.actions)))
    rows = "\n".join(f"  - {action}" for action in step.actions[kept:])
    _, end = span_of(source, other)
    added = f"\n\n:::{{step}} Finish what was begun\n---\ndo:\n{rows}\n---\nThen do the rest.\n:::"
    what = f"the last {half} actions of {name_of(step)} in a step behind {name_of(other)}"
    edits = (*cuts, Edit(end, end, added))
    return Fault(source.name, what, edits, touched_by(*step.actions[kept:]))


@kind("paste a step twice")
def pasted(demo: Demo) -> Iterator[Fault]:
    """Have a step a second time, some steps later, without its id."""
    for source, steps in work(demo):
        for n, step in enumerate(steps):
            for other in steps[n : n + 7 : 3]:
                _, end = span_of(source, other)
                text = source.text[slice(*span_of(source, step))]
                again = text.replace(f"id: {step.id}\n", "", 1) if step.id else text
                what = f"{name_of(step)} again behind {name_of(other)}"
                yield Fault(
                    source.name, what, (Edit(end, end, f"\n\n{again}"),), touched(step),
                )  # fmt: skip


@kind("call other common steps")
def other_call(demo: Demo) -> Iterator[Fault]:
    """Call for common steps with a similar name: raise for lower, isolate for restore."""
    heads = [source.name[len("common/") : -len(".md")] for source in demo.pages("common")]
    for source, steps in work(demo):
        for step in steps:
            if step.common is None:
                continue
            name, line = str(step.common), step.place.line
            alike = [h for h in heads if h != name and set(h.split("-")) & set(name.split("-"))]
            at = source.text.index(name, source.text.index("}", source.rows(line, line)[0]))
            for new in alike:
                edit = Edit(at, at + len(name), new)
                what = f"common steps {new} for {name}"
                yield Fault(source.name, what, (edit,), (name, new))


ROLES = ("torque", "fastener", "part", "connection")


@kind("a similar thing in a role of the prose")
def in_role(demo: Demo) -> Iterator[Fault]:
    """Show the torque or the name of another thing."""
    for source in demo.pages(*WORK):
        for block in source.blocks.values():
            for role in block.roles:
                for new in (
                    similar(demo, source.name, str(role.target)) if role.name in ROLES else ()
                ):
                    old = f"{{{role.name}}}`{role.target}`"
                    at = source.text.index(old, source.rows(role.target.line, role.target.line)[0])
                    edit = Edit(at, at + len(old), f"{{{role.name}}}`{new}`")
                    what = f"{block.argument}: {{{role.name}}} of {new} for {role.target}"
                    yield Fault(source.name, what, (edit,), (str(role.target),))
