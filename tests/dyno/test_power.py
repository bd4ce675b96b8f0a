"""Power, torque, speed: the constants of the trade, and worked values."""

from __future__ import annotations

import pytest
from scipy import constants

from procedures_lib.engineering.dyno.pull import HP_RPM, KW_RPM, power_kw, torque_n_m
from procedures_lib.engineering.quantities.units import factor_between


def test_the_constants() -> None:
    # 33000/(2 pi) and 60000/(2 pi): by definition of hp (550 ft·lbf/s, NIST SP 811) and of kW.
    assert pytest.approx(5252.113122032546, rel=1e-12) == HP_RPM
    assert pytest.approx(9549.296585513720, rel=1e-12) == KW_RPM
    assert abs(5252 / HP_RPM - 1) < 2.2e-5


def test_hp_and_lbf_ft_cross_at_5252() -> None:
    lbf_ft = factor_between("lbf·ft", "N·m")
    watts = power_kw(300 * lbf_ft, HP_RPM) * 1000
    assert watts / constants.hp == pytest.approx(300, rel=1e-9)


def test_a_worked_value() -> None:
    # 200 N·m at 6000 rpm: 125.6637 kW, 168.518 hp, 170.855 PS (by definition).
    kw = power_kw(200, 6000)
    assert kw == pytest.approx(125.6637, rel=1e-6)
    for unit, expected in (("hp", 168.518), ("PS", 170.855)):
        assert kw / factor_between(unit, "kW") == pytest.approx(expected, rel=1e-5)
    assert torque_n_m(kw, 6000) == pytest.approx(200)
