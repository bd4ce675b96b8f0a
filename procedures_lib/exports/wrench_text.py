"""The choice of a torque wrench or angle gauge as lines of text, and as a value for JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from procedures_lib.exports.json_value import FORMAT, stage_value
from procedures_lib.exports.spacing import spaced
from procedures_lib.tightening import Stage, StageKind
from procedures_lib.tightening.settings import band_text, in_unit, percent, torque_text

if TYPE_CHECKING:
    import datetime

    from procedures_lib.manual.shop import AngleGauge
    from procedures_lib.tightening.wrench import Choice, Fit

_BAND_UNITS = ("N·m", "lbf·ft", "lbf·in")


def choice_lines(stage: Stage, choice: Choice) -> list[str]:
    """Return what to take and set, the band that this gives, and why others won't do."""
    lines = [f"For {stage.shown()}"]
    if choice.best is None:
        lines.append("No wrench of the shop does this.")
    else:
        lines += _fit_lines(stage, choice.best)
    if choice.refused:
        lines.append("Not these:")
        lines += [f"  {each.wrench.name}: {each.why}, {each.text}" for each in choice.refused]
    return [spaced(line) for line in lines]


def _fit_lines(stage: Stage, fit: Fit) -> list[str]:
    does = "read" if fit.wrench.shows else "set"
    end = "at most " if stage.kind is StageKind.NEXT_SLOT else ""
    lines = [f"Take {fit.wrench.name}, {does} {end}{torque_text(fit.setting)}"]
    if fit.low is None or fit.high is None or fit.wrench.deviation is None:
        lines.append("How far it may be off is not known: the shop file does not state its class.")
        return lines
    bands = ", ".join(band_text(fit.low, fit.high, unit) for unit in _BAND_UNITS)
    off = f"±{percent(fit.wrench.deviation)}, class {fit.wrench.deviation_class}"
    lines.append(f"The fastener gets {bands} ({off})")
    return lines


def choice_json(stage: Stage, choice: Choice, day: datetime.date) -> dict[str, Any]:
    """Return ``{format, stage, on, take, not}``; torques in N·m, the setting also in the others."""
    return {
        "format": FORMAT,
        "stage": stage_value(stage),
        "on": str(day),
        "take": _fit_value(choice.best) if choice.best else None,
        "not": [
            {"id": each.wrench.id, "why": str(each.why), "text": spaced(each.text)}
            for each in choice.refused
        ],
    }


def _fit_value(fit: Fit) -> dict[str, Any]:
    return {
        "id": fit.wrench.id,
        "name": spaced(fit.wrench.name),
        "set": {unit: in_unit(fit.setting, unit) for unit in _BAND_UNITS},
        "deviation": fit.wrench.deviation,
        "low": None if fit.low is None else {u: in_unit(fit.low, u) for u in _BAND_UNITS},
        "high": None if fit.high is None else {u: in_unit(fit.high, u) for u in _BAND_UNITS},
    }


def gauge_lines(stage: Stage, gauge: AngleGauge | None) -> list[str]:
    """Return which gauge to take for an angle."""
    if gauge is None:
        return [f"For {stage.shown()}", "No angle gauge of the shop goes so far."]
    step = f", in steps of {gauge.step}" if gauge.step else ""
    return [f"For {stage.shown()}", f"Take {gauge.name}{step}"]


def gauge_json(stage: Stage, gauge: AngleGauge | None) -> dict[str, Any]:
    """Return ``{format, stage, take}`` for an angle."""
    take = {"id": str(gauge.id), "name": spaced(gauge.name)} if gauge else None
    return {"format": FORMAT, "stage": stage_value(stage), "take": take}
