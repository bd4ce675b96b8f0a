"""Which parts are road wheels: without them the car can't be lowered."""

from __future__ import annotations

import re

from procedures_lib.entities.car import Part

_WHEEL = re.compile(r"(?:^|-)wheels?(?:-|$)")
_ABOUT_A_WHEEL = re.compile(
    r"steering|spare|arch|cover|liner|sensor|speed|fly|cap|trim|hous|bearing|hub|lock|nut|well"
)


def is_road_wheel(name: str, thing: object) -> bool:
    """Tell by its id whether a part is a road wheel (`front-wheels`, not `steering-wheel`)."""
    return (
        isinstance(thing, Part)
        and _WHEEL.search(name) is not None
        and _ABOUT_A_WHEEL.search(name) is None
    )
