"""How far a torque wrench may be off: the permissible deviation of its class, ISO 6789-1:2017."""

from __future__ import annotations

import csv
import re
from functools import cache
from importlib.resources import files

SMALL = 10.0
"""Up to this maximum torque, in N·m, a small wrench has the wider deviation."""

_WRITTEN = re.compile(r"(?:type\s+)?(II?)[\s,-]*(?:class\s+)?([A-G])$", re.IGNORECASE)


def class_named(text: str) -> str:
    """Return a class as ``II A``; "" for what is no class. ``Type II, class A`` is read too."""
    match = _WRITTEN.match(text.strip())
    name = f"{match[1]} {match[2]}".upper() if match else ""
    return name if name in _classes() else ""


def permissible_deviation(deviation_class: str, most: float) -> float | None:
    """Return the deviation as a share of the torque shown or set: 0.04 is ±4 %.

    ``most`` is the maximum torque of the tool in N·m, on which it depends. None when the class is
    not known. Source: ISO 6789-1:2017, 5.1.5 and table 2 (``deviation_classes.csv`` says which rows
    are from memory).
    """
    found = _classes().get(class_named(deviation_class))
    return None if found is None else found[0 if most <= SMALL else 1]


def class_names() -> list[str]:
    """The classes there are."""
    return list(_classes())


@cache
def _classes() -> dict[str, tuple[float, float]]:
    text = files(__package__).joinpath("deviation_classes.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(text.splitlines())
    return {row["class"]: (float(row["up_to_10"]), float(row["above_10"])) for row in rows}
