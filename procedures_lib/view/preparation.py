"""Before the work: which cars, parts and tools to lay out, how long it takes, which hazards."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from procedures_lib.language.entities.car import Connection, Fastener, Part
from procedures_lib.language.entities.kit import ContentItem, Kit
from procedures_lib.language.entities.work import Procedure
from procedures_lib.language.variants import Condition
from procedures_lib.manual import NumberedStep, Scope
from procedures_lib.manual.scope import humanised, name_of
from procedures_lib.manual.shop import Shop
from procedures_lib.view.joint import tools_for
from procedures_lib.view.step import MetHazard, hazards_met
from procedures_lib.view.table import Cell, Column, Row, Table, cell, joined
from procedures_lib.view.uses import Uses, made_once, step_links

_COLUMNS = (
    Column("name", "Name"),
    Column("what", "What happens"),
    Column("number", "Number"),
    Column("count", "Count"),
    Column("note", "Note"),
    Column("steps", "Steps"),
)
_OFF = ("remove", "disconnect")
_ON = ("fit", "start", "tighten", "connect", "seat")


@made_once
def parts_list(uses: Uses) -> Table:
    """Return the parts list of the steps that apply."""
    rows = (*_from_kit(uses), *_from_car(uses), *_supplies(uses))
    return Table("parts", "Parts list", _COLUMNS, rows)


def kit_check_in(uses: Uses) -> Table:
    """Return the packing list of the procedure's kit, to be counted when it arrives."""
    kit = uses.plan.kit
    items = [item for item in kit.contents if uses.applies(item.when)] if kit else []
    return _packing(items, uses.plan.scope)


def contents_table(kit: Kit, scope: Scope) -> Table:
    """Return all that is in a kit's box."""
    return _packing(list(kit.contents), scope)


def _packing(items: list[ContentItem], scope: Scope) -> Table:
    columns = tuple(c for c in _COLUMNS if c.key in {"name", "number", "count", "note"})
    rows = tuple(
        Row(
            (
                _item_name(item, scope),
                cell(item.number),
                cell(item.packed),
                _item_note(item, scope),
            ),
            f"item:{item.number}" if item.number else "",
            str(item.when),
        )
        for item in items
    )
    return Table("check-in", "Kit check-in", columns, rows)


def _from_kit(uses: Uses) -> Iterator[Row]:
    kit = uses.plan.kit
    for item in kit.contents if kit else ():
        if not uses.applies(item.when):
            continue
        steps = _steps(uses, item.what, *_ON)
        if item.supply:
            steps = step_links(n for n in uses.steps if item.supply in n.step.supplies)
        scope = uses.plan.scope
        yield _row("From the kit", _item_name(item, scope), item.number, item.packed,
                   _item_note(item, scope), steps, item.when)  # fmt: skip


def _from_car(uses: Uses) -> Iterator[Row]:
    kit = uses.plan.kit
    boxed = {item.what for item in kit.contents} if kit else set()
    returned = {str(name) for name in kit.returns} if kit else set()
    for name in uses.by_object:
        entity = uses.plan.scope.get(name)
        if not isinstance(entity, Part | Fastener | Connection) or name in boxed:
            continue
        if isinstance(entity, Connection) and not uses.of(name, "discard", "return"):
            continue
        what = _fate(entity, uses, returned)
        if what and uses.applies(entity.when):
            used = uses.of(name, *_OFF, *_ON, "discard", "return")
            steps = step_links(use.step for use in used)
            target = f"definition:{name}"
            yield _row(what, cell(name_of(entity, uses.plan.scope), target), entity.number,
                       str(entity.count), Cell(), steps,
                       uses.condition(entity.when, used))  # fmt: skip


def _fate(entity: Part | Fastener | Connection, uses: Uses, returned: set[str]) -> str:
    """What becomes of a thing that is on the car: re-used, discarded, returned or renewed."""
    name = entity.id
    if name in returned or uses.of(name, "return"):
        return "Returned to the customer"
    off, on = uses.of(name, *_OFF), uses.of(name, *_ON)
    if not isinstance(entity, Connection) and not entity.reusable and on:
        return "New every time, not in the kit"
    if uses.of(name, "discard"):
        return "Discarded"
    return "Re-used" if off and on else ""


def _supplies(uses: Uses) -> Iterator[Row]:
    kit = uses.plan.kit
    boxed = {item.supply for item in kit.contents} if kit else set()
    named: dict[str, list[NumberedStep]] = {}
    for step in uses.steps:
        for supply in step.step.supplies:
            if supply not in boxed:
                named.setdefault(supply, []).append(step)
    for supply, steps in named.items():
        yield Row((cell(supply), cell("Supplies"), Cell(), Cell(), Cell(), step_links(steps)))


def _row(
    what: str, name: Cell, number: str, count: str, note: Cell, steps: Cell, when: Condition
) -> Row:
    cells = (name, cell(what), cell(number), cell(count), note, steps)
    return Row(cells, f"item:{number}" if number else "", str(when))


def _steps(uses: Uses, name: str, *verbs: str) -> Cell:
    return step_links(use.step for use in uses.of(name, *verbs))


def _item_name(item: ContentItem, scope: Scope) -> Cell:
    if item.kind in {"supply", "paper", "tool"}:
        return cell(item.name or item.what)
    entity = scope.get(item.what)
    name = item.name or (name_of(entity, scope) if entity else humanised(item.what))
    return cell(name, f"definition:{item.what}" if entity else "")


