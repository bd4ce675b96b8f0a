"""What threads are cut into: the shear strength of each material, between two bounds."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from procedures_lib.threads.rows import rows


@dataclass(frozen=True, slots=True)
class HoleMaterial:
    """A material by its everyday name, and its shear strength in MPa between two bounds.

    The name on a page says neither alloy nor temper, so the bounds are wide. ``source`` says where
    they come from.
    """

    name: str
    shear_low: float
    shear_high: float
    source: str


def hole_material(name: str) -> HoleMaterial | None:
    """The material of this name (``aluminium``, ``cast iron``); None for one not in the table."""
    return _materials().get(" ".join(name.lower().split()))


@cache
def _materials() -> dict[str, HoleMaterial]:
    found = {}
    for row in rows("hole_materials.csv"):
        material = HoleMaterial(
            row["material"],
            float(row["shear_low_MPa"]),
            float(row["shear_high_MPa"]),
            row["source"],
        )
        for spelling in (row["material"], *filter(None, row["spellings"].split("; "))):
            found[spelling] = material
    return found
