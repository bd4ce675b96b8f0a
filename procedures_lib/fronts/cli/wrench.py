"""``procedures wrench``: which of the shop's wrenches does a torque, and what to set on it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from procedures_lib.engineering.quantities import Quantity
from procedures_lib.engineering.tightening import Stage, StageError, StageKind, read_stage
from procedures_lib.engineering.tightening.wrench import Adapter, Choice, Fit, Need, Wrench, need_of
from procedures_lib.engineering.tightening.wrench_choice import (
    band_text,
    choose,
    in_unit,
    percent,
    torque_text,
)
from procedures_lib.fronts.cli.arguments import Amount, AmountCommand, Size, with_day
from procedures_lib.fronts.cli.loading import SHOP_PAGE, Folders, read_settings, with_folders
from procedures_lib.fronts.cli.terminal import EXIT_CODES, ExitCode, Refused, write_json
from procedures_lib.fronts.formats.table_text import spaced
from procedures_lib.fronts.formats.values import FORMAT, stage_value
from procedures_lib.manual.shop import AngleGauge, Shop
from procedures_lib.view.joint import gauge_for

if TYPE_CHECKING:
    import datetime


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


@click.command(cls=AmountCommand, epilog=EXIT_CODES)
@click.argument("stage", nargs=-1, required=True, metavar="STAGE…")
@click.option(
    "--adapter",
    type=Amount("length"),
    metavar="LENGTH",
    help="Length of a crow-foot or the like, from the square to the fastener.",
)
@click.option(
    "--angle",
    type=Amount("angle"),
    metavar="ANGLE",
    help="Angle between adapter and wrench.  [default: 0°, in line]",
)
@click.option(
    "--length",
    type=Amount("length"),
    metavar="LENGTH",
    help="Length of the wrench, from the square to the middle of the grip.  "
    "[default: the one in the shop file]",
)
@click.option(
    "--drive", type=Size(), default="", metavar="SIZE", help="Only wrenches with this square."
)
@click.option("--json", "as_json", is_flag=True, help="Write the answer as JSON.")
@with_day
@with_folders
def wrench(
    stage: tuple[str, ...], as_json: bool, day: datetime.date, folders: Folders, drive: str,
    **lengths: Quantity | None,
) -> int:  # fmt: skip
    """Choose a torque wrench of the shop for a STAGE, such as `12 N·m`, `10-12 N·m`, `+45°`.

    Prints the wrench, what to set on it, what the fastener gets if the wrench is off by all that
    its class permits (ISO 6789-1), and why the other wrenches won't do. The exit code is 1 when
    none does. Drag (`drag 2.0-2.6 N·m`) takes a wrench that shows the torque, an angle the gauge.
    """
    shop, findings = read_settings(folders)
    if findings:
        shown = folders.shown(SHOP_PAGE)
        click.echo(
            f"Note: not all of {shown} can be read; see `procedures check {shown}`.", err=True
        )
    asked = _stage(" ".join(stage))
    if asked.kind is StageKind.ANGLE:
        return _tell_gauge(asked, shop, as_json)
    need = need_of(asked, _adapter(lengths["adapter"], lengths["angle"]), drive)
    if need is None:
        raise Refused(f"`{asked.written()}` takes no torque wrench")
    return _tell_wrench(asked, need, _wrenches(shop, lengths["length"]), day, as_json)


def _stage(text: str) -> Stage:
    try:
        return read_stage(text)
    except StageError as error:
        raise Refused(f"{error.message}: {error.hint}") from None


def _adapter(length: Quantity | None, angle: Quantity | None) -> Adapter | None:
    if length is None:
        if angle is not None:
            raise Refused("--angle is that of an adapter: give its length, as in `--adapter 40 mm`")
        return None
    return Adapter(length.si * 1000, float(angle.exact_nominal("°")) if angle else 0.0)


def _wrenches(shop: Shop, length: Quantity | None) -> list[Wrench]:
    """The shop's wrenches, all of one length if one is given."""
    if length is None:
        return list(shop.wrenches)
    return [each.with_length(length.si * 1000) for each in shop.wrenches]


def _tell_wrench(
    stage: Stage, need: Need, wrenches: list[Wrench], day: datetime.date, as_json: bool
) -> ExitCode:
    choice = choose(wrenches, need, day)
    if as_json:
        write_json(choice_json(stage, choice, day))
    else:
        click.echo("\n".join(choice_lines(stage, choice)))
    return ExitCode.CLEAN if choice.best else ExitCode.FINDINGS


def _tell_gauge(stage: Stage, shop: Shop, as_json: bool) -> ExitCode:
    gauge = gauge_for(stage, shop)
    if as_json:
        write_json(gauge_json(stage, gauge))
    else:
        click.echo("\n".join(gauge_lines(stage, gauge)))
    return ExitCode.CLEAN if gauge else ExitCode.FINDINGS
