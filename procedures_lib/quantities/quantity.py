"""A quantity as a page writes it: exact value, tolerance or range, and unit."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from procedures_lib.quantities.errors import QuantityError
from procedures_lib.quantities.registry import pint_quantity
from procedures_lib.quantities.units import Unit, kind_named, unit_named

NO_BREAK_SPACE = "\u00a0"


def with_symbol(number: str, symbol: str) -> str:
    """Return a number with its unit after a no-break space; none before the degree sign."""
    return number + symbol if symbol == "°" else f"{number}{NO_BREAK_SPACE}{symbol}"


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number, a number with tolerance, or a range, in one unit; all values exact.

    ``written`` is the writer's text and is never rewritten; ``tidy`` is the same digits with the
    canonical symbol. ``value`` is the nominal value, None for a range. ``low`` and ``high`` are in
    ``unit``, equal for a plain number.
    """

    written: str
    unit: str
    kind: str
    value: Fraction | None
    low: Fraction
    high: Fraction
    tidy: str

    @property
    def is_range(self) -> bool:
        """Whether more than one value is allowed: a tolerance or a range."""
        return self.low != self.high

    @property
    def nominal(self) -> Fraction:
        """The value named, or the middle of a range, in ``unit``."""
        return (self.low + self.high) / 2 if self.value is None else self.value

    @property
    def si(self) -> float:
        """The nominal value in SI (N·m, rad, m, rad/s, Pa, K, m³, kg, N, W, s, V)."""
        return self._in_si(self.nominal)

    @property
    def si_low(self) -> float:
        """The low end in SI."""
        return self._in_si(self.low)

    @property
    def si_high(self) -> float:
        """The high end in SI."""
        return self._in_si(self.high)

    def _in_si(self, value: Fraction) -> float:
        return float(unit_named(self.unit).to_base(value)) * kind_named(self.kind).to_si

    def exact(self, unit: str) -> tuple[Fraction, Fraction]:
        """Return the exact low and high end in another unit of the same kind.

        QuantityError: ``wrong-dimension`` when the unit is of another kind, or when the two have no
        conversion (AKI and RON); ``no-unit`` when it is unknown.
        """
        target = self._target(unit)
        return self._exact_in(target, self.low), self._exact_in(target, self.high)

    def exact_nominal(self, unit: str) -> Fraction:
        """Return the exact nominal value in another unit of the same kind; errors as ``exact``."""
        return self._exact_in(self._target(unit), self.nominal)

    def _exact_in(self, target: Unit, value: Fraction) -> Fraction:
        return target.from_base(unit_named(self.unit).to_base(value))

    def _target(self, unit: str) -> Unit:
        target, kind = unit_named(unit), kind_named(self.kind)
        if target.kind != self.kind:
            wanted = kind_named(target.kind).called
            raise QuantityError(
                "wrong-dimension",
                f"{self.written} is {kind.called}, {target.symbol} is for {wanted}",
                f"use a unit of {self.kind}: {', '.join(each.symbol for each in kind.units)}",
            )
        if target.symbol != self.unit and not kind.convertible:
            raise QuantityError(
                "wrong-dimension",
                f"{self.written}: {self.unit} and {target.symbol} have no conversion",
                f"give the value in {target.symbol} as its source prints it",
            )
        return target

    def to_pint(self) -> Any:
        """Return the nominal value as a pint quantity (float) of the library's registry."""
        return pint_quantity(float(self.nominal), unit_named(self.unit).pint_name)

    def canonical(self) -> str:
        """Return the writer's digits, tidy, with no-break spaces: ``12 ± 1 N·m``, ``10–12 N·m``."""
        return self.tidy

    def __str__(self) -> str:
        return self.tidy
