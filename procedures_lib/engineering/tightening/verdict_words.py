"""The figures of a verdict in words: loads in kN, shares of the proof load, what is behind them."""

from __future__ import annotations

from procedures_lib.engineering.tightening.bounds import Interval
from procedures_lib.engineering.tightening.joint import Verdict


def kilonewtons(load: float) -> str:
    """A load in N as "21.2 kN"."""
    return f"{load / 1000:.3g} kN"


def percent(share: Interval) -> str:
    """Bounds of a share as "48 to 106 %", to two figures."""
    low, high = (f"{float(f'{100 * end:.2g}'):g}" for end in (share.low, share.high))
    return f"{low} %" if low == high else f"{low} to {high} %"


def note_summary(verdict: Verdict) -> str:
    """What stands behind the torque of a joint, in one line."""
    return f"clamps with {percent(verdict.share)} of proof load" if verdict.share else ""


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
