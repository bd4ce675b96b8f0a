"""Slips of unit on usual joints: how many the judgement of a joint rejects.

``python -m tests.tightening.slips`` prints the table that docs/reference/joints.md shows.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from procedures_lib.engineering.threads import read_thread
from procedures_lib.engineering.threads.bolt_grades import strength
from procedures_lib.engineering.threads.dimensions import dimensions
from tests.tightening.joints import HEXES, faults_of

THREADS = ("M5", "M6", "M8", "M8x1", "M10", "M10x1.25", "M12", "M12x1.5", "M14", "M14x1.5")
GRADES = ("5.8", "8.8", "10.9", "12.9")
SHARES = (0.5, 0.65, 0.75, 0.85)
NUT_FACTORS = {
    "dry": 0.20,
    "oiled": 0.16,
    "greased": 0.15,
    "anti-seize": 0.14,
    "thread-locker": 0.18,
    "thread-sealant": 0.16,
    "as supplied": 0.18,
    "not said": 0.20,
}
"""K that charts assume (Shigley, 9th ed., Table 8-15, and common practice; 0.20 where the condition
of the bolt is not stated is Shigley's own advice, section 8-8)."""

SLIPS = {
    "lbf·in read as lbf·ft": 12.0,
    "lbf·in read as N·m": 1 / 0.1129848290276167,
    "lbf·ft read as lbf·in": 1 / 12,
    "N·m read as lbf·in": 0.1129848290276167,
    "N·m read as lbf·ft": 1.3558179483314004,
    "lbf·ft read as N·m": 1 / 1.3558179483314004,
}
"""By how much a torque changes when its number is read in another unit (NIST SP 811, B.8)."""


@dataclass(frozen=True, slots=True)
class Usual:
    """A joint tightened to a share of its proof load, with the torque in N·m that does it."""

    thread: str
    grade: str
    condition: str
    share: float
    torque: float

    def findings(self, factor: float = 1.0) -> list[tuple[str, str]]:
        """What is found when the torque is wrong by a factor."""
        size = float(read_thread(self.thread).diameter)
        head = f"hex {HEXES[int(size)]} mm"
        torque = f"{self.torque * factor:.2f} N·m"
        condition = "" if self.condition == "not said" else self.condition
        return faults_of(self.thread, self.grade, torque, condition=condition, head=head)


def usual_joints() -> Iterator[Usual]:
    """Sizes × classes × conditions × shares of proof."""
    for name in THREADS:
        thread = read_thread(name)
        size = dimensions(thread)
        for grade in GRADES:
            found = strength(grade, thread)
            assert found is not None
            for condition, nut_factor in NUT_FACTORS.items():
                for share in SHARES:
                    load = share * found.proof_stress * size.stress_area
                    torque = nut_factor * size.diameter / 1000 * load
                    yield Usual(name, grade, condition, share, torque)


def rejected(slip: str) -> dict[str, float]:
    """The share of usual joints, by condition, on which a slip is rejected."""
    hits: dict[str, list[bool]] = {}
    for usual in usual_joints():
        hits.setdefault(usual.condition, []).append(bool(usual.findings(SLIPS[slip])))
    return {condition: sum(found) / len(found) for condition, found in hits.items()}


def table() -> list[str]:
    """The lines of a Markdown table: slips by conditions, per cent rejected."""
    lines = [f"| slip | {' | '.join(NUT_FACTORS)} |", "|---|" + "---:|" * len(NUT_FACTORS)]
    for slip in SLIPS:
        found = rejected(slip)
        cells = " | ".join(f"{100 * found[condition]:.0f} %" for condition in NUT_FACTORS)
        lines.append(f"| {slip} | {cells} |")
    return lines


if __name__ == "__main__":
    print("\n".join(table()))
