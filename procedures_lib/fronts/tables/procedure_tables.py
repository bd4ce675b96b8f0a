"""Tables and lists of a procedure from its views: torques, parts, tools, checks, a visit."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from procedures_lib.engineering.quantities import NO_BREAK_SPACE
from procedures_lib.engineering.quantities.conversion import TORQUE_UNITS
from procedures_lib.fronts.tables.table import (
    Cell,
    Column,
    Row,
    Table,
    cell,
    joined,
    step_links,
    thing_cell,
    tight_cell,
)
from procedures_lib.fronts.tables.words import (
    hardware_text,
    recheck_text,
    steps_text,
    thread_text,
    tight_text,
    tool_text,
)
from procedures_lib.language.entities.car import Fastener
from procedures_lib.language.variants import Condition
from procedures_lib.manual import Plan, Scope
from procedures_lib.manual.names import humanised
from procedures_lib.manual.shop import Shop
from procedures_lib.view.closing import ClosingView, FinalTest, HandoverView
from procedures_lib.view.joint import JointView, joints, order_text
from procedures_lib.view.preparation import (
    ItemView,
    PartView,
    PreparationView,
    ProtectionView,
    SupplyView,
    ToolView,
    parts,
    tools,
)
from procedures_lib.view.step import thing_named
from procedures_lib.view.uses import Uses, made_once
from procedures_lib.walk.moves import Move
from procedures_lib.walk.visit import Visit, Visited
from procedures_lib.walk.way_back import BackOut

Only = Callable[[Condition], str]
"""What a row says of the cars that it is for: the condition itself, or what is open of it."""

Facts = list[tuple[str, str]]
"""Labels with their texts."""

_TORQUE_COLUMNS = (
    Column("fastener", "Fastener"),
    Column("count", "Count"),
    Column("thread", "Thread"),
    Column("tool", "Tool"),
    *(Column(unit, unit) for unit in TORQUE_UNITS),
    Column("order", "Order"),
    Column("hardware", "Hardware"),
    Column("condition", "Threads are"),
    Column("recheck", "Re-check"),
    Column("source", "Source"),
    Column("steps", "Steps"),
)
_PART_COLUMNS = (
    Column("name", "Name"),
    Column("what", "What happens"),
    Column("number", "Number"),
    Column("count", "Count"),
    Column("note", "Note"),
    Column("steps", "Steps"),
)
_TOOL_COLUMNS = (Column("tool", "Tool"), Column("use", "For"), Column("steps", "Steps"))
_TIGHT_COLUMNS = (
    Column("joint", "Joint"),
    Column("count", "Count"),
    Column("stages", "Tight at"),
    Column("steps", "Steps"),
)
_TEST_COLUMNS = (Column("test", "Test"), Column("steps", "Steps"))
_VISIT_COLUMNS = (
    Column("number", "Step"),
    Column("title", "Work"),
    Column("from", "Written at"),
    Column("time", "Time"),
    Column("shared", "Shared"),
)
NO_STEP = "no step: see to it before the car leaves"
"""What stands for the steps of a test that no step makes."""


@made_once
def torque_table(uses: Uses, shop: Shop) -> Table:
    """Return the torque table of the steps that apply."""
    rows = tuple(_joint_row(joint, shop) for joint in joints(uses))
    return Table("torque", "Torque table", _TORQUE_COLUMNS, rows)


def _joint_row(joint: JointView, shop: Shop) -> Row:
    fastener = joint.fastener
    cells: tuple[Cell, ...] = (
        cell(joint.name, f"definition:{fastener.id}"),
        cell(f"{fastener.count} ×"),
        cell(thread_text(fastener)),
        cell(tool_text(fastener, shop)),
        *(cell(tight_text(fastener, unit)) for unit in TORQUE_UNITS),
        cell(order_text(fastener)),
        cell(hardware_text(joint)),
        cell(fastener.condition or ""),
        cell(f"after {fastener.recheck.tidy}" if fastener.recheck else ""),
        cell(fastener.source),
        step_links(joint.steps),
    )
    return Row(cells, f"fastener:{fastener.id}", str(joint.when))


@made_once
def parts_list(uses: Uses) -> Table:
    """Return the parts list of the steps that apply."""
    return Table("parts", "Parts list", _PART_COLUMNS, tuple(map(_part_row, parts(uses))))


def _part_row(part: PartView) -> Row:
    item = part.item
    count = item.item.packed if item else "" if part.count is None else str(part.count)
    cells = (
        thing_cell(part.thing),
        cell(part.fate),
        cell(part.number),
        cell(count),
        item_note(item) if item else Cell(),
        step_links(part.steps),
    )
    return Row(cells, f"item:{part.number}" if part.number else "", str(part.when))


def check_in_table(items: Iterable[ItemView], only: Only = str) -> Table:
    """Return a kit's packing list, to be counted when it arrives."""
    columns = tuple(c for c in _PART_COLUMNS if c.key in {"name", "number", "count", "note"})
    return Table("check-in", "Kit check-in", columns, tuple(_item_row(i, only) for i in items))


