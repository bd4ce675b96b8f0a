"""``procedures wrench``: which of the shop's wrenches does a torque, and what to set on it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from procedures_lib.cli.amounts import Amount, AmountCommand, Size
from procedures_lib.cli.days import with_day
from procedures_lib.cli.exits import EXIT_CODES, ExitCode, Refused
from procedures_lib.cli.folders import SHOP_PAGE, with_folders
from procedures_lib.cli.loading import read_settings
from procedures_lib.cli.output import write_json
from procedures_lib.exports.wrench_text import choice_json, choice_lines, gauge_json, gauge_lines
from procedures_lib.tables.tooling import gauge_for
from procedures_lib.tightening import Stage, StageError, StageKind, read_stage
from procedures_lib.tightening.adapter import Adapter
from procedures_lib.tightening.wrench import Wrench, need_of
from procedures_lib.tightening.wrench_choice import choose

if TYPE_CHECKING:
    import datetime

    from procedures_lib.cli.folders import Folders
    from procedures_lib.manual.shop import Shop
    from procedures_lib.quantities import Quantity
    from procedures_lib.tightening.wrench import Need


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
