"""Which procedure and which cars the words on a command line mean."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from procedures_lib.cli.exits import Refused
from procedures_lib.entities.work import Procedure
from procedures_lib.findings import nearest, suggestion
from procedures_lib.tables.uses import options_of
from procedures_lib.variants import ALWAYS, ConditionError, read_condition
from procedures_lib.variants.space import possible

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from procedures_lib.manual import Manual, Plan
    from procedures_lib.variants import Condition
    from procedures_lib.variants.space import Options


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