def _item_row(view: ItemView, only: Only) -> Row:
    item = view.item
    cells = (thing_cell(view.thing), cell(item.number), cell(item.packed), item_note(view))
    return Row(cells, f"item:{item.number}" if item.number else "", only(item.when))


def item_note(view: ItemView) -> Cell:
    """What is said of a line of a packing list: its note, what it replaces, what is spare."""
    item, old = view.item, view.old
    words = [cell(item.note)] if item.note else []
    if old is not None:
        words.append(joined([cell("replaces "), thing_cell(old)], ""))
    if item.spare:
        words.append(cell("spare" if item.spare == item.count else f"{item.spare} of them spare"))
    return joined(words, "; ")


@made_once
def tool_list(uses: Uses, shop: Shop) -> Table:
    """Return the tools of the steps that apply, each once, in the order of first use."""
    return tool_table(tools(uses, shop))


def tool_table(listed: Iterable[ToolView]) -> Table:
    """Return tools as a table."""
    return Table("tools", "Tool list", _TOOL_COLUMNS, tuple(map(_tool_row, listed)))


def _tool_row(tool: ToolView) -> Row:
    use = joined(cell(name, f"fastener:{joint}") for joint, name in tool.joints)
    cells = (cell(tool.name), use, step_links(tool.steps))
    return Row(cells, f"tool:{tool.name}", str(tool.when))


def protection_text(protection: ProtectionView) -> str:
    """What is worn, with the steps before which it is put on."""
    if not protection.steps:
        return protection.name
    several = "s" if len(protection.steps) > 1 else ""
    return f"{protection.name} (step{several} {steps_text(protection.steps)})"


TABLES = ("torque", "parts", "tools")


def make_table(name: str, uses: Uses, shop: Shop) -> Table:
    """Return the table with one of the names in ``TABLES``; any other is a KeyError."""
    makers: dict[str, Callable[[], Table]] = {
        "torque": lambda: torque_table(uses, shop),
        "parts": lambda: parts_list(uses),
        "tools": lambda: tool_list(uses, shop),
    }
    return makers[name]()


def tight_table(closing: ClosingView, only: Only = str) -> Table:
    """Return the joints that must be tight in the end."""
    rows = tuple(
        Row(
            (
                cell(joint.name, f"fastener:{joint.id}"),
                cell(f"{joint.fastener.count} ×"),
                tight_cell(joint.fastener),
                step_links(joint.tight_steps),
            ),
            when=only(joint.tight_when),
        )
        for joint in closing.joints
    )
    return Table("tight", "What must be tight", _TIGHT_COLUMNS, rows)


def table_of_tests(closing: ClosingView) -> Table:
    """Return the tests with the steps that make them."""
    return Table("tests", "Tests", _TEST_COLUMNS, tuple(map(_test_row, closing.tests)))


def _test_row(test: FinalTest) -> Row:
    return Row((cell(test.what), step_links(test.steps) if test.steps else cell(NO_STEP)))


def supply_text(supply: SupplyView) -> str:
    """What is used up; what the kit brings says so."""
    return f"{supply.name} (in the kit)" if supply.in_kit else supply.name


