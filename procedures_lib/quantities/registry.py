"""The one door to pint.

Reading and converting need no pint: the exact factors stand in ``units.toml``, and a test compares
each of them with pint's. What computes with pint's own quantities starts here; pint is loaded at
the first call, not at import (it takes longer to start than a page takes to read).
"""

from __future__ import annotations

from functools import cache
from typing import Any


@cache
def registry() -> Any:
    """Return the only unit registry of the library (quantities of two registries don't add)."""
    import pint  # noqa: PLC0415  loaded only where it is needed

    return pint.UnitRegistry()


def pint_quantity(value: float, pint_name: str) -> Any:
    """Return a value (plain float) with a unit in pint's words, as a quantity of ``registry()``."""
    return registry().Quantity(value, pint_name or "dimensionless")
