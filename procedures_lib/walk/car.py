"""The car and the kit as the walk sees them: what holds what, what took the place of what."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator
from functools import cached_property

from procedures_lib.language.entities.base import Entity
from procedures_lib.language.entities.car import Connection, Fastener, Fluid, Opening, Part
from procedures_lib.language.entities.kit import ContentItem, Kit
from procedures_lib.language.entities.verbs import VERBS
from procedures_lib.language.variants.car_sets import Region, Space
from procedures_lib.manual import Plan
from procedures_lib.manual.scope import Calls

_WHEEL = re.compile(r"(?:^|-)wheels?(?:-|$)")
_ABOUT_A_WHEEL = re.compile(
    r"steering|spare|arch|cover|liner|sensor|speed|fly|cap|trim|hous|bearing|hub|lock|nut|well"
)


def is_road_wheel(name: str, thing: object) -> bool:
    """Tell by its id whether a part is a road wheel (`front-wheels`, not `steering-wheel`)."""
    return (
        isinstance(thing, Part)
        and _WHEEL.search(name) is not None
        and _ABOUT_A_WHEEL.search(name) is None
    )


_UNDOING = frozenset({"remove", "loosen"})


def new_things(car: Car) -> frozenset[str]:
    """Return the ids of what is not on the car as it arrives.

    That is what the kit contains or its page describes, what replaces something, and the
    connections of new parts. Where car and kit stand on one page, so are the fasteners that hold
    nothing but new things and are not undone first.
    """
    plan = car.plan
    new = {name for name in car.items if name in car.things} - car.renewed
    together = plan.vehicle and any(k.place.page == plan.vehicle.place.page for k in plan.kits)
    for name, thing in car.things.items():
        on_kit_page = thing.place.page in car.kit_pages and not isinstance(thing, Fluid)
        if on_kit_page or getattr(thing, "replaces", None) is not None:
            new.add(name)
    for name, thing in car.things.items():
        if isinstance(thing, Connection) and any(str(end) in new for end in thing.between):
            new.add(name)
    return frozenset(new | _fasteners(car, new) if together else new)


def renewed_things(car: Car) -> frozenset[str]:
    """Return what the kit holds again under the id of what is on the car: a new crush washer.

    It is a fastener or a part for one use that no kit page apart describes, and that the steps
    undo before they put it in.
    """
    undone = _undone(car)
    return frozenset(
        name
        for name, item in car.items.items()
        if undone.get(name, False)
        and not item.replaces
        and isinstance(thing := car.things.get(name), Fastener | Part)
        and thing.replaces is None
        and thing.place.page not in car.kit_pages
        and not (isinstance(thing, Part) and thing.reusable)
    )


def given_anew(car: Car) -> dict[str, str]:
    """Return what connections of new parts take the place of, though no page says so.

    New connections of one kind between the same ends as old ones, as many as there were, stand for
    these in the order written, unless a step connects one of the old ones again.
    """
    connected = {
        str(name)
        for numbered in car.plan.steps
        for action in numbered.step.actions
        if action.verb == "connect"
        for name in action.objects
    }
    replaced = set(car.replaced.values())
    new: dict[tuple[str, ...], list[str]] = {}
    old: dict[tuple[str, ...], list[str]] = {}
    for name, thing in car.things.items():
        if not isinstance(thing, Connection) or name in car.replaced or name in replaced:
            continue
        ends = [str(end) for end in thing.between]
        place = (thing.kind, *sorted(car.line(end) for end in ends))
        if any(end in car.replaced for end in ends):
            new.setdefault(place, []).append(name)
        elif name not in car.new:
            old.setdefault(place, []).append(name)
    found: dict[str, str] = {}
    for place, names in new.items():
        olds = old.get(place, [])
        if len(names) == len(olds) and connected.isdisjoint(olds):
            found |= dict(zip(names, olds, strict=True))
    return found


def _undone(car: Car) -> dict[str, bool]:
    """Tell of each thing that the steps change whether it is first undone."""
    undone: dict[str, bool] = {}
    for numbered in car.plan.steps:
        for action in numbered.step.actions:
            if VERBS[str(action.verb)].kinds:
                for name in action.objects:
                    undone.setdefault(str(name), str(action.verb) in _UNDOING)
    return undone


def _fasteners(car: Car, new: set[str]) -> set[str]:
    undone = _undone(car)
    return {
        name
        for name, thing in car.things.items()
        if isinstance(thing, Fastener)
        and (users := car.users_named.get(name, ()))
        and new.issuperset(users)
        and not undone.get(name, False)
    }


Thing = Part | Connection | Fastener | Opening | Fluid
_THINGS = (Part, Connection, Fastener, Opening, Fluid)


class Car:
    """Everything that a plan can see of its car and kit, by id, with the relations both ways.

    A *line* is a thing with all that takes its place, one after the other; it is named by the
    oldest. A part that replaces another takes over what holds it, its connections and its
    openings, but for those that the kit gives anew.
    """

    def __init__(self, plan: Plan) -> None:
        """Resolve the scope of a plan."""
        self.plan = plan
        self.space = Space(plan.vehicle.options if plan.vehicle else ())
        self.things: dict[str, Thing] = {}
        self._old: dict[str, str] = {}
        self._lines: dict[str, str] = {}
        for entity in plan.scope.entities():
            if isinstance(entity, _THINGS):
                self.things[entity.id] = entity
        self.items: dict[str, ContentItem] = {
            item.what: item for item in (plan.kit.contents if plan.kit else ())
        }
        for name, thing in self.things.items():
            item = self.items.get(name)
            old = getattr(thing, "replaces", None) or (item.replaces if item else None)
            if old is not None and str(old) in self.things and str(old) != name:
                self._old[name] = str(old)
        self._old |= given_anew(self)
        self.texts: dict[int, str] = {}
        self._exists: dict[str, Region] = {}
        self._expected: dict[str, Region] = {}
        self._carriers: dict[str, str] = {}
        self._ends: dict[str, tuple[str, ...]] = {}
        self._holders: dict[str, tuple[str, ...]] = {}
        self.base = self.space.all
        if plan.kit:
            self.base = self.space.region(plan.kit.fits.when)

    # -- what took the place of what ---------------------------------------------------------------

    def line(self, name: str) -> str:
        """Return the oldest thing in whose place this one stands."""
        if name not in self._old:
            return name
        found = self._lines.get(name)
        if found is None:
            seen = {name: None}
            found = name
            while (older := self._old.get(found)) is not None and older not in seen:
                seen[older] = None
                found = older
            if found in self._old:
                found = min(seen)
            self._lines[name] = found
        return found

    @cached_property
    def members(self) -> dict[str, tuple[str, ...]]:
        """The things of each line that has more than one."""
        lines: dict[str, list[str]] = defaultdict(list)
        for name in self._old:
            lines[self.line(name)].append(name)
        return {line: tuple(dict.fromkeys((line, *names))) for line, names in lines.items()}

    @property
    def replaced(self) -> dict[str, str]:
        """What each thing that takes another's place directly takes the place of."""
        return self._old

    def of_line(self, line: str) -> tuple[str, ...]:
        """Return the things of a line, the oldest first."""
        return self.members.get(line, (line,))

    @cached_property
    def all_openings(self) -> tuple[Opening, ...]:
        """The openings that dirt may get into."""
        return tuple(thing for thing in self.things.values() if isinstance(thing, Opening))

    @cached_property
    def newer(self) -> dict[str, list[str]]:
        """What directly replaces each thing."""
        found: dict[str, list[str]] = defaultdict(list)
        for new, old in self._old.items():
            found[old].append(new)
        return found

    def older(self, name: str) -> Iterator[str]:
        """Yield what a thing replaces, and what that replaced."""
        seen = {name}
        while (old := self._old.get(name)) is not None and old not in seen:
            seen.add(old)
            yield old
            name = old

    # -- on which cars -----------------------------------------------------------------------------

    def exists(self, name: str) -> Region:
        """Return the cars that have a thing: its own ``when``, and what it cannot be without."""
        found = self._exists.get(name)
        if found is None:
            self._exists[name] = self.space.all  # stands while a circle of mentions is followed
            found = self._exists[name] = self._find_where(self.things[name])
        return found

    def _find_where(self, thing: Thing) -> Region:
        found = self.base & self.space.region(thing.when)
        item = self.items.get(thing.id)
        if item is not None:
            found = found & self.space.region(item.when)
        if isinstance(thing, Part):
            if thing.on is not None and str(thing.on) in self.things:
                found = found & self.exists(str(thing.on))
        elif isinstance(thing, Connection):
            for end in thing.between:
                if str(end) in self.things:
                    found = found & self.exists(str(end))
        elif isinstance(thing, Fastener):
            found = found & self._any(self.users_named.get(thing.id, ()))
        elif isinstance(thing, Opening):
            found = found & self._any(str(name) for name in thing.exposed_by)
        return found

    def _any(self, names: tuple[str, ...] | Iterator[str]) -> Region:
        """Return the cars that have any of these things; all of them when none is known."""
        found = None
        for name in names:
            if name not in self.things:
                return self.space.all
            where = self.exists(name)
            if where is self.base:
                return where
            found = where if found is None else found | where
        return self.space.all if found is None else found

    def expected(self, name: str) -> Region:
        """Return the cars on which a thing has its place in the end: nothing newer replaces it."""
        newer = self.newer.get(name)
        if not newer:
            return self.exists(name)
        found = self._expected.get(name)
        if found is None:
            found = self.exists(name)
            for new in newer:
                if new != name:
                    found = found - self.exists(new)
            self._expected[name] = found
        return found

    @cached_property
    def kit_pages(self) -> frozenset[str]:
        """The pages of the kits, but for one that describes the car too."""
        vehicle = self.plan.vehicle
        return frozenset(
            kit.place.page
            for kit in self.plan.kits
            if vehicle is None or kit.place.page != vehicle.place.page
        )

    @cached_property
    def new(self) -> frozenset[str]:
        """What is not on the car as it arrives."""
        return new_things(self)

    @cached_property
    def renewed(self) -> frozenset[str]:
        """What is on the car as it arrives, with new ones of the same id in the kit."""
        return renewed_things(self)

    # -- what holds what ---------------------------------------------------------------------------

    def holders(self, name: str) -> tuple[str, ...]:
        """Return the fasteners that hold a part or connection, its own or those it takes over."""
        found = self._holders.get(name)
        if found is None:
            found = self._holders[name] = self._find_holders(name)
        return found

    def _find_holders(self, name: str) -> tuple[str, ...]:
        thing = self.things[name]
        own = thing.held_by if isinstance(thing, Part) else getattr(thing, "holders", ())
        if not own and isinstance(thing, Part):
            own = next(
                (old.held_by for each in self.older(name)
                 if isinstance(old := self.things[each], Part) and old.held_by),
                (),
            )  # fmt: skip
        if not own:
            return ()
        return tuple(str(each) for each in own if isinstance(self.things.get(str(each)), Fastener))

    @cached_property
    def users_named(self) -> dict[str, tuple[str, ...]]:
        """The parts and connections that name each fastener as what holds them."""
        found: dict[str, list[str]] = defaultdict(list)
        for thing in self.things.values():
            if isinstance(thing, Part):
                for holder in thing.held_by:
                    found[str(holder)].append(thing.id)
            elif isinstance(thing, Connection):
                for each in thing.holders:
                    found[str(each)].append(thing.id)
        return {name: tuple(users) for name, users in found.items()}

    @cached_property
    def users(self) -> dict[str, tuple[str, ...]]:
        """The parts and connections that each line of fasteners holds."""
        found: dict[str, dict[str, None]] = defaultdict(dict)
        for name, thing in self.things.items():
            if isinstance(thing, Part | Connection):
                for holder in self.holders(name):
                    found[self.line(holder)][name] = None
        return {line: tuple(users) for line, users in found.items()}

    # -- parts -------------------------------------------------------------------------------------

    def carrier(self, name: str) -> str:
        """Return the part that a part is on as the pages say it, "" when none is modelled."""
        found = self._carriers.get(name)
        if found is None:
            found = self._carriers[name] = self._find_carrier(name)
        return found

    def _find_carrier(self, name: str) -> str:
        for each in (name, *self.older(name)):
            thing = self.things[each]
            if isinstance(thing, Part) and thing.on is not None:
                on = str(thing.on)
                return on if on != name and isinstance(self.things.get(on), Part) else ""
        return ""

    @cached_property
    def children(self) -> dict[str, tuple[str, ...]]:
        """The parts that are on each part as the pages say it."""
        found: dict[str, list[str]] = defaultdict(list)
        for name, thing in self.things.items():
            if isinstance(thing, Part) and (on := self.carrier(name)):
                found[on].append(name)
        return {name: tuple(parts) for name, parts in found.items()}

    @cached_property
    def connections(self) -> dict[str, tuple[str, ...]]:
        """The connections that end at each line of parts."""
        found: dict[str, dict[str, None]] = defaultdict(dict)
        for thing in self.things.values():
            if isinstance(thing, Connection):
                for end in self.ends(thing):
                    found[end][thing.id] = None
        return {line: tuple(names) for line, names in found.items()}

    def ends(self, connection: Connection) -> tuple[str, ...]:
        """Return the lines of the modelled parts at its ends."""
        found = self._ends.get(connection.id)
        if found is None:
            found = self._ends[connection.id] = tuple(
                self.line(str(end))
                for end in connection.between
                if isinstance(self.things.get(str(end)), Part)
            )
        return found

    @cached_property
    def openings(self) -> dict[str, tuple[str, ...]]:
        """The openings that each line of parts or connections exposes."""
        found: dict[str, list[str]] = defaultdict(list)
        for thing in self.things.values():
            if isinstance(thing, Opening):
                for name in thing.exposed_by:
                    if str(name) in self.things:
                        found[self.line(str(name))].append(thing.id)
        return {line: tuple(names) for line, names in found.items()}

    @cached_property
    def alike(self) -> dict[str, tuple[str, ...]]:
        """The connections of each group that looks alike."""
        found: dict[str, list[str]] = defaultdict(list)
        for thing in self.things.values():
            if isinstance(thing, Connection) and thing.alike:
                found[str(thing.alike)].append(thing.id)
        return {group: tuple(names) for group, names in found.items()}

    @cached_property
    def carrying(self) -> dict[str, tuple[str, ...]]:
        """The lines of connections that carry each fluid."""
        found: dict[str, dict[str, None]] = defaultdict(dict)
        for name, thing in self.things.items():
            if isinstance(thing, Connection) and thing.carries:
                found[thing.carries][self.line(name)] = None
        return {carried: tuple(lines) for carried, lines in found.items()}

    @cached_property
    def wheels(self) -> tuple[str, ...]:
        """The road wheels, old and new."""
        return tuple(name for name, thing in self.things.items() if is_road_wheel(name, thing))

    @cached_property
    def raises(self) -> bool:
        """Whether some step raises the car."""
        return any(
            action.verb == "raise"
            for numbered in self.plan.steps
            for action in numbered.step.actions
        )

    @property
    def calls(self) -> Calls:
        """The hazards by the words that call for them."""
        return self.plan.scope.calls

    @cached_property
    def announced_on_page(self) -> bool:
        """Whether a signal word stands on the procedure's page outside its steps."""
        return bool(self.plan.content.signals)

    @cached_property
    def calibrated(self) -> Region:
        """The cars for which the kit has a calibration."""
        found = self.space.none
        for value, _ in self.kit.needs.calibration if self.kit else ():
            found = found | self._with_value(value)
        return found & self.base

    @cached_property
    def calibration_unknown(self) -> bool:
        """Whether a calibration is for a value that no option has: a finding of its own."""
        known = {value for _, values in self.space.options for value in values}
        named = [value for value, _ in self.kit.needs.calibration] if self.kit else []
        return any(value and value not in known for value in named)

    def _with_value(self, value: str) -> Region:
        if not value:
            return self.space.all
        found = self.space.none
        for option, values in tuple(self.space.options):
            if value in values:
                found = found | self.space.test(option, (value,))
        return found

    @cached_property
    def disposed(self) -> frozenset[str]:
        """What some step discards or returns."""
        return frozenset(
            str(name)
            for numbered in self.plan.steps
            for action in numbered.step.actions
            if action.verb in {"discard", "return"}
            for name in action.objects
        )

    @cached_property
    def fluids(self) -> dict[str, tuple[str, ...]]:
        """The fluids of each kind."""
        found: dict[str, list[str]] = defaultdict(list)
        for thing in self.things.values():
            if isinstance(thing, Fluid):
                found[str(thing.kind)].append(thing.id)
        return {kind: tuple(names) for kind, names in found.items()}

    def entity(self, name: str) -> Entity | None:
        """Return whatever has this id, also what has no state."""
        return self.things.get(name) or self.plan.scope.get(name)

    @property
    def kit(self) -> Kit | None:
        """The kit that the plan fits."""
        return self.plan.kit
