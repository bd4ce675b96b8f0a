"""How a joint was judged, for people: the few figures behind its torque, all as bounds."""

from __future__ import annotations

from dataclasses import dataclass

from procedures_lib.engineering.quantities import Quantity
from procedures_lib.engineering.threads.bolt_grades import GradeError
from procedures_lib.engineering.tightening.joint import Joint, Verdict
from procedures_lib.engineering.tightening.joint_faults import kilonewtons, percent
from procedures_lib.engineering.tightening.judgement import judge
from procedures_lib.language.entities.car import Fastener


@dataclass(frozen=True, slots=True)
class JointNote:
    """What stands behind the torque of a joint.

    ``summary`` is one line; ``rows`` are pairs of a label and a value, in reading order.
    """

    summary: str
    rows: tuple[tuple[str, str], ...]


def joint_of(fastener: Fastener) -> Joint | None:
    """The joint of a group of fasteners; None without a thread, a class or a stage."""
    if fastener.thread is None or not fastener.class_ or not fastener.tighten:
        return None
    into = fastener.into
    return Joint(
        thread=fastener.thread.thread,
        grade=fastener.class_,
        stages=fastener.tighten,
        kind=fastener.kind,
        condition=fastener.condition or "",
        head=fastener.head,
        material=into.material if into else "",
        engagement=_millimetres(into.engagement) if into else None,
        grip=_millimetres(fastener.grip),
        reuse=fastener.reuse,
    )


def joint_note(fastener: Fastener) -> JointNote | None:
    """The note of a joint; None when the joint can't be judged."""
    joint = joint_of(fastener)
    try:
        verdict = judge(joint) if joint else None
    except GradeError:
        return None
    if verdict is None or verdict.share is None:
        return None
    return JointNote(f"clamps with {percent(verdict.share)} of proof load", note_rows(verdict))


def note_rows(verdict: Verdict) -> tuple[tuple[str, str], ...]:
    """The figures of a verdict: label and value, each value with its unit."""
    basis = verdict.basis
    thread, friction = basis.thread, basis.friction
    rows = [
        ("Thread", f"{basis.joint.thread}, stress area {thread.stress_area:.3g} mm²"),
        (
            "Proof stress",
            f"{basis.strength.proof_stress:.0f} MPa ({basis.strength.grade}),"
            f" proof load {kilonewtons(basis.proof_load)}",
        ),
        ("Friction", f"{friction.range.low:g} to {friction.range.high:g} ({friction.condition})"),
    ]
    return (*rows, *_load_rows(verdict))


def _load_rows(verdict: Verdict) -> list[tuple[str, str]]:
    load, share = verdict.load, verdict.share
    if load is None or share is None:
        return []
    rows = [
        ("Clamp load", f"{load.low / 1000:.3g} to {kilonewtons(load.high)}"),
        ("Share of proof load", percent(share)),
    ]
    if verdict.strip is not None:
        low, high = verdict.strip.low, verdict.strip.high
        rows.append(("Thread strips at", f"{low / 1000:.3g} to {kilonewtons(high)}"))
    if verdict.past_yield:
        rows.append(("Tightened", "past yield"))
    return rows


def stress_rows(verdict: Verdict) -> list[tuple[str, str]]:
    """What an engineer wants besides: the factor K, and the stress while the wrench turns."""
    factor, stress = verdict.nut_factor, verdict.stress
    rows = [("K in T = K d F", f"{factor.low:.2f} to {factor.high:.2f}")]
    if stress is not None:
        limit = verdict.basis.strength.yield_stress
        rows.append(
            (
                "Combined stress",
                f"{stress.low:.0f} to {stress.high:.0f} MPa (yield {limit:.0f} MPa)",
            )
        )
    return rows


def _millimetres(length: Quantity | None) -> float | None:
    """A length in mm; the longer end of a range, which bears more and bends further."""
    return None if length is None else float(length.exact("mm")[1])
