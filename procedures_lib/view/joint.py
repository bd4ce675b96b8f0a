"""A joint as every front end shows it: its fastener, where it is worked, its tools and orders."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace

from procedures_lib.engineering.quantities import Quantity
from procedures_lib.engineering.threads import Thread
from procedures_lib.engineering.threads.bolt_grades import GradeError
from procedures_lib.engineering.tightening import Stage, StageKind
from procedures_lib.engineering.tightening.joint import Joint, Verdict
from procedures_lib.engineering.tightening.judgement import judge
from procedures_lib.engineering.tightening.order_proposal import order_by_pattern
from procedures_lib.engineering.tightening.stage import courses
from procedures_lib.engineering.tightening.wrench import Adapter, Choice, Fit, choose, need_of
from procedures_lib.language.entities.car import ORDER_PATTERNS, Fastener
from procedures_lib.language.entities.verbs import verbs_that
from procedures_lib.language.variants import ALWAYS, Condition
from procedures_lib.manual.names import name_of
from procedures_lib.manual.scope import Scope
from procedures_lib.manual.shop import AngleGauge, Shop, TorqueWrench
from procedures_lib.view.uses import Uses, made_once, steps_of


@dataclass(frozen=True, slots=True)
class JointView:
    """A group of fasteners that a procedure tightens or starts.

    ``steps`` are the numbers of the steps that do it, on the cars of ``when``; ``tight_steps`` and
    ``tight_when`` those that tighten it. ``from_kit`` tells that it comes in the kit's box.
    ``fastener`` has the stages of some cars where they differ: then ``variant`` says of which,
    among those asked about. ``under`` are the names of what it clamps.
    """

    fastener: Fastener
    name: str
    when: Condition
    steps: tuple[int, ...]
    tight_when: Condition
    tight_steps: tuple[int, ...]
    from_kit: bool
    variant: Condition = ALWAYS
    under: tuple[str, ...] = ()

    @property
    def id(self) -> str:
        """The id of its fasteners."""
        return self.fastener.id


@dataclass(frozen=True, slots=True)
class JointTool:
    """A tool that a joint asks for.

    ``stage`` is the number of the stage that asks for it, 0 for what turns the fastener at every
    stage; ``fit`` is how a torque wrench of the shop does that stage.
    """

    name: str
    stage: int = 0
    fit: Fit | None = None


@made_once
def joints(uses: Uses) -> tuple[JointView, ...]:
    """The joints that the steps tighten or start, in the order of their first step."""
    kit = uses.plan.kit
    boxed = {str(item.fastener) for item in kit.contents} if kit else set()
    found = (uses.plan.scope.of(Fastener, name) for name in uses.by_object)
    return tuple(
        joint
        for fastener in found
        if fastener is not None and uses.of(fastener.id, *WORKED) and _is_joint(fastener, uses)
        for joint in _joints(fastener, uses, fastener.id in boxed)
    )


def _is_joint(fastener: Fastener, uses: Uses) -> bool:
    """Tell whether a page says how tight a group is, or a step tightens it to what is not said."""
    return bool(fastener.how_tight or (fastener.takes_torque and uses.of(fastener.id, "tighten")))


def _joints(fastener: Fastener, uses: Uses, from_kit: bool) -> Iterator[JointView]:
    """Yield the joints of a group, one for each condition that its stages have."""
    here = [each for each in fastener.variants if uses.applies(each.when)]
    for each in here:
        joint = _joint(each, uses, from_kit)
        yield joint if len(here) == 1 else replace(joint, variant=each.when)


WORKED = verbs_that(lambda verb: verb.turns_in)
"""The verbs at which a joint is worked."""


def _joint(fastener: Fastener, uses: Uses, from_kit: bool) -> JointView:
    worked, tight = uses.of(fastener.id, *WORKED), uses.of(fastener.id, "tighten")
    return JointView(
        fastener=fastener,
        name=name_of(fastener, uses.plan.scope),
        when=uses.condition(fastener.when, worked),
        steps=steps_of(worked),
        tight_when=uses.condition(fastener.when, tight),
        tight_steps=steps_of(tight),
        from_kit=from_kit,
        under=under(fastener, uses.plan.scope),
    )


def under(fastener: Fastener, scope: Scope) -> tuple[str, ...]:
    """The names of what a fastener clamps or locks, with how many there are."""
    found = []
    for name in fastener.with_:
        thing = scope.get(str(name))
        if thing is not None:
            count = getattr(thing, "count", 1)
            found.append(
                f"{count} × {name_of(thing, scope)}" if count > 1 else name_of(thing, scope)
            )
    return tuple(found)


def order_of(fastener: Fastener) -> tuple[str, ...]:
    """The names of a joint's positions in tightening order; () when the page gives no order."""
    return _names(fastener, tuple(map(str, fastener.order)))


