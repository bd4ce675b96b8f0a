"""Where the dyno draws its lines: the numbers of ``limits.toml``, each with its source there."""

from __future__ import annotations

from typing import Any

from procedures_lib.data_tables import toml_table

_DATA = toml_table(__package__, "limits.toml")


def _value(name: str) -> Any:
    return _DATA[name]["value"]


CONFIDENCE: float = _value("confidence")
FEWEST_PULLS: int = _value("fewest_pulls")
FEWEST_ROWS: int = _value("fewest_rows")
MOST_ROWS: int = _value("most_rows")
TOP_SPEED_RPM: tuple[float, float] = _value("top_speed_rpm")
JITTER_SHARE: float = _value("jitter_share")
RISE_SHARE: float = _value("rise_share")
BEFORE_SHARE: float = _value("before_share")
GRID_STEP_RPM: int = _value("grid_step_rpm")
FEWEST_COMMON_RPM: int = _value("fewest_common_rpm")
DISAGREE_SHARE: float = _value("disagree_share")
DISAGREE_ROW_SHARE: float = _value("disagree_row_share")
DISAGREE_ROWS_SHARE: float = _value("disagree_rows_share")
TYRE_PRESSURE_KPA: int = _value("tyre_pressure_kPa")
DRIVELINE_SHARE: float = _value("driveline_share")
LARGEST_CROSSINGS: int = _value("largest_crossings")
VERIFIED_DAYS: int = _value("verified_days")
