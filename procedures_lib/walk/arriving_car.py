"""The car as it arrives and the kit in its box: which cars have a thing, and what is new."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from functools import cached_property

from procedures_lib.language.entities.car import Connection, Fastener, Fluid, Opening, Part
from procedures_lib.language.entities.verbs import VERBS, Verb
from procedures_lib.language.variants.car_sets import Region, Space
from procedures_lib.manual import NumberedStep, Plan
from procedures_lib.walk.assembly import Assembly, Thing
from procedures_lib.walk.states import Key


class Car(Assembly):
    """The things of a plan with the cars that have them: every car at once.

    ``base`` are the cars that the plan is for, ``calls`` the hazards by the words that call for
    them.
    """

    def __init__(self, plan: Plan) -> None:
        """Resolve the scope of a plan."""
        super().__init__(plan)
        self.kit = plan.kit
        self.calls = plan.scope.calls
        self.space = Space(plan.vehicle.options if plan.vehicle else ())
        self.replaced |= given_anew(self)
        self.texts: dict[int, str] = {}
        self.supplies_of: dict[str, Region] = {}
        self._exists: dict[Key, Region] = {}
        self._expected: dict[Key, Region] = {}
        self.base = self.space.all
        if plan.kit:
            self.base = self.space.region(plan.kit.fits.when)

    # -- on which cars -----------------------------------------------------------------------------

    def exists(self, key: Key) -> Region:
        """Return the cars that have a thing: its own ``when``, and what it cannot be without."""
        found = self._exists.get(key)
        if found is None:
            self._exists[key] = self.space.all  # stands while a circle of mentions is followed
            found = self._exists[key] = self._find_where(key, self.things[key])
        return found

    def _find_where(self, key: Key, thing: Thing) -> Region:
        found = self.base & self.space.region(thing.when)
        item = self.items.get(key.id)
        if item is not None:
            found = found & self.space.region(item.when)
        if isinstance(thing, Part):
            if thing.on is not None and thing.on in self.keys:
                found = found & self.exists(self.keys[thing.on])
        elif isinstance(thing, Connection):
            for each in self.known(thing.between):
                found = found & self.exists(each)
        elif isinstance(thing, Fastener):
            found = found & self._any(self._named_for(key))
        elif isinstance(thing, Opening) and self.closers_known(key):
            found = found & self._any(self.closers[key])
        return found

    def _named_for(self, key: Key) -> tuple[Key, ...]:
        """Return what a group is there for: what it holds, or else what it clamps or lies under."""
        if users := self.users_named.get(key):
            return users
        line = self.line(key)
        return self.over.get(line) or self.stacks.get(key, ())

    def _any(self, keys: Iterable[Key]) -> Region:
        """Return the cars that have any of these things; all of them when there are none."""
        found = None
        for key in keys:
            where = self.exists(key)
            if where is self.base:
                return where
            found = where if found is None else found | where
        return self.space.all if found is None else found

    def expected(self, key: Key) -> Region:
        """Return the cars on which a thing has its place in the end: nothing newer replaces it."""
        newer = self.newer.get(key)
        if not newer:
            return self.exists(key)
        found = self._expected.get(key)
        if found is None:
            found = self.exists(key)
            for new in newer:
                if new != key:
                    found = found - self.exists(new)
            self._expected[key] = found
        return found

    def cars_of(self, steps: Iterable[NumberedStep]) -> Region:
        """Return the cars on which any of these steps is done."""
        found = self.space.none
        for numbered in steps:
            found = found | self.space.region(numbered.when)
        return found

    # -- what is new, and what the steps do with it ------------------------------------------------

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
    def new(self) -> frozenset[Key]:
        """What is not on the car as it arrives."""
        return new_things(self)

    @cached_property
    def renewed(self) -> frozenset[Key]:
        """What is on the car as it arrives, with new ones of the same id in the kit."""
        return renewed_things(self)

    @cached_property
    def undone(self) -> dict[Key, bool]:
        """Whether each thing that the steps change is first undone: taken off, or slackened."""
        undone: dict[Key, bool] = {}
        for verb, name in self.done:
            if verb.kinds and name in self.keys:
                undone.setdefault(self.keys[name], verb.takes_off or verb.turns_out)
        return undone

    @cached_property
    def disposed(self) -> frozenset[str]:
        """What some step discards or returns."""
        return frozenset(name for verb, name in self.done if verb.disposes)

    @cached_property
    def raised(self) -> bool:
        """Whether some step raises the car."""
        return any(verb.name == "raise" for verb, _ in self.done)

    @cached_property
    def done(self) -> tuple[tuple[Verb, str], ...]:
        """All that the steps do, as verbs and ids, in their order."""
        return tuple(
            (VERBS[action.verb], str(name))
            for numbered in self.plan.steps
            for action in numbered.step.actions
            for name in action.objects
        )

    # -- the calibration ---------------------------------------------------------------------------

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


def new_things(car: Car) -> frozenset[Key]:
    """Return what is not on the car as it arrives.

    That is what the kit contains or its page describes, what replaces something, and the
    connections of new parts. Where car and kit stand on one page, so are the fasteners that hold
    nothing but new things and are not undone first.
    """
    plan = car.plan
    new = set(car.known(car.items)) - car.renewed
    for key, thing in car.things.items():
        on_kit_page = thing.place.page in car.kit_pages and not isinstance(thing, Fluid)
        if on_kit_page or getattr(thing, "replaces", None) is not None:
            new.add(key)
    for key, connection in car.of_kind(Connection):
        if not new.isdisjoint(car.known(connection.between)):
            new.add(key)
    together = plan.vehicle and any(k.place.page == plan.vehicle.place.page for k in plan.kits)
    return frozenset(new | _new_fasteners(car, new) if together else new)


def _new_fasteners(car: Car, new: set[Key]) -> set[Key]:
    """Return the fasteners that hold nothing but new things, and are not undone first."""
    return {
        key
        for key, _ in car.of_kind(Fastener)
        if (users := car.users_named.get(key))
        and new.issuperset(users)
        and not car.undone.get(key, False)
    }


def renewed_things(car: Car) -> frozenset[Key]:
    """Return what the kit holds again under the id of what is on the car: a new crush washer.

    It is a fastener or a part for one use that no kit page apart describes, and that the steps
    undo before they put it in.
    """
    return frozenset(
        key
        for key in car.known(car.items)
        if car.undone.get(key, False)
        and not car.items[key.id].replaces
        and isinstance(thing := car.things[key], Fastener | Part)
        and thing.replaces is None
        and thing.place.page not in car.kit_pages
        and not (isinstance(thing, Part) and thing.reusable)
    )


def given_anew(car: Car) -> dict[Key, Key]:
    """Return what connections of new parts take the place of, though no page says so.

    New connections of one kind between the same ends as old ones, as many as there were, stand for
    these in the order written, unless a step connects one of the old ones again.
    """
    connected = {name for verb, name in car.done if verb.name == "connect"}
    replaced = {*car.replaced, *car.replaced.values()}
    new: dict[tuple[str, ...], list[Key]] = defaultdict(list)
    old: dict[tuple[str, ...], list[Key]] = defaultdict(list)
    for key, connection in car.of_kind(Connection):
        if key in replaced:
            continue
        ends = [car.keys.get(end) for end in connection.between]
        lines = [
            car.line(end).id if end else str(name)
            for end, name in zip(ends, connection.between, strict=True)
        ]
        place = (connection.kind, *sorted(lines))
        if any(end in car.replaced for end in ends):
            new[place].append(key)
        elif key not in car.new:
            old[place].append(key)
    found: dict[Key, Key] = {}
    for place, keys in new.items():
        olds = old.get(place, [])
        if len(keys) == len(olds) and connected.isdisjoint(each.id for each in olds):
            found |= dict(zip(keys, olds, strict=True))
    return found