def _item_note(item: ContentItem, scope: Scope) -> Cell:
    words = [cell(item.note)] if item.note else []
    if item.replaces:
        old = scope.get(item.replaces)
        name = name_of(old, scope) if old else humanised(item.replaces)
        target = f"definition:{item.replaces}" if old else ""
        words.append(joined([cell("replaces "), cell(name, target)], ""))
    if item.spare:
        words.append(cell("spare" if item.spare == item.count else f"{item.spare} of them spare"))
    return joined(words, "; ")


_TOOL_COLUMNS = (Column("tool", "Tool"), Column("use", "For"), Column("steps", "Steps"))
_TURNING = ("remove", "loosen", "start", "tighten", "fit")


@made_once
def tool_list(uses: Uses, shop: Shop) -> Table:
    """Return the tools of the steps that apply, each once, in the order of first use."""
    tools: dict[str, tuple[dict[str, None], list[NumberedStep]]] = {}
    known: dict[str, _Asked] = {}
    for step in uses.steps:
        for name in step.step.tools:
            tools.setdefault(name, ({}, []))[1].append(step)
        for action in step.step.actions:
            if action.verb not in _TURNING:
                continue
            for name in map(str, action.objects):
                if name not in known:
                    known[name] = _asked(name, uses, shop)
                for tool in known[name].of(action.verb):
                    named, steps = tools.setdefault(tool, ({}, []))
                    named[name] = None
                    steps.append(step)
    rows = tuple(_tool_row(tool, named, steps, uses) for tool, (named, steps) in tools.items())
    return Table("tools", "Tool list", _TOOL_COLUMNS, rows)


class _Asked(NamedTuple):
    """The tools that a fastener asks for; the first of them, socket and reach, whatever is done."""

    every: list[str]
    plain: int

    def of(self, verb: str) -> list[str]:
        return self.every if verb == "tighten" else self.every[: self.plain]


def _asked(name: str, uses: Uses, shop: Shop) -> _Asked:
    """The tools for a fastener on any of the cars asked about; none for any other thing."""
    fastener = uses.plan.scope.of(Fastener, name)
    if fastener is None or not uses.applies(fastener.when):
        return _Asked([], 0)
    return _Asked(tools_for(fastener, shop), bool(fastener.head) + bool(fastener.reach))


def _tool_row(tool: str, named: dict[str, None], steps: list[NumberedStep], uses: Uses) -> Row:
    scope = uses.plan.scope
    fasteners = (scope.of(Fastener, name) for name in named)
    use = joined(
        cell(name_of(fastener, scope), f"fastener:{fastener.id}")
        for fastener in fasteners
        if fastener
    )
    return Row((cell(tool), use, step_links(steps)), f"tool:{tool}")


IN_KIT = " (in the kit)"
"""What stands behind the name of a supply that the kit brings."""


@dataclass(frozen=True)
class Preparation:
    """What a technician and a service manager need to know before the first step.

    ``seconds`` is the sum of the steps' times, ``timed`` how many of the ``steps`` say one;
    ``people`` the most that any step needs. The rest is worked out when it is asked for.
    """

    uses: Uses
    shop: Shop
    people: int
    seconds: float
    timed: int
    steps: int

    @cached_property
    def facts(self) -> tuple[tuple[str, str], ...]:
        """Label and text of what is known of the car and the kit."""
        return tuple(_facts(self.uses))

    @cached_property
    def check_in(self) -> Table:
        """What is in the kit's box."""
        return kit_check_in(self.uses)

    @cached_property
    def tools(self) -> Table:
        """The tools of the steps."""
        return tool_list(self.uses, self.shop)

    @cached_property
    def supplies(self) -> tuple[str, ...]:
        """What is used up, each once; what the kit brings says so."""
        return _supply_cells(self.uses)

    @cached_property
    def hazards(self) -> tuple[MetHazard, ...]:
        """The hazards that the steps meet, gravest first."""
        return hazards_met(self.uses)

    @property
    def time_text(self) -> str:
        """The time in words: "1 h 40 min"."""
        return duration_text(self.seconds)


def preparation(uses: Uses, shop: Shop) -> Preparation:
    """Gather what is needed before the steps that apply."""
    steps = [numbered.step for numbered in uses.steps]
    times = [step.time.si for step in steps if step.time is not None]
    return Preparation(
        uses,
        shop,
        people=max((step.people for step in steps), default=1),
        seconds=sum(times),
        timed=len(times),
        steps=len(steps),
    )


def duration_text(seconds: float) -> str:
    """A time in hours and whole minutes: 6000 s is "1 h 40 min"."""
    hours, minutes = divmod(round(seconds / 60), 60)
    words = [f"{hours} h"] if hours else []
    if minutes or not hours:
        words.append(f"{minutes} min")
    return " ".join(words)


def _facts(uses: Uses) -> list[tuple[str, str]]:
    plan, facts = uses.plan, []
    if plan.vehicle:
        years = (plan.kit.fits.years if plan.kit else None) or plan.vehicle.years
        facts.append(("Car", f"{plan.vehicle.name}{f', {years}' if years else ''}"))
        facts += [
            (option.replace("-", " ").capitalize(), " or ".join(values))
            for option, values in plan.vehicle.options
        ]
    if plan.kit:
        facts.append(("Kit", f"{plan.kit.name} ({plan.kit.id.upper()})"))
        only = str(plan.kit.fits.when)
        if only:
            facts.append(("Only for", only))
    if isinstance(plan.head, Procedure) and plan.head.begins_with:
        facts.append(("Begins with", ", ".join(plan.head.begins_with)))
    return facts


def _supply_cells(uses: Uses) -> tuple[str, ...]:
    kit = uses.plan.kit
    boxed = {item.supply for item in kit.contents if item.supply} if kit else set()
    named = dict.fromkeys(supply for n in uses.steps for supply in n.step.supplies)
    return tuple(f"{name}{IN_KIT}" if name in boxed else name for name in named)
