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
PEAK_WINDOW_SHARE: float = _value("peak_window_share")
SEARCH_SHARE: float = _value("search_share")
FEWEST_IN_WINDOW: int = _value("fewest_in_window")
FEWEST_COMMON_RPM: int = _value("fewest_common_rpm")
DISAGREE_SHARE: float = _value("disagree_share")
DISAGREE_ROW_SHARE: float = _value("disagree_row_share")
DISAGREE_ROWS_SHARE: float = _value("disagree_rows_share")
TYRE_PRESSURE_KPA: int = _value("tyre_pressure_kPa")
DRIVELINE_SHARE: float = _value("driveline_share")
LARGEST_CROSSINGS: int = _value("largest_crossings")
VERIFIED_DAYS: int = _value("verified_days")
FEWEST_TURNS: int = _value("fewest_turns")
TWO_EACH: float = _value("two_each")
LEAP_SHARE: float = _value("leap_share")
LEAP_NOISES: float = _value("leap_noises")
LEAPING_ROWS_SHARE: float = _value("leaping_rows_share")
FEWEST_FOR_NOISE: int = _value("fewest_for_noise")
NOISE_SHARE: float = _value("noise_share")
NOISE_RATIO: float = _value("noise_ratio")
APART_SHARE: float = _value("apart_share")
LEAST_RATIO: float = _value("least_ratio")
MOST_RATIO: float = _value("most_ratio")
MIXED_UP_WITHIN: float = _value("mixed_up_within")
SWEEP_RATIO: float = _value("sweep_ratio")
LEAST_SHIFT_RPM: float = _value("least_shift_rpm")
MOST_SHIFT_RPM: float = _value("most_shift_rpm")
SHIFT_EXPLAINS: float = _value("shift_explains")
SHIFT_LEAVES: float = _value("shift_leaves")
DRIFT_SHARE: float = _value("drift_share")
FLAT_SHARE: float = _value("flat_share")
FLAT_SQUARES: float = _value("flat_squares")
UNLIKE_AIR_SHARE: float = _value("unlike_air_share")
SAME_DAY_HPA: int = _value("same_day_hPa")
OTHER_DAY_HPA: int = _value("other_day_hPa")
TEMPERATURE_JUMP_C: int = _value("temperature_jump_C")
TREND_SHARE: float = _value("trend_share")
TREND_SURE: float = _value("trend_sure")
PEAK_SHARE: float = _value("peak_share")
TOP_WIDTH_RPM: int = _value("top_width_rpm")
LEAP_WITHIN_RPM: int = _value("leap_within_rpm")
LEAP_SHARE_FAR: float = _value("leap_share_far")
