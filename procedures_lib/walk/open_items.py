"""What is open, off, loose, covered, drained or isolated after a step: for a hand-over."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from procedures_lib.language.variants.car_sets import Region
from procedures_lib.walk import states
from procedures_lib.walk.ending import rest_left, thing_left, to_be_judged
from procedures_lib.walk.openings import exposed
from procedures_lib.walk.progress import Change, Left, Run
from procedures_lib.walk.states import Key, Standing, Track

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
    "left-supported": "held from below",
    "not-adjusted": "to be adjusted",
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


class Past(Run):
    """A walk as it stood after a step, which can go on step by step.

    What a judgement asks for and no step has changed is kept apart: it has not been touched.
    ``reads``, when it is a set, gets every key whose state is asked for.
    """

    def __init__(self, begun: Run, log: Sequence[Change]) -> None:
        """Take the state that a walk began with, and its log."""
        super().__init__(begun.car, trial=True)
        self.go_on_from(begun)
        self.reads: set[Key] | None = None
        self._changes = log
        self._done = 0
        self._asked: dict[Key, Track] = {}

    def track(self, key: Key) -> Track:
        """Return the state of what the key names."""
        if self.reads is not None:
            self.reads.add(key)
        found = self.tracks.get(key) or self._asked.get(key)
        if found is None:
            found = self._asked[key] = self.start(key)
        return found

    def where(self, key: Key, cars: Region, *states: Standing) -> Region:
        """Return which of these cars have the thing in one of these states."""
        return self.track(key).where(states, cars)

    def put(self, key: Key, cars: Region, state: Standing) -> None:
        """Move these cars to a state, by the action in hand."""
        if cars:
            self._touch(key)
            super().put(key, cars, state)

    def _touch(self, key: Key) -> None:
        if key not in self.tracks:
            asked = self._asked.pop(key) if key in self._asked else None
            self.tracks[key] = asked or self.start(key)

    def go_on(self, step: int) -> None:
        """Take over the changes of the steps up to this one."""
        while self._done < len(self._changes) and self._changes[self._done][0] <= step:
            _, key, cars, state, mark = self._changes[self._done]
            self._touch(key)
            self.tracks[key].put(cars, state, mark)
            if isinstance(state, Key):
                self.note_moved(Key(states.PART, key.id), state)
            self._done += 1


def open_items(past: Run, cars: Region) -> list[OpenItem]:
    """Return the open items of a walk as it stands, on these cars, in the order they came up."""
    past.left.clear()
    for key in to_be_judged(past):
        thing_left(past, key)
    return _items(past, cars)


class OpenAfter:
    """What is open after the steps of a walk, asked for in their order.

    A thing is judged again only when a step has changed something that its last judgement has
    asked for: after most steps, most things stand as they stood.
    """

    def __init__(self, run: Run, begun: Run) -> None:
        """Take a walk to its end, and the state that it began with."""
        self._run, self._begun = run, begun
        self._changes: dict[int, set[Key]] = {}
        for step, key, *_ in run.log:
            self._changes.setdefault(step, set()).add(key)
        self._known: dict[Key, tuple[Left, ...]] = {}
        self._asking: dict[Key, set[Key]] = {}
        self._step = 0
        self._past = Past(begun, run.log)

    def items(self, step: int, cars: Region) -> list[OpenItem]:
        """Return what is open after a step, on these cars, as :func:`open_items` does."""
        self._forget_until(step)
        past = self._past
        past.go_on(step)
        keys = to_be_judged(past)
        for key in keys:
            if key not in self._known:
                self._judge(past, key)
        past.left = [left for key in keys for left in self._known[key]]
        return _items(past, cars)

    def _judge(self, past: Past, judged: Key) -> None:
        past.left.clear()
        past.reads = set()
        thing_left(past, judged)
        self._known[judged] = tuple(past.left)
        for key in past.reads:
            self._asking.setdefault(key, set()).add(judged)
        past.reads = None

    def _forget_until(self, step: int) -> None:
        """Forget the judgements that a step since the last one, up to this one, may change."""
        if step < self._step:
            self._known.clear()
            self._step, self._past = 0, Past(self._begun, self._run.log)
        for each in range(self._step + 1, step + 1):
            for key in self._changes.get(each, ()):
                if key.kind is states.CARRIER:
                    self._known.clear()
                for judged in self._asking.pop(key, ()):
                    self._known.pop(judged, None)
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
            how = _how(past, each, both)
            items.append(OpenItem(str(each.about), how, step, past.text(both)))
    return sorted(items, key=lambda item: (item.step, item.thing, item.how, item.variants))


def _is_for_later(past: Run, left: Left) -> bool:
    """Tell whether a thing is only not yet done: a calibration, a new lead still in its box."""
    in_box = left.about in past.car.new and left.mark is None
    return left.check in _NOT_YET_BEGUN or (in_box and left.check == "left-disconnected")


def _how(past: Run, each: Left, cars: Region) -> str:
    if each.check == "left-off" and past.where(each.about, cars, states.LIFTED) is cars:
        return "lifted"
    return HOW[each.check]


def _openings(past: Run, listed: set[Key]) -> list[Left]:
    """Return the openings that are covered, also where nothing would close them yet, or exposed."""
    found: list[Left] = []
    for key, closers in past.car.closers.items():
        touched = any(past.touched(each) for each in (key, *closers))
        if not touched or not past.car.closers_known(key):
            continue
        where = exposed(past, key, past.car.exists(key))
        covered = past.where(key, where, states.COVERED)
        if covered and key not in listed:
            found.append(Left("left-covered", key, covered, past.track(key).mark(covered)))
        bare = where - covered
        if bare:
            found.append(Left("exposed", key, bare, past.first_mark(closers, bare)))
    return found
