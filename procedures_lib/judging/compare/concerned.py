"""Who is concerned by a change: the steps that show or do it, the kits, and cards now stale."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from functools import cached_property

from procedures_lib.findings import Place
from procedures_lib.judging.compare.change import Act, Change, Group, Harm, Stale, Use
from procedures_lib.judging.compare.renamed_things import Matches
from procedures_lib.judging.compare.side import Key, Side, key_of
from procedures_lib.language.entities.car import Vehicle
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.hazard import Hazard
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.work import Common, Job, Procedure, Rule
from procedures_lib.manual import NumberedStep, Plan
from procedures_lib.view.step import hazards_at, rules_of_step

Met = tuple[Plan, NumberedStep]
"""A step in its place in a procedure."""
Uses = tuple[Use, ...]


def uses_of(met: Iterable[Met]) -> Uses:
    """Return steps as who is concerned: each procedure once, with its numbers."""
    found: dict[str, set[int]] = defaultdict(set)
    for plan, numbered in met:
        found[plan.head.id].add(numbered.number)
    return tuple(Use(name, tuple(sorted(numbers))) for name, numbers in sorted(found.items()))


class Concerned:
    """One state of a manual, looked up by the lines of its steps and the things they show."""

    def __init__(self, side: Side) -> None:
        self.side = side

    def entity(self, change: Change) -> Entity | None:
        """Return the thing of this state that a change is about."""
        page = change.place.page
        if change.thing.kind == "double entry":
            return self.side.manual.scope(page).get(change.thing.id)
        return self._entities(page).get((change.thing.kind, change.thing.id))

    def met(self, place: Place) -> list[Met]:
        """Return every step, in its procedures, that a line belongs to."""
        blocks = self._steps.get(place.page, {}).items()
        return [each for (start, end), met in blocks if start <= place.line <= end for each in met]

    def of_thing(self, entity: Entity) -> Uses:
        """Return who works on a thing, shows it, or fits it."""
        match entity:
            case Rule():
                return uses_of(self._rules.get(key_of(entity), ()))
            case Hazard():
                return uses_of(self._hazards.get(key_of(entity), ()))
            case Kit() | Vehicle():
                return self._of_head(entity)
            case Procedure() | Common():
                return self.of_page(entity.place.page)
        return self.side.users(entity)

    def _of_head(self, head: Kit | Vehicle) -> Uses:
        """Return the procedures that fit a kit, or are done on a car."""
        plans = self.side.manual.plans()
        named = ((plan.kit if isinstance(head, Kit) else plan.vehicle, plan) for plan in plans)
        return tuple(Use(name) for name in sorted(
            plan.head.id for one, plan in named if one and one.id == head.id))  # fmt: skip

    def of_page(self, page: str) -> Uses:
        """Return the procedures of a page, or those that go through its steps, or fit its kit."""
        entities = self._entities(page).values()
        own = [entity for entity in entities if isinstance(entity, Procedure)]
        if own:
            return tuple(Use(name) for name in sorted(each.id for each in own))
        kits = [use for each in entities if isinstance(each, Kit) for use in self.of_thing(each)]
        met = (each for steps in self._steps.get(page, {}).values() for each in steps)
        return tuple(kits) or uses_of(met)

    def _entities(self, page: str) -> dict[tuple[str, str], Entity]:
        return self._by_page.setdefault(page, self._named(page))

    def _named(self, page: str) -> dict[tuple[str, str], Entity]:
        if page in self._by_page:
            return self._by_page[page]
        content = self.side.manual.contents.get(page)
        entities = content.entities if content else ()
        return {(each.KIND, each.id): each for each in reversed(entities)}

    @cached_property
    def _by_page(self) -> dict[str, dict[tuple[str, str], Entity]]:
        return {}

    def _all(self) -> Iterator[Met]:
        for plan in self.side.manual.plans():
            for numbered in plan.steps:
                yield plan, numbered

    @cached_property
    def _steps(self) -> dict[str, dict[tuple[int, int], list[Met]]]:
        """The steps by page, and by the first and last line of their blocks."""
        found: dict[str, dict[tuple[int, int], list[Met]]] = defaultdict(lambda: defaultdict(list))
        for plan, numbered in self._all():
            for step in (numbered.step, numbered.through):
                if step is not None:
                    lines = step.block.place.line, step.block.end
                    found[step.place.page][lines].append((plan, numbered))
        return found

    @cached_property
    def _rules(self) -> dict[Key, list[Met]]:
        """The steps that show each rule by themselves, or cite it."""
        found: dict[Key, list[Met]] = defaultdict(list)
        for plan, numbered in self._all():
            cited = (role for role in numbered.step.block.roles if role.name == "rule")
            named = (plan.scope.of(Rule, str(role.target)) for role in cited)
            shown = [*rules_of_step(numbered, plan), *(rule for rule in named if rule)]
            for key in dict.fromkeys(map(key_of, shown)):
                found[key].append((plan, numbered))
        return found

    @cached_property
    def _hazards(self) -> dict[Key, list[Met]]:
        found: dict[Key, list[Met]] = defaultdict(list)
        for plan, numbered in self._all():
            for name in hazards_at(numbered, plan):
                hazard = plan.scope.of(Hazard, name)
                if hazard is not None:
                    found[key_of(hazard)].append((plan, numbered))
        return found


# -- cards -------------------------------------------------------------------------------------


def stale_cards(changes: Iterable[Change], matches: Matches) -> Iterator[Stale]:
    """Yield the procedures of the old state whose card a change makes wrong, and their jobs."""
    named = {change.thing.id: change.old for change in changes
             if change.topic == "id" and change.thing.kind == Procedure.KIND}  # fmt: skip
    jobs: dict[str, list[str]] = defaultdict(list)
    for job in matches.new.manual.heads(Job):
        for listed in job.procedures:
            jobs[str(listed)].append(job.id)
    used = {use.procedure for change in changes if _is_printed(change) for use in change.used}
    for name in sorted(map(str, used)):
        before = matches.old.manual.head(Procedure, named.get(name, name))
        if before is not None:
            yield Stale(name, before.revision, tuple(sorted(jobs[name])))


_UNPRINTED = frozenset({Group.PAGES, Group.PAPERS})


def _is_printed(change: Change) -> bool:
    """Tell whether a card shows it, and whoever follows the old one would do another thing."""
    silent = change.same or change.act is Act.RENAMED or change.harm is Harm.WASTES
    return not silent and change.group not in _UNPRINTED
