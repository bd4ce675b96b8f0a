"""Water vapour in the air: what the barometer shows is dry air and vapour together."""

from __future__ import annotations

import math


def saturation_pressure_hpa(temperature_c: float) -> float:
    """Return the saturation vapour pressure over water in hPa, for -40 to 60 °C.

    Source: Buck (1996, equation of the CR-1A manual), over water, without the enhancement factor
    of moist air: 6.1121 exp((18.678 - t/234.5) t / (257.14 + t)), t in °C.
    """
    t = temperature_c
    return 6.1121 * math.exp((18.678 - t / 234.5) * t / (257.14 + t))


def vapour_pressure_hpa(temperature_c: float, humidity_percent: float) -> float:
    """Return the vapour pressure in hPa of air at a relative humidity in %.

    ValueError for a humidity below 0 or above 100 %.
    """
    if not 0 <= humidity_percent <= 100:
        raise ValueError(f"a relative humidity of {humidity_percent:g} % can't be")
    return saturation_pressure_hpa(temperature_c) * humidity_percent / 100


def dry_pressure_hpa(pressure_hpa: float, temperature_c: float, humidity_percent: float) -> float:
    """Return the pressure of the dry air in hPa: the barometer less the vapour pressure.

    ``pressure_hpa`` is the pressure at the dyno (station pressure), not one reduced to sea level.
    """
    return pressure_hpa - vapour_pressure_hpa(temperature_c, humidity_percent)
