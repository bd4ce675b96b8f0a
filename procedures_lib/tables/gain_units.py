"""The units and numbers of a dyno report: gains, levels and speeds as a reader wants them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.dyno.verdicts import factor_to, in_unit, interval_text, kit_of
from procedures_lib.quantities import NO_BREAK_SPACE, unit_named

if TYPE_CHECKING:
    from collections.abc import Mapping

    from procedures_lib.dyno.measured import Measured
    from procedures_lib.dyno.spread import Interval
    from procedures_lib.manual import Manual

_BESIDE = {"kW": "hp", "hp": "kW", "PS": "kW", "N·m": "lbf·ft"}
_SPEEDS_TO = 10


def units_of(manual: Manual, measured: Measured) -> dict[str, str]:
    """Return the units of the report: the session's, else those of the kit's claims, else SI."""
    units = {"power": "kW", "torque": "N·m"}
    kit = kit_of(manual, measured.session)
    for claim in (kit.claims.power, kit.claims.torque) if kit else ():
        if claim is not None:
            units[claim.kind] = claim.unit
    for symbol in measured.session.units:
        units[unit_named(symbol).kind] = symbol
    return units


def level(value: float, quantity: str, units: Mapping[str, str]) -> str:
    """Return a power in kW or torque in N·m as text in the report's unit: ``149.7 hp``."""
    unit = units[quantity]
    return f"{value * factor_to(quantity, unit):.1f}{NO_BREAK_SPACE}{unit}"


def gained(interval: Interval, quantity: str, units: Mapping[str, str]) -> str:
    """Return a gain in the report's unit: ``+16.3 ± 1.2 hp``."""
    return interval_text(in_unit(interval, quantity, units[quantity]), units[quantity])


def gained_beside(interval: Interval, quantity: str, units: Mapping[str, str]) -> str:
    """Return the same gain in the other customary unit."""
    return gained(interval, quantity, {quantity: _BESIDE.get(units[quantity], "N·m")})


def area(value: float, quantity: str, units: Mapping[str, str]) -> str:
    """Return an area in kW·rpm or N·m·rpm in the report's unit, to three digits: ``52500``."""
    number = float(f"{value * factor_to(quantity, units[quantity]):.3g}")
    text = f"{number:+.0f}".replace("-", "\u2212")
    return f"{text}{NO_BREAK_SPACE}{units[quantity]}·rpm"


def share(interval: Interval, before: float) -> str:
    """Return a gain in per cent of what was there before."""
    text = f"{interval.estimate / before * 100:+.1f}".replace("-", "\u2212")
    return f"{text}{NO_BREAK_SPACE}%"


def rpm(speed: float) -> str:
    """Return a speed as text, to 10 rpm."""
    return f"{round(speed / _SPEEDS_TO) * _SPEEDS_TO:g}{NO_BREAK_SPACE}rpm"


def ranges(found: tuple[tuple[float, float], ...]) -> str:
    """Return ranges of speed as text: ``2000–3500 and 4200–6500 rpm``; "" for none."""
    texts = [f"{low:g}–{high:g}" if low != high else f"{low:g}" for low, high in found]
    return f"{' and '.join(texts)}{NO_BREAK_SPACE}rpm" if texts else ""