def order_of_stage(fastener: Fastener, stage: Stage) -> tuple[str, ...]:
    """The names in the order of one stage: its own, else the group's, of those it is for."""
    order = _names(fastener, stage.order) if stage.order else order_of(fastener)
    if not stage.only or stage.order:
        return order
    return tuple(name for name in order if name in stage.only) or stage.only


def orders_by_stage(fastener: Fastener) -> list[tuple[tuple[int, ...], tuple[str, ...]]]:
    """Return each order that differs, with the numbers of the stages that follow it.

    A joint without stages has its group's order, for no stage.
    """
    found: dict[tuple[str, ...], list[int]] = {}
    for n, stage in enumerate(fastener.tighten, start=1):
        found.setdefault(order_of_stage(fastener, stage), []).append(n)
    if not found:
        return [((), order_of(fastener))]
    return [(tuple(numbers), order) for order, numbers in found.items()]


def order_text(fastener: Fastener) -> str:
    """The order of a joint's fasteners in words, with the orders that single stages have."""
    parts = [_said(fastener, tuple(map(str, fastener.order)))] if fastener.order else []
    parts += [
        f"stage {n}: {_said(fastener, stage.order)}"
        for n, stage in enumerate(fastener.tighten, start=1)
        if stage.order
    ]
    return "; ".join(parts)


def _said(fastener: Fastener, order: tuple[str, ...]) -> str:
    """An order as names, after its pattern word if it is given by one."""
    word = order[0] if len(order) == 1 and order[0] in ORDER_PATTERNS else ""
    names = ", ".join(_names(fastener, order))
    return ": ".join(text for text in (word, names) if text)


def _names(fastener: Fastener, order: tuple[str, ...]) -> tuple[str, ...]:
    if len(order) == 1 and order[0] in ORDER_PATTERNS:
        positions = dict(fastener.positions)
        return order_by_pattern(positions, order[0]) if positions else ()
    return order


_SIZED = re.compile(r"(\d+-point|socket hex|hex|square)\s+(.+)$")
_DRIVER = re.compile(r"(torx|e-torx|phillips|pozidriv|slotted)\b\s*(.*)$", re.IGNORECASE)


def socket_for(head: str) -> str:
    """Return the tool for a head as a writer names it: ``hex 10 mm`` is "10 mm socket"."""
    head = head.strip()
    if match := _SIZED.match(head):
        kind, size = match.groups()
        names = {"hex": f"{size} socket", "socket hex": f"{size} hex-key bit"}
        return names.get(kind, f"{size} {kind} socket")
    if match := _DRIVER.match(head):
        kind, size = match[1].lower(), match[2].strip()
        if kind == "torx":
            return f"{size or 'torx'} bit"
        if kind == "e-torx":
            return f"{size or 'e-torx'} socket"
        return f"{kind} {size} screwdriver".replace("  ", " ")
    return head


def wrench_for(stage: Stage, shop: Shop, adapter: Quantity | None = None) -> TorqueWrench | None:
    """Return the shop's torque wrench for a stage; None when none fits or none is needed.

    ``adapter`` is the length of a crow-foot in line with the wrench.
    """
    choice = choice_for(stage, shop, adapter)
    fit = choice.best if choice else None
    return None if fit is None else shop.torque_wrenches[shop.wrenches.index(fit.wrench)]


