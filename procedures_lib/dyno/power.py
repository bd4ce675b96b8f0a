"""Power, torque and speed: any two give the third."""

from __future__ import annotations

import math

KW_RPM = 60000 / (2 * math.pi)
"""kW = N·m × rpm / 9549.297 (by definition of the kilowatt and the revolution per minute)."""

HP_RPM = 33000 / (2 * math.pi)
"""hp = lbf·ft × rpm / 5252.113 (hp is 550 ft·lbf/s, NIST SP 811, B.8; the trade says 5252)."""


def power_kw(torque_n_m: float, speed_rpm: float) -> float:
    """Return the power in kW of a torque in N·m at a speed in rpm."""
    return torque_n_m * speed_rpm / KW_RPM


def torque_n_m(power_in_kw: float, speed_rpm: float) -> float:
    """Return the torque in N·m of a power in kW at a speed in rpm (more than zero)."""
    return power_in_kw * KW_RPM / speed_rpm
