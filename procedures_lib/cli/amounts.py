"""Amounts on a command line: a number and its unit, as two words or one."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

import click

from procedures_lib.quantities import Quantity, QuantityError, read_quantity

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