def choice_for(stage: Stage, shop: Shop, adapter: Quantity | None = None) -> Choice | None:
    """Return which wrench does a stage, and why others do not; None when it takes none."""
    need = need_of(stage, Adapter(adapter.si * 1000) if adapter else None)
    return choose(shop.wrenches, need, shop.day) if need else None


def gauge_for(stage: Stage, shop: Shop, drive: str = "") -> AngleGauge | None:
    """Return the shop's gauge for an angle stage: one that goes so far, if it can on this drive."""
    if stage.kind is not StageKind.ANGLE:
        return None
    reaching = [
        gauge
        for gauge in shop.angle_gauges
        if gauge.most_degrees is None or gauge.most_degrees >= (stage.degrees or 0.0)
    ]
    return next((g for g in reaching if drive and g.drive == drive), next(iter(reaching), None))


def joint_tools(fastener: Fastener, shop: Shop) -> tuple[JointTool, ...]:
    """Return all tools that a group of fasteners asks for, in the order of use."""
    socket = [JointTool(socket_for(fastener.head))] if fastener.head else []
    reach = [JointTool(fastener.reach)] if fastener.reach else []
    return (*socket, *reach, *_stage_tools(fastener, shop))


def _stage_tools(fastener: Fastener, shop: Shop) -> list[JointTool]:
    found, drive = [], ""
    for n, stage in enumerate(fastener.tighten, start=1):
        if stage.torque is not None:
            choice = choice_for(stage, shop, fastener.adapter)
            fit = choice.best if choice else None
            drive = fit.wrench.drive if fit else drive
            name = fit.wrench.name if fit else f"torque wrench for {_torque_of(stage)}"
            found.append(JointTool(name, n, fit))
        elif stage.kind is StageKind.ANGLE:
            gauge = gauge_for(stage, shop, drive)
            found.append(JointTool(gauge.name if gauge else "angle gauge", n))
    return found


@dataclass(frozen=True, slots=True)
class StageView:
    """A stage of a joint: its number, from 1, what it asks for, and the tool, if it takes one."""

    stage: int
    what: Stage
    tool: JointTool | None = None


def stage_views(fastener: Fastener, shop: Shop, only: int = 0) -> tuple[StageView, ...]:
    """Return the stages of a group of fasteners with their tools; ``only`` that one, 0 for all."""
    tools = {tool.stage: tool for tool in joint_tools(fastener, shop) if tool.stage}
    return tuple(
        StageView(n, stage, tools.get(n))
        for n, stage in enumerate(fastener.tighten, start=1)
        if only in (0, n)
    )


def _torque_of(stage: Stage) -> str:
    """The torque of a stage in words, without what else it says."""
    alone = stage.kind in {StageKind.TORQUE, StageKind.TORQUE_OR_SLOT}
    return stage.torque.tidy if alone and stage.torque else stage.written()


def joints_of(fastener: Fastener) -> tuple[Joint, ...]:
    """The joints of a group as they are judged: one, unless stages are for some positions only.

    () without a thread, a class or a stage.
    """
    if fastener.thread is None or not fastener.class_ or not fastener.tighten:
        return ()
    return tuple(
        _judged(fastener, fastener.thread.thread, tuple(stage for _, stage in course))
        for course in courses(fastener.tighten)
    )


def _judged(fastener: Fastener, thread: Thread, stages: tuple[Stage, ...]) -> Joint:
    into = fastener.into
    return Joint(
        thread=thread,
        grade=fastener.class_,
        stages=stages,
        kind=fastener.kind,
        condition=fastener.condition or "",
        head=fastener.head,
        material=into.material if into else "",
        engagement=_millimetres(into.engagement) if into else None,
        grip=_millimetres(fastener.grip),
        reuse=fastener.reuse,
    )


def verdict_on(fastener: Fastener) -> Verdict | None:
    """The judgement of a joint; None when it can't be judged, or not all are tightened alike."""
    joints = joints_of(fastener)
    try:
        verdict = judge(joints[0]) if len(joints) == 1 else None
    except GradeError:
        return None
    return verdict if verdict is not None and verdict.share is not None else None


def _millimetres(length: Quantity | None) -> float | None:
    """A length in mm; the longer end of a range, which bears more and bends further."""
    return None if length is None else float(length.exact("mm")[1])
