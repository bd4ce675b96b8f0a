"""Faults in the ``do`` list of a step: an action or an object left out, or done twice."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from procedures_lib.engineering.tightening import StageKind
from procedures_lib.language.entities.car import Fastener
from tests.faults.kinds import Fault, kind
from tests.faults.source import Edit, Source
from tests.faults.steps import WORK, exchange, name_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.language.entities.work import Action, Step
    from tests.faults.demo import Demo
    from tests.faults.kinds import Seeder

OWN_KIND = (
    "uncover", "restore", "tighten", "connect", "fill", "bleed", "lower", "raise", "tag",
    "isolate", "relieve", "cool", "cover", "drain", "test", "program",
)  # fmt: skip
"""Verbs whose actions are dropped under a kind of their own."""

LOOKING = frozenset({"inspect", "clean", "measure", "apply"})
BESIDE = frozenset({"discard", "return", "tag"})
ONE_BY_ONE = frozenset({"connect", "disconnect", "loosen", "start", "tighten", "test"})
"""Of several in a row, either may come first."""
SAID = "it changes nothing that is connected, fitted or tight, and the step's prose says it too"
STARTED = "`tighten` takes a fastener from the box as well: that it is started by hand is prose"
AGAIN = {
    **dict.fromkeys(LOOKING, "looked at, cleaned or measured twice, it is the same"),
    "test": "a second test proves the same",
    "tag": "a second tag says the same",
    "cool": "it is cold already",
    "start": "it is in by hand already",
    "tighten": "the wrench clicks at once, as no stage is an angle",
    "fill": "it is full to the mark already",
    "bleed": "there is no air left in it",
    "program": "the same calibration is loaded again",
    "modify": "it is cut already",
}
"""Why doing it again right away does no harm."""


def all_actions(demo: Demo) -> Iterator[tuple[Source, Step, int, Action]]:
    """Yield every action of the demo, with its place in the list of its step."""
    for source in demo.pages(*WORK):
        for step in source.steps:
            for n, action in enumerate(step.actions):
                yield source, step, n, action


def without_action(source: Source, step: Step, n: int, verb: str = "drop") -> Fault:
    """Take an action out of its step; the last one takes ``do`` with it."""
    edit = source.without(source.spots(step.block), "do", n)
    action = step.actions[n]
    reason = SAID if action.verb in LOOKING else ""
    if action.verb == "start" and _tightened_later(source, step, action):
        reason = STARTED
    return Fault(source.name, f"{name_of(step)}: {verb} `{action}`", (edit,), reason)


def _tightened_later(source: Source, step: Step, action: Action) -> bool:
    """Tell whether all that an action starts is tightened in the same step or a later one."""
    later = [s for s in source.steps if s.place.line >= step.place.line]
    tight = {name for s in later for a in s.actions if a.verb == "tighten" for name in a.objects}
    return tight.issuperset(action.objects)


def _dropping(verb: str) -> Seeder:
    def seed(demo: Demo) -> Iterator[Fault]:
        for source, step, n, action in all_actions(demo):
            if action.verb == verb:
                yield without_action(source, step, n)

    return seed


for _verb in OWN_KIND:
    kind(f"drop `{_verb}`")(_dropping(_verb))


@kind("drop any other action")
def dropped(demo: Demo) -> Iterator[Fault]:
    """Leave out an action whose verb has no kind of its own."""
    for source, step, n, action in all_actions(demo):
        if action.verb not in OWN_KIND:
            yield without_action(source, step, n)


@kind("drop one object of an action")
def without_object(demo: Demo) -> Iterator[Fault]:
    """Leave out one of several objects that share a verb."""
    for source, step, n, action in all_actions(demo):
        if len(action.objects) == 1:
            continue
        spot = source.spots(step.block).texts("do")[n]
        for m, name in enumerate(action.objects):
            left = replace(action, objects=action.objects[:m] + action.objects[m + 1 :])
            what = f"{name_of(step)}: drop `{name}` from `{action}`"
            yield Fault(source.name, what, (Edit(spot.start, spot.end, str(left)),))


@kind("do an action twice")
def doubled(demo: Demo) -> Iterator[Fault]:
    """Say an action again right after itself."""
    for source, step, n, action in all_actions(demo):
        whole = source.spots(step.block)
        if whole.get("do", n) is None:  # a single action, not in a list
            continue
        spot = whole.texts("do")[n]
        first, last = source.rows(source.row_of(spot.start), source.row_of(spot.end))
        edit = Edit(last, last, source.text[first:last])
        reason = "" if _turns_on(demo, source, action) else AGAIN.get(action.verb, "")
        yield Fault(source.name, f"{name_of(step)}: `{action}` twice", (edit,), reason)


def _turns_on(demo: Demo, source: Source, action: Action) -> bool:
    """Tell whether tightening again would turn a joint on by an angle."""
    scope = demo.manual.scope(source.name)
    joints = [scope.of(Fastener, name) for name in action.objects]
    stages = [stage for joint in joints if joint for stage in joint.tighten]
    return action.verb == "tighten" and any(stage.kind is StageKind.ANGLE for stage in stages)


@kind("swap two neighbouring actions")
def swapped(demo: Demo) -> Iterator[Fault]:
    """Have two actions of a step change places that concern the same thing, or neighbours."""
    for source, step, n, action in all_actions(demo):
        apart = demo.relations(source.name).apart
        before = step.actions[n - 1 : n]
        if not before or _in_any_order(before[0], action) or apart(before, [action]):
            continue
        one, two = source.spots(step.block).texts("do")[n - 1 : n + 1]
        edits = (
            Edit(one.start, one.end, source.text[two.start : two.end]),
            Edit(two.start, two.end, source.text[one.start : one.end]),
        )
        what = f"{name_of(step)}: swap `{step.actions[n - 1]}` and `{action}`"
        yield Fault(source.name, what, edits)


def _in_any_order(one: Action, two: Action) -> bool:
    """Tell whether two actions follow one another for convenience only."""
    verbs = {str(one.verb), str(two.verb)}
    return bool(verbs & (LOOKING | BESIDE)) or (len(verbs) == 1 and verbs <= ONE_BY_ONE)


@kind("swap isolate and restore")
def isolate_and_restore(demo: Demo) -> Iterator[Fault]:
    """Have the two calls of a procedure change places, or write one verb for the other."""
    other = {"isolate": "restore", "restore": "isolate"}
    for source, step, n, action in all_actions(demo):
        if new := other.get(action.verb):
            spot = source.spots(step.block).texts("do")[n]
            written = str(replace(action, verb=type(action.verb)(new, action.verb.line)))
            what = f"{name_of(step)}: `{written}` for `{action}`"
            yield Fault(source.name, what, (Edit(spot.start, spot.end, written),))
    for source in demo.pages("procedures"):
        calls = {str(step.common): step for step in source.steps if step.common}
        pair = [calls.get(name) for name in ("isolate-battery", "restore-battery")]
        one, two = pair
        if one and two:
            what = "swap the calls for isolate-battery and restore-battery"
            yield Fault(source.name, what, exchange(source, one, two))
