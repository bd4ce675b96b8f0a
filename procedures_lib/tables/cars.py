"""For which cars a thing is, as seen from the cars that were asked about."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from procedures_lib.tables.uses import options_of
from procedures_lib.variants import ALWAYS, Condition, read_condition
from procedures_lib.variants.region import Space
from procedures_lib.variants.shortest import shortest_text
from procedures_lib.variants.space import possible

if TYPE_CHECKING:
    from collections.abc import Iterable

    from procedures_lib.manual import Plan
    from procedures_lib.tables.table import Table


@dataclass(frozen=True, slots=True)
class Choice:
    """An option of the car: ``chosen`` when only one of its ``values`` is left."""

    option: str
    values: tuple[str, ...]

    @property
    def chosen(self) -> str:
        """The one value that is left, "" while there are several."""
        return self.values[0] if len(self.values) == 1 else ""


def choices(plan: Plan, when: Condition) -> tuple[Choice, ...]:
    """Return the options of a plan's vehicle, with the values that the cars can have."""
    options = options_of(plan)
    found = []
    for option, values in options:
        tests = {value: Condition("test", option, (value,)) for value in values}
        left = tuple(value for value in values if possible(when & tests[value], options))
        found.append(Choice(option, left))
    return tuple(found)


class Cars:
    """The cars asked about; tells what still has to be said of a thing among them."""

    def __init__(self, plan: Plan, when: Condition) -> None:
        """Take the cars of a plan that meet ``when``."""
        self._space = Space(options_of(plan))
        self._asked = self._space.region(when)

    def only(self, when: Condition, among: Condition = ALWAYS) -> str:
        """Return the shortest words for a condition among the cars asked about.

        "" where all of them (that meet ``among``, too) meet it.
        """
        base = self._asked & self._space.region(among)
        return shortest_text(self._space.region(when).within(base)) if base else str(when)

    def open_options(self, conditions: Iterable[Condition]) -> set[str]:
        """Return the options on which a condition still depends among the cars asked about."""
        regions = (self._space.region(condition).within(self._asked) for condition in conditions)
        return {option for region in regions for option in region.support()}

    def narrowed(self, table: Table) -> Table:
        """Return a table whose rows say only what is still open of the cars that they are for."""
        rows = tuple(
            replace(row, when=self.only(read_condition(row.when)) if row.when else "")
            for row in table.rows
        )
        return replace(table, rows=rows)
