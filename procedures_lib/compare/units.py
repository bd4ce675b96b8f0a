"""The actions of a step, one for each object: what a list and single lines say alike."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from procedures_lib.compare.change import Group
from procedures_lib.entities.verbs import VERBS
from procedures_lib.findings import Place

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

    from procedures_lib.entities.work import Step

FREE_VERBS = frozenset(name for name, verb in VERBS.items() if not verb.kinds)
"""Verbs that take any words: another wording of these is the same action, said otherwise."""

TIGHTENING = "tightening"
_MAKING_SAFE = frozenset({"isolate", "relieve", "cool", "restore", "raise", "lower"})


@dataclass(frozen=True, slots=True)
class Unit:
    """One verb on one object, or on all of them after a verb that takes any words.

    ``verb`` and ``object`` are "" for an action that can't be read.
    """

    text: str
    verb: str = ""
    object: str = ""
    place: Place = field(default=Place("", 0), compare=False)

    @property
    def topic(self) -> str:
        """What a change of this action is about."""
        if self.verb == "test":
            return "leak test" if "leak" in self.object else "test"
        if self.verb in _MAKING_SAFE:
            return "making safe"
        return TIGHTENING if self.verb == "tighten" else "action"

    @property
    def group(self) -> Group:
        """The group of a change of this action."""
        if self.topic == TIGHTENING:
            return Group.JOINTS
        return Group.WORK if self.topic == "action" else Group.SAFETY


def gravest(units: Iterable[Unit]) -> Group:
    """Return the group of a change in the order of some actions: safety if one touches it."""
    touching = [unit.group for unit in units if unit.group.touches_safety]
    return Group.SAFETY if touching else Group.WORK


def units_of(step: Step, word: Callable[[str], str]) -> tuple[Unit, ...]:
    """Return the actions of a step in their order; ``word`` turns ids that were renamed."""
    return (*_read(step, word), *_unread(step))


def _read(step: Step, word: Callable[[str], str]) -> Iterator[Unit]:
    for action in step.actions:
        tail = f" on {word(str(action.on))}" if action.on else ""
        tail += f" stage {action.stage}" if action.stage else ""
        names = [word(str(name)) for name in action.objects]
        for object_ in [", ".join(names)] if action.verb in FREE_VERBS else names:
            yield Unit(f"{action.verb} {object_}{tail}", str(action.verb), object_, action.place)


def _unread(step: Step) -> Iterator[Unit]:
    for text in step.unread:
        if text != step.title:
            place = Place(step.place.page, getattr(text, "line", 0) or step.place.line)
            yield Unit(f"{text} (can't be read)", place=place)