def car_facts(prepared: PreparationView, *, options: bool = True) -> Facts:
    """What is known of the car and the kit, the cars that the work is for first if not for all.

    Without the car's ``options`` if so asked; of these, the values of the cars that it is for.
    """
    vehicle, kit = prepared.plan.vehicle, prepared.plan.kit
    facts = [("Only for", str(prepared.only))] if str(prepared.only) else []
    if vehicle:
        years = (kit.fits.years if kit else None) or vehicle.years
        facts.append(("Car", f"{vehicle.name}{f', {years}' if years else ''}"))
        facts += [
            (humanised(option), " or ".join(values))
            for option, values in (prepared.options if options else ())
        ]
    if kit:
        facts.append(("Kit", f"{kit.name} ({kit.id.upper()})"))
    if prepared.begins_with:
        facts.append(("Begins with", ", ".join(prepared.begins_with)))
    if prepared.ends_with:
        facts.append(("Leaves open", ", ".join(prepared.ends_with)))
    return facts


def handover_lines(sheet: HandoverView, gains: Iterable[tuple[str, str]] = ()) -> Facts:
    """Return the lines of the customer's sheet; ``gains`` are those about dyno sessions."""
    return [
        *_kit_lines(sheet),
        *gains,
        *(("Come back", recheck_text(joint)) for joint in sheet.rechecks),
        *(("Still open", what) for what in sheet.left_open),
        *(("Please note", note) for note in sheet.notes),
    ]


def _kit_lines(sheet: HandoverView) -> Facts:
    kit = sheet.kit
    if kit is None:
        return []
    lines = [("Fitted", f"{kit.name} ({kit.id.upper()})")]
    if kit.needs.fuel:
        lines.append(("Fuel from now on", f"at least {kit.needs.fuel.tidy}"))
    for option, number in sheet.calibration:
        lines.append(_calibration(option, number))
    if kit.emissions:
        lines.append(("Emissions", kit.emissions.text))
    return [*lines, ("Returned to you", "; ".join(sheet.returned))] if sheet.returned else lines


def _calibration(value: str, number: str) -> tuple[str, str]:
    return "Calibration", f"{number} ({value})" if value else number


def handover_cars(sheet: HandoverView) -> dict[tuple[str, str], str]:
    """Return the cars of those lines of the customer's sheet that are for some cars only."""
    cars = {
        _calibration(value, number): sheet.cars_of[value]
        for value, number in sheet.calibration
        if value in sheet.cars_of
    }
    rechecks = {("Come back", recheck_text(each)): str(each.variant) for each in sheet.rechecks}
    return cars | rechecks


def visit_table(visit: Visit, titles: Mapping[str, str]) -> Table:
    """Return the steps of a visit; ``titles`` are those of its procedures, by id."""
    rows = tuple(_visited_row(each, titles) for each in visit.steps)
    return Table("visit", "One order for the visit", _VISIT_COLUMNS, rows)


def _visited_row(visited: Visited, titles: Mapping[str, str]) -> Row:
    step = visited.step.step
    number = str(visited.step.number)
    time = step.time.tidy if step.time else ""
    shared = f"once for {len(visited.at)} procedures" if visited.shared else ""
    cells = (
        cell(number),
        cell(step.title),
        joined(_written_at(name, at, titles) for name, at in visited.at),
        cell(time),
        cell(shared),
    )
    return Row(cells, f"visit:{number}", str(visited.step.when))


def _written_at(name: str, number: int, titles: Mapping[str, str]) -> Cell:
    text = f"{titles.get(name, name)}, step{NO_BREAK_SPACE}{number}"
    return cell(text, f"step of {name}:{number}")


def way_lines(way: BackOut, plan: Plan) -> list[str]:
    """Return the way as lines: moves in order, or the steps that finish the job.

    Empty when the car can leave as it stands.
    """
    if way.why:
        titles = {numbered.number: numbered.step.title for numbered in plan.steps}
        rest = [f"Do step {number}: {titles[number]}" for number in way.steps]
        return [f"There is no way back: {way.why}. Finish the job.", *rest]
    return [move_text(move, plan.scope) for move in way.moves]


def move_text(move: Move, scope: Scope) -> str:
    """Return one move: "Tighten undertray screws: 10 N·m (89 lbf·in), in the order …"."""
    thing = thing_named(move.thing, scope)
    counted = f"{thing.count} × " if (thing.count or 1) > 1 else ""
    text = f"{move.verb.capitalize()} {counted}{thing.name}"
    fastener = thing.entity
    if isinstance(fastener, Fastener) and move.verb == "tighten" and fastener.how_tight:
        order = order_text(fastener)
        text += f": {tight_text(fastener)}{f', in the order {order}' if order else ''}"
    return f"{text}; get a new one" if move.new else text
