"""Tightening: torques and angles against thread and grade, and the wrenches of the shop."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import reduce
from itertools import combinations
from operator import or_
from typing import TYPE_CHECKING

from procedures_lib.engineering.threads.bolt_grades import GradeError
from procedures_lib.engineering.tightening import Stage, StageKind
from procedures_lib.engineering.tightening.joint import JUDGED_KINDS, Fault
from procedures_lib.engineering.tightening.judgement import judge
from procedures_lib.engineering.tightening.stage_order import falling_stages
from procedures_lib.engineering.tightening.wrench import Choice, Refusal, Why
from procedures_lib.findings import Finding, Level, Place
from procedures_lib.judging.checks.conditions import no_car_meets, vehicle_of
from procedures_lib.judging.checks.mentions import plans_on, things, whole_things
from procedures_lib.language.entities.car import Fastener
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.reading.page import Scalar
from procedures_lib.language.variants.car_sets import Region, Space
from procedures_lib.language.variants.condition import bracketed
from procedures_lib.language.variants.shortest_condition import shortest_text
from procedures_lib.manual import Manual
from procedures_lib.manual.shop import SHOP_PAGE, AngleGauge, Shop, TorqueWrench
from procedures_lib.view.joint import choice_for, gauge_for, joints_of

if TYPE_CHECKING:
    import datetime


_NOT_KNOWN = {"", "unknown"}
_BY_FRICTION = {StageKind.TORQUE, StageKind.TORQUE_OR_SLOT}


def joints(manual: Manual, page: str) -> Iterator[Finding]:
    """Find torques and angles that do not go with the bolt, and stages that fall."""
    for fastener in things(manual, page, Fastener):
        if not manual.is_damaged(fastener):
            for each, called in _variants(fastener):
                for fault in (*falling_stages(each.tighten), *faults_of(each)):
                    said = f"{called}: {fault.message}"
                    yield Finding(fastener.place, fault.check, said, fault.hint, fault.level)


def _variants(fastener: Fastener) -> Iterator[tuple[Fastener, str]]:
    """Yield a group as it is on the cars of each condition of its stages, with its name."""
    if not fastener.varies:
        yield fastener, f"`{fastener.id}`"
        return
    for each, (when, _) in zip(fastener.variants, fastener.how_tight.by_condition, strict=True):
        yield each, f"`{fastener.id}` on cars with `{when}`"


def faults_of(fastener: Fastener) -> Iterator[Fault]:
    """Yield what is wrong with the torques and angles of a joint, by its bolt or nut."""
    for joint in joints_of(fastener):
        try:
            verdict = judge(joint)
        except GradeError as error:
            yield Fault("unknown-class", Level.ERROR, error.message, error.hint, stage=0)
        else:
            yield from verdict.faults if verdict else ()


def no_torque(manual: Manual, page: str) -> Iterator[Finding]:
    """Find groups that a page's procedures tighten, and of which no page says how tight."""
    for fastener, _ in _tightened(manual, page):
        if fastener.how_tight or not fastener.takes_torque or _turned(manual, page, fastener):
            continue
        said = f"nothing says how tight `{fastener.id}` has to be, and a step tightens it"
        hint = (
            "add `tighten: [...]` as its source has it; without a number `hand`, `snug`,"
            ' `{until: "…"}`, or `{see: "…"}` for where the number stands'
        )
        yield Finding(fastener.place, "no-torque", said, hint, Level.WARNING)


def _turned(manual: Manual, page: str, fastener: Fastener) -> bool:
    """Tell whether it is tight when another is: a bolt, with its nut."""
    others = manual.scope(page).all(Fastener)
    return any(other.how_tight for other in others if fastener.id in other.with_)


def torque_by_condition(manual: Manual, page: str) -> Iterator[Finding]:
    """Find cars for which a joint has no torque, or two, where it differs from car to car."""
    vehicle = vehicle_of(manual, page)
    if vehicle is None:
        return
    space = Space(vehicle.options)
    for fastener in whole_things(manual, page, Fastener):
        pairs = fastener.how_tight.by_condition
        unclear = (fastener.when, *(when for when, _ in pairs))
        if not fastener.varies or any(no_car_meets(when, vehicle, space) for when in unclear):
            continue
        cars = _cars_with(fastener, manual, page, space)
        yield from _gap(fastener, cars)
        yield from _overlaps(fastener, cars)


def _cars_with(fastener: Fastener, manual: Manual, page: str, space: Space) -> Region:
    """The cars that have a joint; of a kit's page those that the kit fits."""
    found = space.region(fastener.when)
    for kit in things(manual, page, Kit):
        found = found & space.region(kit.fits.when)
        listed = [item.when for item in kit.contents if item.what == fastener.id]
        found = found & space.region(reduce(or_, listed, listed[0])) if listed else found
    return found


def _gap(fastener: Fastener, cars: Region) -> Iterator[Finding]:
    """Find the cars that have a joint and meet none of the conditions of its stages."""
    space, left = cars.space, cars
    for when, _ in fastener.how_tight.by_condition:
        left = left - space.region(when)
    if left:
        only = shortest_text(left.within(cars))
        said = f"`{fastener.id}`: `tighten` says nothing for cars with `{only}`"
        hint = f'add `"{only}": [...]`, or limit the joint with `when`'
        yield Finding(fastener.place, "no-torque", said, hint)


