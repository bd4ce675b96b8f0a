"""What the words of a command line mean: amounts, procedures, cars, pages, days, jobs."""

from __future__ import annotations

import datetime
import os
import re
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from procedures_lib.engineering.quantities import Quantity, QuantityError, read_quantity
from procedures_lib.findings import nearest, suggestion
from procedures_lib.fronts.cli.loading import SHOP_PAGE, Folders, absolute, relative
from procedures_lib.fronts.cli.terminal import Refused
from procedures_lib.language.entities.work import Procedure
from procedures_lib.language.variants import ALWAYS, Condition, ConditionError, read_condition
from procedures_lib.language.variants.car_sets import Options, possible
from procedures_lib.manual import Manual, Plan
from procedures_lib.manual.folder import OutsideError, name_of, page_names
from procedures_lib.view.uses import options_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    _Type = click.ParamType[Any]
else:
    _Type = click.ParamType

_BARE_NUMBER = re.compile(r"[\d.,/±–-]+$")


class Size(_Type):
    """An option that takes a number and a unit, as text."""

    name = "size"

    def convert(self, value: Any, param: Any, ctx: Any) -> Any:
        """Return the text as it is."""
        del param, ctx
        return str(value)


class Amount(Size):
    """An option that takes an amount of one kind."""

    name = "amount"

    def __init__(self, kind: str) -> None:
        self.kind = kind

    def convert(self, value: Any, param: Any, ctx: Any) -> Any:
        """Read the amount; what is wrong with it is said with its hint."""
        if isinstance(value, Quantity):
            return value
        try:
            return read_quantity(value, self.kind, signed=self.kind == "angle")
        except QuantityError as error:
            self.fail(f"{error.message}: {error.hint}.", param, ctx)


class AmountCommand(click.Command):
    """A command whose amounts need no quotes: ``--adapter 40 mm`` is read as one value."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Join the number and the unit after an option that takes an amount."""
        names = {
            name for param in self.params if isinstance(param.type, Size) for name in param.opts
        }
        return super().parse_args(ctx, list(_joined(args, names)))


def _joined(args: list[str], names: set[str]) -> Iterable[str]:
    n = 0
    while n < len(args):
        yield args[n]
        if args[n] in names and n + 2 < len(args) and _is_split(args[n + 1], args[n + 2]):
            yield f"{args[n + 1]} {args[n + 2]}"
            n += 2
        n += 1


def _is_split(number: str, unit: str) -> bool:
    return bool(_BARE_NUMBER.match(number)) and not unit.startswith("-")


