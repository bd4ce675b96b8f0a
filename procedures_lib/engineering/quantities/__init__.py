"""Quantities: number, tolerance and unit, read from text, kept exact, converted once and shown.

Torques, angles, lengths, pressures and the rest share one grammar (``read_quantity``), one table
of units with their sources (``units.toml``) and one rule of rounding (``conversion``). Values
are fractions; pint, behind the one door of ``units``, is loaded only when ``Quantity.to_pint`` is
called.
"""

from procedures_lib.engineering.quantities.conversion import (
    MOST_MOVE,
    Converted,
    agrees,
    convert,
    customary,
    customary_torque_unit,
    reaches_outside,
    round_inwards,
    round_value,
    show_torque,
    with_conversion,
)
from procedures_lib.engineering.quantities.quantity import (
    NO_BREAK_SPACE,
    Quantity,
    quantity_of,
    read_quantity,
)
from procedures_lib.engineering.quantities.running_text import (
    TypedQuantity,
    find_quantities,
    find_spoken,
)
from procedures_lib.engineering.quantities.units import (
    KINDS,
    QuantityError,
    Unit,
    unit_named,
    units_of,
)

__all__ = [
    "KINDS",
    "MOST_MOVE",
    "NO_BREAK_SPACE",
    "Converted",
    "Quantity",
    "QuantityError",
    "TypedQuantity",
    "Unit",
    "agrees",
    "convert",
    "customary",
    "customary_torque_unit",
    "find_quantities",
    "find_spoken",
    "quantity_of",
    "reaches_outside",
    "read_quantity",
    "round_inwards",
    "round_value",
    "show_torque",
    "unit_named",
    "units_of",
    "with_conversion",
]
