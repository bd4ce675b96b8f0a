"""What is open, off, loose, covered, drained or isolated after a step: for a hand-over."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from procedures_lib.language.entities.car import Opening
from procedures_lib.language.variants.car_sets import Region
from procedures_lib.walk.ending import rest_left, thing_left, to_be_judged
from procedures_lib.walk.openings import exposed
from procedures_lib.walk.progress import Change, Left, Run
from procedures_lib.walk.state import IS_COVERED, IS_LIFTED, PARENT, Track

HOW = {
    "left-disconnected": "disconnected",
    "left-off": "off",
    "left-loose": "not tight",
    "stage-skipped": "not tight through its last stage",
    "left-covered": "covered",
    "left-drained": "drained",
    "left-unbled": "air in it",
    "left-isolated": "isolated",
    "left-raised": "raised",
    "left-on-discarded": "on a part that is off for good",
    "left-uncalibrated": "not loaded",
    "no-leak-test": "not done since the lines were opened",
    "no-brake-test": "not done since the brakes were opened",
    "exposed": "open, without a cover",
}
"""How an open item stands, by the check that would find it at the end."""

_NOT_YET_BEGUN = frozenset({"left-uncalibrated"})
_EVEN_WHILE_OPEN = "left-covered"


@dataclass(frozen=True, slots=True)
class OpenItem:
    """One thing that is not as it must be when the car leaves.

    ``how`` is one of :data:`HOW`; ``step`` is the step that left it so (0 when none did),
    ``variants`` the cars on which it is so ("" for every car).
    """

    thing: str
    how: str
    step: int
    variants: str


def replayed(run: Run, begun: Run, step: int) -> Run:
    """Return a walk as it stood after a step, from its log and the state that it began with."""
    past = begun.copy()
    for change in run.log:
        if change.step > step:
            break
        _replay(past, change)
    return past


def _replay(past: Run, change: Change) -> None:
    past.track(change.key).put(change.cars, change.state, change.mark)
    if change.key.startswith(PARENT) and change.state:
        past.moved_to.setdefault(change.state, []).append(change.key.removeprefix(PARENT))


def open_items(past: Run, cars: Region) -> list[OpenItem]:
    """Return the open items of a walk as it stands, on these cars, in the order they came up."""
    past.left.clear()
    for name in to_be_judged(past):
        thing_left(past, name)
    return _items(past, cars)


class _Past(Run):
    """A walk as it stood after a step, which goes on step by step.

    What a judgement asks for and no step has changed is kept apart: it has not been touched.
    """

    def __init__(self, begun: Run) -> None:
        super().__init__(begun.car, trial=True)
        self.tracks = begun.copy().tracks
        self.done = 0
        self._asked: dict[str, Track] = {}

    def track(self, key: str) -> Track:
        if self.reads is not None:
            self.reads.add(key)
        found = self.tracks.get(key) or self._asked.get(key)
        if found is None:
            found = self._asked[key] = self.start(key)
        return found

    def go_on(self, log: Sequence[Change], step: int) -> None:
        """Take over the changes of the steps up to this one."""
        while self.done < len(log) and log[self.done].step <= step:
            change = log[self.done]
            if change.key not in self.tracks:
                self._asked.pop(change.key, None)
                self.tracks[change.key] = self.start(change.key)
            _replay(self, change)
            self.done += 1


class OpenAfter:
    """What is open after the steps of a walk, asked for in their order.

    A thing is judged again only when a step has changed something that its last judgement has
    asked for: after most steps, most things stand as they stood.
    """

    def __init__(self, run: Run, begun: Run) -> None:
        """Take a walk to its end, and the state that it began with."""
        self._run, self._begun = run, begun
        self._changes: dict[int, set[str]] = {}
        for change in run.log:
            self._changes.setdefault(change.step, set()).add(change.key)
        self._known: dict[str, tuple[Left, ...]] = {}
        self._asking: dict[str, set[str]] = {}
        self._step = 0
        self._past = _Past(begun)

    def items(self, step: int, cars: Region) -> list[OpenItem]:
        """Return what is open after a step, on these cars, as :func:`open_items` does."""
        self._forget_until(step)
        past = self._past
        past.go_on(self._run.log, step)
        names = to_be_judged(past)
        for name in names:
            if name not in self._known:
                self._judge(past, name)
        past.left = [left for name in names for left in self._known[name]]
        return _items(past, cars)

    def _judge(self, past: Run, name: str) -> None:
        past.left.clear()
        past.reads = set()
        thing_left(past, name)
        self._known[name] = tuple(past.left)
        for key in past.reads:
            self._asking.setdefault(key, set()).add(name)
        past.reads = None

    def _forget_until(self, step: int) -> None:
        """Forget the judgements that a step since the last one, up to this one, may change."""
        if step < self._step:
            self._known.clear()
            self._step, self._past = 0, _Past(self._begun)
        for each in range(self._step + 1, step + 1):
            for key in self._changes.get(each, ()):
                if key.startswith(PARENT):
                    self._known.clear()
                for name in self._asking.pop(key, ()):
                    self._known.pop(name, None)
        self._step = step


def _items(past: Run, cars: Region) -> list[OpenItem]:
    rest_left(past)
    left = [each for each in past.left if not _is_for_later(past, each)]
    left += _openings(past, {each.about for each in left if each.check == _EVEN_WHILE_OPEN})
    items = []
    for each in left:
        both = each.cars & cars
        if both:
            step = each.mark.step if each.mark else 0
            items.append(OpenItem(each.about, _how(past, each, both), step, past.text(both)))
    return sorted(items, key=lambda item: (item.step, item.thing, item.how, item.variants))


def _is_for_later(past: Run, left: Left) -> bool:
    """Tell whether a thing is only not yet done: a calibration, a new lead still in its box."""
    in_box = left.about in past.car.new and left.mark is None
    return left.check in _NOT_YET_BEGUN or (in_box and left.check == "left-disconnected")


def _how(past: Run, each: Left, cars: Region) -> str:
    if each.check == "left-off" and past.where(each.about, IS_LIFTED, cars) is cars:
        return "lifted"
    return HOW[each.check]


def _openings(past: Run, listed: set[str]) -> list[Left]:
    """Return the openings that are covered, also where nothing would close them yet, or exposed."""
    found: list[Left] = []
    for thing in past.car.all_openings:
        if not _is_touched(past, thing):
            continue
        name = thing.id
        where = exposed(past, thing, past.car.exists(name))
        covered = past.where(name, IS_COVERED, where)
        if covered and name not in listed:
            found.append(Left("left-covered", name, covered, past.track(name).mark(covered)))
        bare = where - covered
        if bare:
            marks = [past.track(str(each)).mark(bare) for each in thing.exposed_by]
            at = next((mark for mark in marks if mark is not None), None)
            found.append(Left("exposed", name, bare, at))
    return found


def _is_touched(past: Run, opening: Opening) -> bool:
    known = [str(each) for each in opening.exposed_by if str(each) in past.car.things]
    return len(known) == len(opening.exposed_by) and any(
        past.touched(past.car.line(name)) for name in known
    )
