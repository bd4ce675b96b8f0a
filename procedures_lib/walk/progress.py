"""One walk in progress: the state of everything, and what was found so far."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import TypeAlias

from procedures_lib.findings import Finding, Level, Place
from procedures_lib.language.entities.work import Action
from procedures_lib.language.variants.car_sets import Region
from procedures_lib.language.variants.shortest_condition import shortest_text
from procedures_lib.manual import NumberedStep
from procedures_lib.manual.names import name_of
from procedures_lib.walk import states
from procedures_lib.walk.arriving_car import Car
from procedures_lib.walk.states import Key, Mark, Standing, State, Track

Change: TypeAlias = tuple[int, Key, Region, Standing, Mark | None]
"""One entry of the log: from this step on, something has this state on these cars."""


@dataclass(frozen=True, slots=True)
class Left:
    """What is not as it must be when the car leaves: ``check`` says how, ``mark`` since when."""

    check: str
    about: Key
    cars: Region
    mark: Mark | None


_SOMETHING = Finding(Place("", 1), "left-off", "found in a trial, where nobody reads it")


class Run:
    """The walk in progress: ``step``, ``action`` and ``mark`` are those in hand.

    ``before`` and ``after`` are the steps around the one in hand; ``moved_to`` are the parts that
    were fitted on each part; ``exposing`` says where each opening was last opened or closed;
    ``handed_on`` is what may end open, on which cars: all of it when it ``hands_all_on``.
    """

    def __init__(self, car: Car, *, trial: bool = False) -> None:
        """Begin with the car as it arrives and the kit in its box.

        In a ``trial`` it only matters whether anything is found, and what is left: no finding says
        what.
        """
        self.car = car
        self.trial = trial
        self.none = car.space.none
        self.all = car.base
        self.tracks: dict[Key, Track] = {}
        self.log: list[Change] = []
        self.findings: list[Finding] = []
        self.step: NumberedStep | None = None
        self.action: Action | None = None
        self.mark: Mark | None = None
        self.before: list[NumberedStep] = []
        self.after: list[NumberedStep] = []
        self.unsure = False
        self.moved_to: dict[Key, list[Key]] = {}
        self.exposing: dict[Key, Mark | None] = {}
        self.left: list[Left] = []
        self.provisional: list[tuple[Finding, Region, Callable[[Region], Region]]] = []
        self.forgiven: dict[Key, Region] = {}
        self.handed_on: dict[Key, Region] = {}
        self.hands_all_on = False
        self._told: dict[tuple[str, str], Region] = {}

    def copy(self) -> Run:
        """Return a walk in the same state, with nothing found yet."""
        other = Run(self.car, trial=True)
        other.go_on_from(self)
        return other

    def go_on_from(self, other: Run) -> None:
        """Take the state of another walk over, as it is now."""
        self.tracks = {key: track.copy() for key, track in other.tracks.items()}
        self.moved_to = {parent: list(parts) for parent, parts in other.moved_to.items()}

    @property
    def verb(self) -> str:
        """The verb of the action in hand."""
        return str(self.action.verb) if self.action is not None else ""

    @property
    def steps_so_far(self) -> list[NumberedStep]:
        """The steps up to the one in hand."""
        return [*self.before, *([self.step] if self.step else [])]

    # -- states ------------------------------------------------------------------------------------

    def track(self, key: Key) -> Track:
        """Return the state of what the key names."""
        found = self.tracks.get(key)
        if found is None:
            found = self.tracks[key] = self.start(key)
        return found

    def start(self, key: Key) -> Track:
        """Return the state that it begins in."""
        if key in self.car.things:
            new = key.kind in states.BOXED and key in self.car.new
            return Track(self.car.exists(key), states.NEW if new else states.ARRIVES[key.kind])
        if key.kind is states.CARRIER:
            part = Key(states.PART, key.id)
            return Track(self.all, self.car.carrier.get(part, states.NOTHING))
        return Track(self.all, states.ARRIVES.get(key.kind, states.NO))

    def put(self, key: Key, cars: Region, state: Standing) -> None:
        """Move these cars to a state, by the action in hand."""
        if not cars:
            return
        self.track(key).put(cars, state, self.mark)
        step = self.step.number if self.step else 0
        self.log.append((step, key, cars, state, self.mark))

    def assume(self, key: Key, cars: Region, state: State) -> None:
        """Move these cars to the state that the writer must have meant, after a finding.

        What follows from that, later on or at the end, is no second finding.
        """
        if cars:
            self.forgive(key, cars)
            self.put(key, cars, state)

    def carry(self, part: Key, parent: Key, cars: Region) -> None:
        """Have one part carried by another from now on."""
        self.put(Key(states.CARRIER, part.id), cars, parent)
        self.note_moved(part, parent)

    def note_moved(self, part: Key, parent: Key) -> None:
        """Note that one part may be carried by another, beside those that the pages say."""
        moved = self.moved_to.setdefault(parent, [])
        if part not in moved:
            moved.append(part)

    def where(self, key: Key, cars: Region, *states: Standing) -> Region:
        """Return which of these cars have the thing in one of these states."""
        track = self.tracks.get(key) or self.track(key)
        pieces = track.pieces
        if len(pieces) == 1:
            where, state, _ = pieces[0]
            return where & cars if state in states else self.none
        return track.where(states, cars)

    def any_of(self, line: Key, cars: Region, *states: Standing) -> Region:
        """Return which of these cars have anything of a line in one of these states."""
        members = self.car.members.get(line)
        if members is None:
            return self.where(line, cars, *states)
        found = self.none
        for key in members:
            found = found | self.where(key, cars, *states)
        return found

    def there(self, key: Key, cars: Region) -> Region:
        """Return which of these cars have a part in place, or a connection made."""
        return self.where(key, cars, *states.THERE.get(key.kind, states.IN_PLACE))

    def is_on(self, key: Key, cars: Region) -> Region:
        """Return which of these cars have a group of fasteners in, or else a thing as there."""
        if key.kind is not states.FASTENER:
            return self.there(key, cars)
        here = cars & self.car.exists(key)
        return here - self.where(key, here, *states.IS_OUT)

    def any_there(self, key: Key, cars: Region) -> Region:
        """Return which of these cars have anything of its line there, as :meth:`there` says it."""
        members = self.car.members.get(self.car.line(key))
        if members is None:
            return self.there(key, cars)
        found = self.none
        for member in members:
            found = found | self.there(member, cars)
        return found

    def touched(self, key: Key) -> bool:
        """Tell whether anything of its line was changed or asked for so far."""
        return any(each in self.tracks for each in self.car.of_line(self.car.line(key)))

    def settle(self) -> None:
        """Take the state reached so far as the one that the procedure begins with."""
        for track in self.tracks.values():
            track.pieces = [(cars, state, None) for cars, state, _ in track.pieces]
        self.log.clear()
        self.findings.clear()
        self.provisional.clear()
        self.exposing.clear()
        self.forgiven.clear()
        self._told.clear()
        self.step = self.action = self.mark = None

    def as_begun(self, key: Key, cars: Region) -> Region:
        """Return where a thing may end as it is: handed on so, or found wrong before."""
        found = self.forgiven.get(key, self.none) | self.handed_on.get(key, self.none)
        return found & cars

    def last_place(self, cars: Region) -> Place | None:
        """Return the last step with actions on any of these cars: all must be done by then."""
        if self.trial:
            return None
        space = self.car.space
        for numbered in reversed(self.car.plan.steps):
            if numbered.step.actions and cars & space.region(numbered.when):
                return (numbered.through or numbered.step).place
        return None

    def first_mark(self, keys: Iterable[Key], cars: Region) -> Mark | None:
        """Return the last change of the first of these things that was changed on these cars."""
        marks = (self.track(key).mark(cars) for key in keys)
        return next((mark for mark in marks if mark is not None), None)

    # -- findings ----------------------------------------------------------------------------------

    def forgive(self, key: Key, cars: Region) -> None:
        """Have no second finding about a thing on these cars."""
        self.forgiven[key] = self.forgiven.get(key, self.none) | cars

    def unforgiven(self, key: Key, cars: Region) -> Region:
        """Return these cars without those on which the thing has been found wrong before."""
        before = self.forgiven.get(key)
        return cars if before is None else cars - before

    def untold(self, check: str, about: str, cars: Region) -> Region:
        """Return where a check has not spoken of something before, and take it as told now."""
        before = self._told.get((check, about), self.none)
        self._told[check, about] = before | cars
        return cars - before

    def gone_too_early(self, key: Key, cars: Region) -> Region:
        """Return where a thing was disposed of, with a finding, before it was taken off."""
        before = self.forgiven.get(key)
        return self.none if before is None else self.where(key, before & cars, states.GONE)

    def nothing_to_do(
        self,
        key: Key,
        cars: Region,
        so: str,
        hint: str,
        place: Place | None = None,
        *,
        it: str = "",
        again: bool = False,
    ) -> None:
        """Find that the action in hand does nothing to a thing on these cars.

        ``so`` says how the thing stands ("is off already"), ``it`` stands for its name. It is
        found once of a thing on a car, unless ``again``.
        """
        if cars and not again:
            cars = self.unforgiven(key, cars)
        if cars:
            said = f"{it} {so}" if it else self.does(key, so)
            self.find("nothing-to-undo", cars, f"`{self.verb} {key}`: {said}", hint,
                      self.track(key).mark(cars), place)  # fmt: skip
            if not again:
                self.forgive(key, cars)

    def find(  # noqa: PLR0913
        self,
        check: str,
        cars: Region,
        message: str,
        hint: str = "",
        *others: Mark | Place | None,
        at: Mark | Place | None = None,
        unless: Callable[[Region], Region] | None = None,
        about: Key | None = None,
        level: Level = Level.ERROR,
    ) -> None:
        """Note what is wrong on these cars, at the action in hand or at another mark.

        ``unless`` is asked at the end: on the cars that it returns, another finding says it.
        ``about`` is what is left open, loose, covered … at the end.
        """
        if not cars:
            return
        if about:
            self.left.append(Left(check, about, cars, at if isinstance(at, Mark) else None))
        if self.trial and unless is None:
            self.findings.append(_SOMETHING)
            return
        mark = at or self.mark or self.car.plan.head.place
        place = mark.place if isinstance(mark, Mark) else mark
        related: dict[Place, None] = {}
        for each in (mark, *others):
            if isinstance(each, Mark):
                related[each.place] = None
                if each.inner is not None:
                    related[each.inner] = None
            elif each is not None:
                related[each] = None
        related.pop(place, None)
        self.findings.append(
            Finding(place, check, message, hint, level, self._variants(cars), tuple(related))
        )
        if unless is not None:
            self.provisional.append((self.findings[-1], cars, unless))

    def settle_provisional(self) -> None:
        """Take back the findings whose cause is found at the end, on the cars where it is."""
        for finding, cars, unless in self.provisional:
            left = cars - unless(cars)
            at = self.findings.index(finding)
            if not left:
                del self.findings[at]
            elif left is not cars:
                self.findings[at] = replace(finding, variants=self._variants(left))
        self.provisional.clear()

    def _variants(self, cars: Region) -> str:
        return "" if self.trial else self.text(cars)

    def text(self, cars: Region) -> str:
        """Return these cars as the shortest expression, among those the procedure is for."""
        if cars is self.all:
            return ""
        known = self.car.texts
        if cars.serial not in known:
            known[cars.serial] = shortest_text(cars.within(self.all))
        return known[cars.serial]

    def called(self, key: Key) -> str:
        """Return a thing's name and id, as a message shows them."""
        entity = self.car.entity(key)
        return f"{name_of(entity, self.car.plan.scope)} (`{key}`)" if entity else f"`{key}`"

    def does(self, key: Key, words: str) -> str:
        """Return a thing's name and id, and what it does: "is tight", but "are" of four bolts."""
        verb, *rest = words.split(" ")
        if getattr(self.car.entity(key), "count", 1) > 1:
            verb = _OF_MANY.get(verb, verb)
        return " ".join([self.called(key), verb, *rest])


_OF_MANY = {
    "is": "are", "has": "have", "goes": "go", "comes": "come", "takes": "take", "ends": "end",
    "stays": "stay", "stands": "stand",
}  # fmt: skip
