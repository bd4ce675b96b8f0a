"""How bad a fault is: by a rule from the trade, never by what is found.

What can injure or lose the car: brakes, steering, suspension, wheels and what turns or carries
them, fuel, airbags, the battery, brake fluid and refrigerant, what holds a car or a load up, and
whatever a hazard is about. Common practice, no source.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from tests.faults.kinds import Severity

if TYPE_CHECKING:
    from tests.faults.demo import Demo
    from tests.faults.kinds import Fault, Kind

STEMS = (
    "brake", "caliper", "carrier", "discs?(?![a-z])", "drum", "pad", "pedal", "banjo",
    "wheel", "hub", "lug", "lock-to-lock",
    "steer", "track-rod", "tie-rod", "rack", "knuckle", "control-arm", "arm-bush", "anti-roll",
    "strut", "damper", "spring", "axle", "shaft", "propshaft", "driveshaft", "pinion", "ring-gear",
    "differential", "bearing-cap", "bearing-adjuster", "cap-bolt",
    "fuel", "petrol", "tank", "vapour", "pump-module", "module-bolt", "feed-line", "purge",
    "crossover", "filler", "airbag", "bolster", "battery", "refrigerant", "hydraulic",
    "high-voltage", "orange",
    "support", "release", "vehicle", "jack", "stands", "chock", "sling", "prop",
    "crane", "bed", "isolate", "relieve", "cool(?![a-z])", "hazard", "danger", "warning",
    "(?:raise|lower)-car", "assist-cable", "glasses", "gloves", "extinguisher", "boot", "earthing",
    "spring-compressor",
)  # fmt: skip
"""Patterns of how the words begin that name such a thing, in ids, names and verbs."""

HARMLESS_NAMES = ("clutch disc", "clutch-disc", "spring clip", "release bearing", "release-bearing")
"""Names in which such a word means something else."""

_WORD = re.compile(r"(?:^|[^a-z])(?:" + "|".join(STEMS) + ")")


def is_dangerous(demo: Demo, word: str) -> bool:
    """Tell whether a word, an id or the name of what it stands for is among what can injure."""
    return any(_dangerous(text) for text in (word, *demo.names.get(word, ())))


def _dangerous(text: str) -> bool:
    lower = text.lower()
    for name in HARMLESS_NAMES:
        lower = lower.replace(name, "")
    return bool(_WORD.search(lower) or _WORD.search(lower.replace(" ", "-")))


def severity(demo: Demo, kind: Kind, fault: Fault) -> Severity:
    """Return how bad a fault is."""
    if fault.severity is not None:
        return fault.severity
    if kind.rises and any(is_dangerous(demo, word) for word in fault.touches):
        return Severity.INJURES
    return kind.severity
