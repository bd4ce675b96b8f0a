"""Joints, numbers and orders that can't be judged, and why."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from procedures_lib.engineering.threads.bolt_grades import GradeError
from procedures_lib.engineering.tightening import StageKind
from procedures_lib.engineering.tightening.joint import JUDGED_KINDS
from procedures_lib.engineering.tightening.judgement import judge
from procedures_lib.engineering.tightening.pattern import FEWEST, Shape, pattern_of
from procedures_lib.findings import Place, Unjudged
from procedures_lib.judging.checks.mentions import things, whole_things
from procedures_lib.judging.witness import is_figure, numbers_on, stated
from procedures_lib.language.entities.car import Connection, Fastener, Fluid
from procedures_lib.language.entities.how_tight import Stages
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.verbs import VERBS
from procedures_lib.language.variants import ALWAYS, Condition
from procedures_lib.manual import Manual
from procedures_lib.view.joint import joints_of

# -- joints ----------------------------------------------------------------------------------------


def joints(manual: Manual, page: str) -> Iterator[Unjudged]:
    """Yield the joints of a page whose torque is held against nothing."""
    for fastener in things(manual, page, Fastener):
        if manual.is_damaged(fastener):
            continue
        if not fastener.how_tight and _lacks_torque(manual, fastener):
            why = "nothing says how tight, and no step tightens it"
            yield Unjudged(fastener.place, "joint", f"`{fastener.id}`", why)
        for each in fastener.variants:
            if why := _why_not(each):
                what = f"`{fastener.id}`{_on(each.when) if fastener.varies else ''}"
                yield Unjudged(fastener.place, "joint", what, why)


def _on(when: Condition) -> str:
    return "" if when == ALWAYS else f" on cars with `{when}`"


def _why_not(fastener: Fastener) -> str:
    """Why the torque of a joint can't be judged; "" when it can be, or has no figure."""
    said = {stage.kind: stage.words for stage in fastener.tighten}
    if StageKind.SEE in said:
        return f"its source gives the torque elsewhere ({said[StageKind.SEE]})"
    if StageKind.UNTIL in said:
        return f"words say how tight it is: until {said[StageKind.UNTIL]}"
    figures = _figures(fastener.tighten)
    lacks = _lacks(fastener) if figures else ""
    return f"{', '.join(figures)}, and {lacks}" if lacks else ""


def _lacks(fastener: Fastener) -> str:
    """What a joint lacks to be judged; "" when it lacks nothing."""
    grade = fastener.class_.strip().lower()
    drags = [stage for stage in fastener.tighten if stage.kind is StageKind.DRAG]
    if fastener.kind not in JUDGED_KINDS:
        return f"no standard here says what a {fastener.kind} bears"
    if fastener.thread is None:
        return "no thread is given"
    if grade in {"", "unknown"}:
        return "its class is unknown" if grade else "no class is given"
    if len(drags) == len(_figures(fastener.tighten)):
        return "thread and class say nothing about a drag"
    return "" if _has_verdict(fastener) else f"no standard here has the class `{fastener.class_}`"


def _figures(stages: Stages) -> list[str]:
    """The figures of stages as they are written; a share of another figure is none of its own."""
    return [s.written() for s in stages if is_figure(s)]


def _has_verdict(fastener: Fastener) -> bool:
    """Tell whether a joint is judged; a class that is wrong is a finding."""
    try:
        return all(judge(joint) is not None for joint in joints_of(fastener))
    except GradeError:
        return True


def _lacks_torque(manual: Manual, fastener: Fastener) -> bool:
    """Tell whether a joint that takes a torque has none, and stays on the car.

    A clamp may be one that is closed without a number; what a step tightens is a finding.
    """
    if not fastener.takes_torque or fastener.kind == "clamp":
        return False
    if fastener.place in _handled(manual):
        return False
    near = manual.scope(fastener.place.page).all(Fastener)
    return not any(other.how_tight for other in near if fastener.id in other.with_)


def _handled(manual: Manual) -> frozenset[Place]:
    """The fasteners without a torque that a step tightens or disposes of, or a kit replaces."""

    def asked() -> frozenset[Place]:
        bare = {f.id for page in manual.contents for f in things(manual, page, Fastener)
                if not f.how_tight}  # fmt: skip
        named = ((plan.scope, str(name)) for plan in manual.plans() for step in plan.steps
                 for action in step.step.actions
                 if action.verb == "tighten" or VERBS[str(action.verb)].disposes
                 for name in action.objects if str(name) in bare)  # fmt: skip
        found = [scope.of(Fastener, name) for scope, name in named]
        for kit in manual.heads(Kit):
            scope = manual.scope(kit.place.page)
            new = (scope.get(item.what) for item in kit.contents)
            replaced = (getattr(each, "replaces", None) for each in new)
            found += [scope.of(Fastener, str(r)) for r in replaced if r and str(r) in bare]
        return frozenset(each.place for each in found if each is not None)

    return manual.once(("handled joints",), asked)


# -- numbers typed once ----------------------------------------------------------------------------


def numbers(manual: Manual, page: str) -> Iterator[Unjudged]:
    """Yield the numbers of a page that have no witness."""
    for number in numbers_on(manual, page):
        if not number.witness:
            cars = f" on cars with `{number.cars}`" if number.cars else ""
            why = f"{stated(number)} stands in no `expect` row"
            yield Unjudged(number.owner, "number", f"`{number.thing}`{cars}", why)


# -- orders ----------------------------------------------------------------------------------------


def orders(manual: Manual, page: str) -> Iterator[Unjudged]:
    """Yield the orders of a page that are held against no pattern of positions."""
    for fastener in whole_things(manual, page, Fastener):
        given = fastener.order or any(stage.order for stage in fastener.how_tight.every)
        if not given or fastener.count < FEWEST or not fastener.takes_torque:
            continue
        if not fastener.positions:
            why = "no positions say how the group lies"
        elif pattern_of(dict(fastener.positions)).shape is Shape.OTHER and not fastener.pattern:
            why = "its positions make no ring and no row, and no other pattern is judged"
        else:
            continue
        yield Unjudged(fastener.place, "order", f"the order of `{fastener.id}`", why)


# -- fluids of one kind ----------------------------------------------------------------------------

_OF_ONE_KIND = frozenset({"coolant", "fuel", "oil", "hydraulic"})
"""What a line carries, where it matters of which system it is."""


def fluids(manual: Manual, page: str) -> Iterator[Unjudged]:
    """Yield the kinds of fluid that a page has several of, when lines carry that kind."""
    carried = {line.carries for line in things(manual, page, Connection)} & _OF_ONE_KIND
    found = sorted(things(manual, page, Fluid), key=lambda fluid: (str(fluid.kind), fluid.place))
    for kind, group in groupby(found, key=lambda fluid: str(fluid.kind)):
        first, *others = group
        if others and kind in carried:
            what = ", ".join(f"`{each.id}`" for each in (first, *others))
            why = f"all are {kind}, and nothing says which of them a line with {kind} carries"
            yield Unjudged(others[0].place, "fluid", what, why, (first.place,))


OF_JOINTS = (joints, numbers, orders, fluids)
"""What is asked of a page's joints and fluids."""
