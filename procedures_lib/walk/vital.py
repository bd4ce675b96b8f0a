"""What must not fail on the road: brakes, steering, wheels and fuel, by what runs in it and its id.

The words are common practice, no source.
"""

from __future__ import annotations

import re

CARRIED = frozenset({"brake-fluid", "fuel"})
"""What runs in a thing, or is a fluid, that is never handed on open."""

SYSTEMS = ("brakes", "steering", "wheels", "fuel")

_RUNS_IN = {"brake-fluid": "brakes", "fuel": "fuel", "fuel-vapour": "fuel"}
_BRAKES = re.compile(r"(?:^|-)(?:brakes?|calipers?|handbrake|wheel-cylinders?)(?:-|$)")
_STEERING = re.compile(r"(?:^|-)(?:steering|tie-rods?|track-rods?|drag-links?|pitman)(?:-|$)")
_WHEEL = re.compile(r"(?:^|-)wheels?(?:-|$)")
_ABOUT_A_WHEEL = re.compile(
    r"steering|spare|arch|cover|liner|sensor|speed|fly|cap|trim|hous|bearing|hub|lock|nut|well"
)
_FUEL = re.compile(r"(?:^|-)(?:fuel|petrol|diesel)(?:-|$)")
_BY_ID = {"brakes": _BRAKES, "steering": _STEERING, "fuel": _FUEL}


def steers(name: str) -> bool:
    """Tell whether a thing is of the steering, by its id."""
    return bool(_STEERING.search(name))


def is_road_wheel(name: str) -> bool:
    """Tell whether a part is a road wheel, by its id: `front-wheels`, not `steering-wheel`."""
    return bool(_WHEEL.search(name) and not _ABOUT_A_WHEEL.search(name))


def system_of(name: str, carries: str = "") -> str:
    """Return which of :data:`SYSTEMS` a thing is of, by what runs in it or its id; "" for none."""
    if carries in _RUNS_IN:
        return _RUNS_IN[carries]
    if is_road_wheel(name):
        return "wheels"
    return next((system for system, words in _BY_ID.items() if words.search(name)), "")