def with_when(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add ``--when`` to a command, which gets the texts of its conditions."""
    return click.option(
        "--when",
        multiple=True,
        metavar="CONDITION",
        help="Only for the cars that meet this, as in `transmission=manual and not "
        "tow-eye=fitted`; given twice, only for those that meet both.",
    )(command)


def find_plan(name: str, manual: Manual) -> Plan:
    """Return the procedure with this id; :class:`Refused` with the nearest id when none has it."""
    head = manual.head(Procedure, name)
    if head is None:
        hint = suggestion(name, (procedure.id for procedure in manual.heads(Procedure)))
        raise Refused(f"there is no procedure `{name}`" + (f": {hint}" if hint else "."))
    return manual.plan(head)


def read_when(texts: Iterable[str], plan: Plan) -> Condition:
    """Return the cars that meet all the expressions.

    :class:`Refused`, with the car's options, when an expression can't be read, names an option or
    a value that the car does not have, or when no car meets them.
    """
    options = options_of(plan)
    condition = ALWAYS
    for text in texts:
        try:
            condition &= read_condition(text)
        except ConditionError as error:
            raise _refused(f"{error.message}: {error.hint}", plan) from None
    for option, value in condition.tests():
        _known(option, value, plan)
    if not possible(condition, options):
        raise _refused(f"no car meets `{condition}`", plan)
    return condition


def _known(option: str, value: str, plan: Plan) -> None:
    options = dict(options_of(plan))
    if option not in options:
        raise _refused(f"there is no option `{option}`{_meant(option, options)}", plan)
    if value not in options[option]:
        near = _meant(value, options[option])
        raise _refused(f"`{option}` is never `{value}`{near}", plan)


def _meant(word: str, known: Iterable[str]) -> str:
    near = nearest(word, known)
    return f": did you mean `{near}`?" if near else ""


def _refused(message: str, plan: Plan) -> Refused:
    return Refused(f"--when: {message}\n{_options_text(plan, options_of(plan))}")


def _options_text(plan: Plan, options: Options) -> str:
    car = plan.vehicle.name if plan.vehicle else "this procedure's car"
    if not options:
        return f"{car} has no options."
    lines = [f"  {option}: {', '.join(values)}" for option, values in options]
    return "\n".join([f"The options of the {car}:", *lines])


def choose(paths: Iterable[Path], folders: Folders) -> frozenset[str]:
    """Return the names of the files that the paths name: pages, all pages of a folder, the shop.

    :class:`Refused` for a path that does not exist, is outside the manual, or holds no page.
    """
    pages = page_names(folders.pages)
    return frozenset(name for path in paths for name in _named(path, pages, folders))


def _named(path: Path, pages: list[str], folders: Folders) -> list[str]:
    if absolute(path) == absolute(folders.shop):
        return [SHOP_PAGE]
    name = _name(path, folders)
    if not path.exists():
        near = nearest(name, pages)
        hint = f": did you mean {folders.shown(near)}?" if near else "."
        raise Refused(f"{path} does not exist{hint}")
    found = [page for page in pages if name in {".", page} or page.startswith(f"{name}/")]
    if not found:
        raise Refused(
            f"{path} {'holds no page' if path.is_dir() else 'is no page'} of the manual: "
            "pages end in .md, and files and folders that begin with `.` or folders that "
            "begin with `_` are left out."
        )
    return found


def _name(path: Path, folders: Folders) -> str:
    """The path below the folder of pages; what a link is called counts, not where it leads."""
    try:
        return absolute(path).relative_to(folders.pages).as_posix()
    except ValueError:
        pass
    try:
        return name_of(path, folders.pages)
    except OutsideError:
        where = relative(folders.pages)
        raise Refused(
            f"{path} is outside the manual, whose pages are in {where}.\n"
            "Give a page or a folder in there, or name another manual with --manual."
        ) from None


def _day(_ctx: click.Context, _param: click.Parameter, value: str | None) -> datetime.date:
    if value is None:
        return datetime.date.today()
    try:
        return datetime.datetime.strptime(value, "%Y-%m-%d").date()
    except ValueError:
        raise click.BadParameter(f"`{value}` is no date: write 2026-09-14.") from None


def with_day(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add ``--on`` to a command, which gets the day: the one named, or today."""
    option = click.option(
        "--on",
        "day",
        metavar="DATE",
        callback=_day,
        help="The day of the work: a tool that is past due then is reported.  [default: today]",
    )
    return option(command)


def with_jobs(command: Callable[..., Any], what: str) -> Callable[..., Any]:
    """Add ``--jobs`` to a command, which gets a number; ``what`` is what the processes do."""
    option = click.option(
        "--jobs",
        metavar="N",
        callback=_number_of_jobs,
        default="1",
        show_default=True,
        help=f"How many processes {what}; `auto` for one a core.",
    )
    return option(command)


def _number_of_jobs(_ctx: click.Context, _param: click.Parameter, value: str) -> int:
    """Read ``--jobs``: a number from 1 on, or ``auto``."""
    if value == "auto":
        return os.cpu_count() or 1
    if not value.isdecimal() or int(value) < 1:
        raise click.BadParameter(f"`{value}` is neither a number from 1 on nor `auto`.")
    return int(value)
