"""Faults in the ``do`` list of a step: an action or an object left out, or done twice."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from tests.faults.kinds import Fault, kind
from tests.faults.source import Edit, Source
from tests.faults.steps import WORK, exchange, name_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.entities.work import Action, Step
    from tests.faults.demo import Demo
    from tests.faults.kinds import Seeder

OWN_KIND = (
    "uncover", "restore", "tighten", "connect", "fill", "bleed", "lower", "raise", "tag",
    "isolate", "relieve", "cool", "cover", "drain", "test", "program",
)  # fmt: skip
"""Verbs whose actions are dropped under a kind of their own."""


def all_actions(demo: Demo) -> Iterator[tuple[Source, Step, int, Action]]:
    """Yield every action of the demo, with its place in the list of its step."""
    for source in demo.pages(*WORK):
        for step in source.steps:
            for n, action in enumerate(step.actions):
                yield source, step, n, action


def without_action(source: Source, step: Step, n: int, verb: str = "drop") -> Fault:
    """Take an action out of its step; the last one takes ``do`` with it."""
    edit = source.without(source.spots(step.block), "do", n)
    return Fault(source.name, f"{name_of(step)}: {verb} `{step.actions[n]}`", (edit,))


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
        yield Fault(source.name, f"{name_of(step)}: `{action}` twice", (edit,))


@kind("swap two neighbouring actions")
def swapped(demo: Demo) -> Iterator[Fault]:
    """Have two actions of a step change places."""
    for source, step, n, action in all_actions(demo):
        if n == 0:
            continue
        one, two = source.spots(step.block).texts("do")[n - 1 : n + 1]
        edits = (
            Edit(one.start, one.end, source.text[two.start : two.end]),
            Edit(two.start, two.end, source.text[one.start : one.end]),
        )
        what = f"{name_of(step)}: swap `{step.actions[n - 1]}` and `{action}`"
        yield Fault(source.name, what, edits)


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
