"""``procedures back-out``: the shortest safe way from a step back to a car that can leave."""

from __future__ import annotations

from collections.abc import Mapping

import click

from procedures_lib.fronts.cli.arguments import Folders, Word, with_folders, with_width
from procedures_lib.fronts.cli.selection import select
from procedures_lib.fronts.cli.terminal import EXIT_CODES, ExitCode, Refused, folded, write_json
from procedures_lib.fronts.cli.terminal import width as columns
from procedures_lib.fronts.formats.table_text import spaced
from procedures_lib.fronts.tables.procedure_tables import way_lines
from procedures_lib.judging.checks.walks import can_walk
from procedures_lib.manual import Plan
from procedures_lib.spelling import suggestion
from procedures_lib.view.uses import car_of, options_of
from procedures_lib.walk.walk import walk
from procedures_lib.walk.way_back import BackOut
from procedures_lib.walk.way_back import back_out as way_back


@click.command("back-out", epilog=EXIT_CODES)
@click.argument("procedure", type=Word())
@click.option(
    "--at",
    "step",
    required=True,
    metavar="STEP",
    type=Word(),
    help="The last step done: its number or id.",
)
@click.option(
    "--when",
    multiple=True,
    metavar="CONDITION",
    help="Which car it is, as in `transmission=manual and tow-eye=fitted`; an option that is not "
    "named has its first value.",
)
@click.option("--format", "form", type=click.Choice(["text", "json"]), default="text")
@with_folders
@with_width
def back_out(
    procedure: str,
    step: str,
    when: tuple[str, ...],
    form: str,
    folders: Folders,
    width: int | None,
) -> int:
    """Print how to put the car back so that it can leave, from any step of a procedure.

    Where going back is no longer possible (a part is in the scrap, a pipe is cut), it says why and
    prints the steps that finish the job. The way is computed from what the steps did so far, and
    proved by carrying it out on paper. It is help for a technician, never a replacement for
    judgement.
    """
    chosen = select(folders, procedure, when)
    manual, plan = chosen.manual, chosen.plan
    car = car_of(chosen.cars_of_kit, options_of(plan))
    number = _step_number(step, plan)
    if not can_walk(manual, plan):
        raise Refused(f"`{procedure}` has errors that come first: see `procedures check`.")
    way = way_back(walk(plan, manual), number, car)
    if form == "json":
        write_json(_value(way, plan, number, car))
    else:
        click.echo(folded(_text(way, plan, number, car), columns(width)))
    return ExitCode.CLEAN


def _step_number(text: str, plan: Plan) -> int:
    number = int(text) if text.isascii() and text.isdigit() else plan.step_number(text) or -1
    if 0 <= number <= len(plan.steps):
        return number
    ids = [numbered.step.id for numbered in plan.steps if numbered.step.id]
    hint = f", or {suggestion(text, ids)}" if ids else ""
    raise Refused(f"there is no step `{text}`: the steps go from 1 to {len(plan.steps)}{hint}")


def _text(way: BackOut, plan: Plan, number: int, car: Mapping[str, str]) -> str:
    named = ", ".join(f"{option}={value}" for option, value in car.items())
    title = f"Back out of {plan.title}, after step {number}{f' ({named})' if named else ''}\n"
    lines = way_lines(way, plan)
    mark = "" if way.why or not lines else "- "
    told = [mark + line for line in lines or ["The car can leave as it stands."]]
    return spaced("\n".join([title, *told]))


def _value(way: BackOut, plan: Plan, number: int, car: Mapping[str, str]) -> dict[str, object]:
    return {
        "format": 1,
        "procedure": plan.head.id,
        "after_step": number,
        "car": dict(car),
        "way_back": not way.why,
        "why_not": way.why,
        "moves": [{"verb": m.verb, "thing": m.thing, "new": m.new} for m in way.moves],
        "steps": list(way.steps),
        "lines": [spaced(line) for line in way_lines(way, plan)],
    }
