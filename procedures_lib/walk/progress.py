"""One walk in progress: the state of everything, and what was found so far."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import NamedTuple

from procedures_lib.findings import Finding, Level, Place
from procedures_lib.language.entities.car import Connection, Fastener, Part
from procedures_lib.language.entities.work import Action
from procedures_lib.language.variants.car_sets import Region
from procedures_lib.language.variants.shortest_condition import shortest_text
from procedures_lib.manual import NumberedStep
from procedures_lib.manual.scope import name_of
from procedures_lib.walk.car import Car
from procedures_lib.walk.openings import Watch
from procedures_lib.walk.state import (
    AIR,
    CALIBRATION,
    CLEAR,
    FITTED,
    FULL,
    IS_GONE,
    LIVE,
    MADE,
    NEW,
    NO,
    OLD,
    ON_WHEELS,
    PARENT,
    TIGHT,
    VEHICLE,
    Mark,
    Piece,
    Track,
)


class Change(NamedTuple):
    """One entry of the log: from this step on, these cars have this state."""

    step: int
    key: str
    cars: Region
    state: str
    mark: Mark | None


@dataclass(frozen=True, slots=True)
class Left:
    """What is not as it must be when the car leaves: ``check`` says how, ``mark`` since when."""

    check: str
    about: str
    cars: Region
    mark: Mark | None


_SOMETHING = Finding(Place("", 1), "left-off", "found in a trial, where nobody reads it")


class Run:
    """The walk in progress. ``cars`` are those that the step in hand is done on."""

    def __init__(self, car: Car, *, trial: bool = False) -> None:
        """Begin with the car as it arrives and the kit in its box.

        In a ``trial`` it only matters whether anything is found, and what is left: no finding says
        what. ``reads``, when it is a set, gets every key whose state is asked for.
        """
        self.car = car
        self.trial = trial
        self.none = car.space.none
        self.all = car.base
        self.cars = car.base
        self.tracks: dict[str, Track] = {}
        self.log: list[Change] = []
        self.findings: list[Finding] = []
        self.step: NumberedStep | None = None
        self.action: Action | None = None
        self.mark: Mark | None = None
        self.begun: dict[str, list[Piece]] = {}
        self.before: list[NumberedStep] = []
        self.after: list[NumberedStep] = []
        self.unsure = False
        self.moved_to: dict[str, list[str]] = {}
        self.left: list[Left] = []
        self.watch = Watch()
        self.provisional: list[tuple[Finding, Region, Callable[[Region], Region]]] = []
        self.forgiven: dict[str, Region] = {}
        self.reads: set[str] | None = None

    def copy(self) -> Run:
        """Return a walk in the same state, with nothing found yet."""
        other = Run(self.car, trial=True)
        for key, track in self.tracks.items():
            other.track(key).pieces = list(track.pieces)
        other.moved_to = {parent: list(parts) for parent, parts in self.moved_to.items()}
        return other

    # -- states ------------------------------------------------------------------------------------

    def track(self, key: str) -> Track:
        """Return the state of a thing, or of what else the key names."""
        if self.reads is not None:
            self.reads.add(key)
        found = self.tracks.get(key)
        if found is None:
            found = self.tracks[key] = self.start(key)
        return found

    def start(self, key: str) -> Track:
        """Return the state that a thing begins in."""
        thing = self.car.things.get(key)
        if thing is None:
            return Track(self.all, self._start_of_word(key))
        state = CLEAR
        if isinstance(thing, Part | Connection | Fastener):
            new = key in self.car.new
            state = NEW if new else _ARRIVES[thing.KIND]
        elif thing.KIND == "fluid":
            state = FULL
        return Track(self.car.exists(key), state)

    def _start_of_word(self, key: str) -> str:
        if key == VEHICLE:
            return ON_WHEELS
        if key == CALIBRATION:
            return OLD
        if key.startswith(PARENT):
            return self.car.carrier(key[len(PARENT) :])
        return NO if " " in key or key.startswith(AIR) else LIVE

    def put(self, key: str, cars: Region, state: str) -> None:
        """Move these cars to a state, by the action in hand."""
        if not cars:
            return
        self.track(key).put(cars, state, self.mark)
        step = self.step.number if self.step else 0
        self.log.append(Change(step, key, cars, state, self.mark))

    def assume(self, key: str, cars: Region, state: str) -> None:
        """Move these cars to the state that the writer must have meant, after a finding.

        What follows from that, later on or at the end, is no second finding.
        """
        if cars:
            self.forgive(key, cars)
            self.put(key, cars, state)

    def forgive(self, key: str, cars: Region) -> None:
        """Have no second finding about a thing on these cars."""
        self.forgiven[key] = self.forgiven.get(key, self.none) | cars

    def unforgiven(self, key: str, cars: Region) -> Region:
        """Return these cars without those on which the thing has been found wrong before."""
        before = self.forgiven.get(key)
        return cars if before is None else cars - before

    def gone_too_early(self, name: str, cars: Region) -> Region:
        """Return where a thing was disposed of, with a finding, before it was taken off."""
        before = self.forgiven.get(name)
        return self.none if before is None else self.where(name, IS_GONE, before & cars)

    def where(self, key: str, states: frozenset[str], cars: Region) -> Region:
        """Return which of these cars have the thing in one of these states."""
        track = self.track(key)
        if len(track.pieces) == 1:
            piece = track.pieces[0]
            return piece[0] & cars if piece[1] in states else self.none
        return track.where(states, cars)

    def any_of(self, line: str, states: frozenset[str], cars: Region) -> Region:
        """Return which of these cars have anything of a line in one of these states."""
        members = self.car.members.get(line)
        if members is None:
            return self.where(line, states, cars)
        found = self.none
        for name in members:
            found = found | self.where(name, states, cars)
        return found

    def touched(self, line: str) -> bool:
        """Tell whether anything of a line was changed so far."""
        return any(name in self.tracks for name in self.car.of_line(line))

    def settle(self) -> None:
        """Take the state reached so far as the one that the procedure begins with."""
        for track in self.tracks.values():
            track.pieces = [(cars, state, None) for cars, state, _ in track.pieces]
        self.begun = {key: list(track.pieces) for key, track in self.tracks.items()}
        self.log.clear()
        self.findings.clear()
        self.provisional.clear()
        self.forgiven.clear()
        self.watch = Watch()
        self.step = self.action = self.mark = None

    def as_begun(self, key: str, cars: Region) -> Region:
        """Return where a thing ends as it began, or was found wrong before."""
        found = self.forgiven.get(key, self.none) & cars
        if key in self.car.new:
            return found
        for where, _, mark in self.track(key).within(cars):
            if mark is None:
                found = found | where
        return found

    def last_place(self, cars: Region) -> Place | None:
        """Return the last step with actions on any of these cars: all must be done by then."""
        if self.trial:
            return None
        space = self.car.space
        for numbered in reversed(self.car.plan.steps):
            if numbered.step.actions and cars & space.region(numbered.when):
                return (numbered.through or numbered.step).place
        return None

    # -- findings ----------------------------------------------------------------------------------

    def find(
        self,
        check: str,
        cars: Region,
        message: str,
        hint: str = "",
        *others: Mark | Place | None,
        at: Mark | Place | None = None,
        unless: Callable[[Region], Region] | None = None,
        about: str = "",
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
            Finding(place, check, message, hint, Level.ERROR, self._variants(cars), tuple(related))
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

    def called(self, name: str) -> str:
        """Return a thing's name and id, as a message shows them."""
        entity = self.car.entity(name)
        if entity is None:
            return f"`{name}`"
        return f"{name_of(entity, self.car.plan.scope)} (`{name}`)"

    def does(self, name: str, words: str) -> str:
        """Return a thing's name and id, and what it does: "is tight", but "are" of four bolts."""
        verb, *rest = words.split(" ")
        if getattr(self.car.entity(name), "count", 1) > 1:
            verb = _OF_MANY.get(verb, verb)
        return " ".join([self.called(name), verb, *rest])


_OF_MANY = {
    "is": "are", "has": "have", "goes": "go", "comes": "come", "takes": "take", "ends": "end",
    "stays": "stay", "stands": "stand",
}  # fmt: skip
_ARRIVES = {"part": FITTED, "connection": MADE, "fastener": TIGHT}
