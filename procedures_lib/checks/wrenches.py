"""Tightening: joints that no wrench of the shop can do, and wrenches past their date."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.entities.car import Fastener
from procedures_lib.entities.work import Procedure
from procedures_lib.findings import Finding, Place
from procedures_lib.manual.shop import SHOP_PAGE
from procedures_lib.reading.scalar import Scalar
from procedures_lib.tables.tooling import choice_for, gauge_for
from procedures_lib.tightening.wrench import Why

if TYPE_CHECKING:
    import datetime
    from collections.abc import Iterable, Iterator

    from procedures_lib.manual import Manual, Plan
    from procedures_lib.manual.shop import AngleGauge, Shop, TorqueWrench
    from procedures_lib.tightening.wrench import Choice, Refusal


def no_wrench(manual: Manual, page: str) -> Iterator[Finding]:
    """Find torques of a page's procedures that no wrench of the shop can do.

    Silent for a shop that names no wrenches. Dates are not asked about here.
    """
    if not manual.shop.torque_wrenches:
        return
    for fastener, step in _tightened(manual, page):
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
    for fastener, _ in _tightened(manual, page):
        for tool, until in _first_choices(fastener, manual.shop):
            if until is not None and until < day:
                yield _too_late(tool, until)


def _tightened(manual: Manual, page: str) -> Iterator[tuple[Fastener, Place]]:
    """Yield each fastener group that the procedures of a page tighten, with the first place."""
    for head in manual.entities_on(page).values():
        if isinstance(head, Procedure):
            plan = manual.plan(head)
            for name, place in _names(plan).items():
                fastener = plan.scope.of(Fastener, name)
                if fastener is not None and not manual.is_damaged(fastener):
                    yield fastener, place


def _names(plan: Plan) -> dict[str, Place]:
    found: dict[str, Place] = {}
    for numbered in plan.steps:
        for action in numbered.step.actions:
            if action.verb == "tighten":
                for name in action.objects:
                    found.setdefault(str(name), action.place)
    return found


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
