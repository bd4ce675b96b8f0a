"""Tightening: torques and angles against the thread and the grade that take them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.entities.car import Fastener
from procedures_lib.findings import Finding, Level
from procedures_lib.tables.joint_notes import joint_of
from procedures_lib.threads.strength import GradeError
from procedures_lib.tightening import StageKind
from procedures_lib.tightening.falling import falling_stages
from procedures_lib.tightening.joint import JUDGED_KINDS
from procedures_lib.tightening.judging import judge

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.manual import Manual

_NOT_KNOWN = {"", "unknown"}


def joints(manual: Manual, page: str) -> Iterator[Finding]:
    """Find torques and angles that do not go with the bolt, and stages that fall."""
    for fastener in manual.entities_on(page).values():
        if isinstance(fastener, Fastener) and not manual.is_damaged(fastener):
            yield from _falling(fastener)
            yield from _judged(fastener)


def said_of_torques(manual: Manual, page: str) -> Iterator[Finding]:
    """Find torques whose source is not told, or the state of whose threads."""
    for fastener in manual.contents[page].entities:
        if isinstance(fastener, Fastener) and not manual.is_damaged(fastener):
            yield from _unsaid(fastener)


def _falling(fastener: Fastener) -> Iterator[Finding]:
    for fault in falling_stages(fastener.tighten):
        said = f"`{fastener.id}`: {fault.message}"
        yield Finding(fastener.place, fault.check, said, fault.hint, fault.level)


def _judged(fastener: Fastener) -> Iterator[Finding]:
    joint = joint_of(fastener)
    if joint is None:
        return
    try:
        verdict = judge(joint)
    except GradeError as error:
        said = f"`{fastener.id}`: {error.message}"
        yield Finding(fastener.place, "unknown-class", said, error.hint)
        return
    for fault in verdict.faults if verdict else ():
        said = f"`{fastener.id}`: {fault.message}"
        yield Finding(fastener.place, fault.check, said, fault.hint, fault.level)


def _unsaid(fastener: Fastener) -> Iterator[Finding]:
    torques = [stage for stage in fastener.tighten if stage.torque is not None]
    if not torques:
        return
    shown = ", ".join(stage.written() for stage in torques)
    if not fastener.source:
        said = f"`{fastener.id}`: nothing says where {shown} comes from"
        hint = "write `source:` with the sheet, its revision and the page"
        yield Finding(fastener.place, "no-source", said, hint, Level.WARNING)
    if _wants_condition(fastener):
        said = f"`{fastener.id}`: {shown}, and nothing says what is on the threads"
        hint = "write `condition:` as the source has it: dry, oiled, thread-locker, as supplied …"
        yield Finding(fastener.place, "condition-missing", said, hint, Level.WARNING)


def _wants_condition(fastener: Fastener) -> bool:
    """Whether a torque makes a clamp load over a thread that friction decides on."""
    return (
        fastener.condition is None
        and fastener.kind in JUDGED_KINDS
        and fastener.thread is not None
        and fastener.class_.strip().lower() not in _NOT_KNOWN
        and any(stage.kind is StageKind.TORQUE for stage in fastener.tighten)
    )