def _overlaps(fastener: Fastener, cars: Region) -> Iterator[Finding]:
    """Find the cars for which a joint has two torques."""
    space = cars.space
    for (one, first), (other, second) in combinations(fastener.how_tight.by_condition, 2):
        both = cars & space.region(one) & space.region(other)
        if both and first != second:
            said = (
                f"`{fastener.id}`: on cars with `{shortest_text(both.within(cars)) or one}`"
                f" `tighten` says both `{one}` and `{other}`"
            )
            hint = f"make them exclude each other: `{other} and not {bracketed(one)}`"
            yield Finding(fastener.place, "two-torques", said, hint)


def sources(manual: Manual, page: str) -> Iterator[Finding]:
    """Find torques whose source is not told, or the state of whose threads."""
    for fastener in whole_things(manual, page, Fastener):
        torques = ", ".join(s.written() for s in fastener.how_tight.every if _is_figure(s))
        if torques and not fastener.source:
            said = f"`{fastener.id}`: nothing says where {torques} comes from"
            hint = "write `source:` with the sheet, its revision and the page"
            yield Finding(fastener.place, "no-source", said, hint)
        if torques and _wants_condition(fastener):
            said = f"`{fastener.id}`: {torques}, and nothing says what is on the threads"
            hint = (
                "write `condition:` as the source has it: dry, oiled, thread-locker, as supplied …"
            )
            yield Finding(fastener.place, "condition-missing", said, hint)


def _is_figure(stage: Stage) -> bool:
    """Whether a stage has a figure that comes from somewhere: a torque, or a stretch."""
    return stage.torque is not None or stage.kind is StageKind.STRETCH


def _wants_condition(fastener: Fastener) -> bool:
    """Whether a torque makes a clamp load over a thread that friction decides on."""
    return (
        fastener.condition is None
        and fastener.kind in JUDGED_KINDS
        and fastener.thread is not None
        and fastener.class_.strip().lower() not in _NOT_KNOWN
        and any(stage.kind in _BY_FRICTION for stage in fastener.how_tight.every)
    )


def no_wrench(manual: Manual, page: str) -> Iterator[Finding]:
    """Find torques of a page's procedures that no wrench of the shop can do.

    Silent for a shop that names no wrenches. Dates are not asked about here.
    """
    if not manual.shop.torque_wrenches:
        return
    for fastener, step in _tightened_variants(manual, page):
        for n, stage in enumerate(fastener.tighten, start=1):
            choice = choice_for(stage, manual.shop, fastener.adapter)
            if choice is not None and choice.first is None:
                where = f"stage {n} of " if len(fastener.tighten) > 1 else ""
                said = f"no wrench of the shop does {where}`{fastener.id}`, {stage.written()}"
                yield Finding(fastener.place, "no-wrench", said, _hint(choice), related=(step,))


def past_due(manual: Manual, page: str) -> Iterator[Finding]:
    """Find the wrenches and gauges that a page's procedures would use, past their date.

    Silent where nobody asks about a day (:meth:`Shop.judged_on`), as in a build.
    """
    day = manual.shop.day
    if day is None:
        return
    for fastener, _ in _tightened_variants(manual, page):
        for tool, until in _first_choices(fastener, manual.shop):
            if until is not None and until < day:
                yield _too_late(tool, until)


def _tightened(manual: Manual, page: str) -> Iterator[tuple[Fastener, Place]]:
    """Yield each fastener group that the procedures of a page tighten, with the first place."""
    for plan in plans_on(manual, page):
        places: dict[str, Place] = {}
        for action in (action for each in plan.steps for action in each.step.actions):
            for named in action.objects if action.verb == "tighten" else ():
                places.setdefault(str(named), action.place)
        for name, place in places.items():
            fastener = plan.scope.of(Fastener, name)
            if fastener is not None and not manual.is_damaged(fastener):
                yield fastener, place


def _tightened_variants(manual: Manual, page: str) -> Iterator[tuple[Fastener, Place]]:
    for fastener, place in _tightened(manual, page):
        yield from ((each, place) for each in fastener.variants)


def _first_choices(
    fastener: Fastener, shop: Shop
) -> Iterator[tuple[TorqueWrench | AngleGauge, datetime.date | None]]:
    """The tools that come first for each stage, whatever the day, and the last day of their use."""
    drive = ""
    for stage in fastener.tighten:
        choice = choice_for(stage, shop, fastener.adapter)
        if choice is not None and choice.first is not None:
            wrench = shop.torque_wrenches[shop.wrenches.index(choice.first.wrench)]
            drive = wrench.drive
            yield wrench, wrench.calibration_due
        gauge = gauge_for(stage, shop, drive)
        if gauge is not None:
            yield gauge, gauge.check_due


def _too_late(tool: TorqueWrench | AngleGauge, until: datetime.date) -> Finding:
    line = tool.id.line if isinstance(tool.id, Scalar) else 1
    return Finding(
        Place(SHOP_PAGE, max(line, 1)),
        "wrench-out-of-date",
        f"joints are planned with `{tool.id}` ({tool.name}), which was due on {until}",
        "have it calibrated and write its new dates here, or lay it aside and take it out",
    )


def _hint(choice: Choice) -> str:
    told = "; ".join(f"`{each.wrench.id}`: {each.text}" for each in _nearest(choice.refused))
    return f"{told}. Look at the torque, or add a wrench to {SHOP_PAGE}"


def _nearest(refused: Iterable[Refusal]) -> list[Refusal]:
    """Of those that are too small the largest, of those too large the smallest; all others."""
    listed = list(refused)
    small = [each for each in listed if each.why is Why.TOO_SMALL]
    large = [each for each in listed if each.why is Why.TOO_LARGE]
    near = [max(small, key=lambda each: each.wrench.most)] if small else []
    near += [min(large, key=lambda each: each.wrench.least)] if large else []
    return near + [each for each in listed if each not in small and each not in large]
