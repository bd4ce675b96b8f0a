"""``procedures wrench``: which of the shop's wrenches does a torque, and what to set on it."""

from __future__ import annotations

import datetime
from typing import Any

import click

from procedures_lib.engineering.quantities import Quantity, QuantityError
from procedures_lib.engineering.quantities.conversion import band_text, in_unit
from procedures_lib.engineering.tightening import Stage, StageKind, read_stage
from procedures_lib.engineering.tightening.wrench import (
    Adapter,
    Choice,
    Fit,
    Wrench,
    choose,
    need_of,
    percent,
)
from procedures_lib.fronts.cli.arguments import (
    SHOP_PAGE,
    Amount,
    AmountCommand,
    Folders,
    Size,
    with_day,
    with_folders,
    with_width,
)
from procedures_lib.fronts.cli.checked_manual import read_settings
from procedures_lib.fronts.cli.terminal import EXIT_CODES, ExitCode, Refused, folded, write_json
from procedures_lib.fronts.cli.terminal import width as columns
from procedures_lib.fronts.formats.procedure_json import TABLE_FORMAT
from procedures_lib.fronts.formats.table_text import spaced
from procedures_lib.fronts.formats.values import stage_value
from procedures_lib.fronts.tables.words import setting_of
from procedures_lib.manual.shop import AngleGauge, Shop
from procedures_lib.view.joint import gauge_for

_BAND_UNITS = ("N·m", "lbf·ft", "lbf·in")


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
@with_width
@with_folders
def wrench(
    stage: tuple[str, ...], as_json: bool, day: datetime.date, folders: Folders, drive: str,
    width: int | None,
    **lengths: Quantity | None,
) -> int:  # fmt: skip
    """Choose a torque wrench of the shop for a STAGE, such as `12 N·m`, `10-12 N·m`, `+45°`.

    Prints the wrench, what to set on it, what the fastener gets if the wrench is off by all that
    its class permits (ISO 6789-1), and why the other wrenches won't do. The exit code is 1 when
    none does. Drag (`drag 2.0-2.6 N·m`) takes a wrench that shows the torque, an angle the gauge.
    """
    shop, findings = read_settings(folders)
    if findings:
        shop_file = folders.way_to(SHOP_PAGE)
        click.echo(
            f"Note: not all of {shop_file} can be read; see `procedures check {shop_file}`.",
            err=True,
        )
    asked = _stage(" ".join(stage))
    if asked.kind is StageKind.ANGLE:
        gauge = gauge_for(asked, shop)
        lines, value = _gauge_lines(gauge), _gauge_value(gauge)
    else:
        need = need_of(asked, _adapter(lengths["adapter"], lengths["angle"]), drive)
        if need is None:
            raise Refused(f"`{asked.written()}` takes no torque wrench")
        choice = choose(_wrenches(shop, lengths["length"]), need, day)
        lines = _choice_lines(choice, asked, lengths["adapter"])
        value = _choice_value(choice, day)
    if as_json:
        write_json({"format": TABLE_FORMAT, "stage": stage_value(asked), **value})
    else:
        text = "\n".join([f"For {asked.shown()}", *lines])
        click.echo(spaced(folded(text, columns(width))))
    return ExitCode.CLEAN if value["take"] else ExitCode.FINDINGS


def _stage(text: str) -> Stage:
    try:
        return read_stage(text)
    except QuantityError as error:
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


def _choice_lines(choice: Choice, asked: Stage, adapter: Quantity | None) -> list[str]:
    """What to take and set, the band that this gives, and why others won't do."""
    if choice.best is None:
        lines = ["No wrench of the shop does this."]
    else:
        lines = _fit_lines(choice.best, asked, adapter)
    if choice.refused:
        lines.append("Not these:")
        lines += [f"  {each.wrench.name}: {each.why}, {each.text}" for each in choice.refused]
    return lines


def _fit_lines(fit: Fit, asked: Stage, adapter: Quantity | None) -> list[str]:
    does = "read" if fit.wrench.shows else "set"
    end = "at most " if asked.kind is StageKind.NEXT_SLOT else ""
    lines = [f"Take {fit.wrench.name}, {does} {end}{setting_of(fit, asked, adapter)}"]
    if fit.low is None or fit.high is None or fit.wrench.deviation is None:
        lines.append("How far it may be off is not known: the shop file does not state its class.")
        return lines
    bands = ", ".join(band_text(fit.low, fit.high, unit) for unit in _BAND_UNITS)
    off = f"±{percent(fit.wrench.deviation)}, class {fit.wrench.deviation_class}"
    lines.append(f"The fastener gets {bands} ({off})")
    return lines


def _choice_value(choice: Choice, day: datetime.date) -> dict[str, Any]:
    """``{on, take, not}``; each torque in N·m and the other units."""
    return {
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
        "set": _in_units(fit.setting),
        "deviation": fit.wrench.deviation,
        "low": None if fit.low is None else _in_units(fit.low),
        "high": None if fit.high is None else _in_units(fit.high),
    }


def _in_units(torque: float) -> dict[str, float]:
    return {unit: in_unit(torque, unit) for unit in _BAND_UNITS}


def _gauge_lines(gauge: AngleGauge | None) -> list[str]:
    if gauge is None:
        return ["No angle gauge of the shop goes so far."]
    return [f"Take {gauge.name}{f', in steps of {gauge.step}' if gauge.step else ''}"]


def _gauge_value(gauge: AngleGauge | None) -> dict[str, Any]:
    return {"take": {"id": str(gauge.id), "name": spaced(gauge.name)} if gauge else None}
