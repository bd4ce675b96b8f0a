"""A torque on a page, with its texts led by each customary unit, for readers who choose one.

Every text is worked out here, when the site is built; a page only changes which one it shows.
"""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from procedures_lib.quantities import convert
from procedures_lib.quantities.converting import TORQUE_LEADS
from procedures_lib.tables.torque import stages_led

if TYPE_CHECKING:
    from collections.abc import Sequence

    from procedures_lib.quantities import Quantity
    from procedures_lib.tightening import Stage

Amounts = dict[str, str]
"""For each unit that may lead besides N·m, the text that it leads; empty without a torque."""

_ATTRIBUTES = {"lbf·ft": "data-lbf-ft", "lbf·in": "data-lbf-in"}


def stage_amounts(stages: Sequence[Stage], number: int = 0) -> Amounts:
    """Return the texts of all stages of a joint, or those of the one numbered."""
    one = 0 < number <= len(stages)
    listed = stages[number - 1 : number] if one else stages
    before = f"stage {number}: " if one else ""
    return {unit: before + text for unit, text in stages_led(listed)}


def quantity_amounts(q: Quantity) -> Amounts:
    """Return the texts of a quantity: none unless it is a torque."""
    if q.kind != "torque":
        return {}
    last = convert(q, TORQUE_LEADS).text
    return {unit: f"{convert(q, unit).text} ({last})" for unit in _ATTRIBUTES}


def amount_open(amounts: Amounts, name: str = "span") -> str:
    """Return the opening tag of an element that shows a torque."""
    texts = "".join(f' {_ATTRIBUTES[unit]}="{escape(text)}"' for unit, text in amounts.items())
    return f'<{name} class="torque"{texts}>'


def amount_html(inner: str, amounts: Amounts, name: str = "span") -> str:
    """Return the element that shows a torque; ``inner`` is HTML."""
    return f"{amount_open(amounts, name)}{inner}</{name}>"
