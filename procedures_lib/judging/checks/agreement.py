"""What is said against the facts: left-hand threads, names, engagement."""

from __future__ import annotations

import re
from collections.abc import Iterator

from procedures_lib.findings import Finding, Level
from procedures_lib.judging.checks.mentions import things, whole_things
from procedures_lib.judging.checks.prose import place_in
from procedures_lib.judging.checks.step_text import own_steps, texts
from procedures_lib.language.entities.car import Connection, Fastener, Part
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.verbs import VERBS
from procedures_lib.language.entities.work import Step
from procedures_lib.language.reading.page import Prose
from procedures_lib.manual import Manual, Plan

_LEFT_HAND = re.compile(
    r"\bleft-hand(?:ed)? thread"
    r"|\b(?:undo(?:es)?|comes? (?:out|off|loose)|unscrews?|loosens?) clockwise"
    r"|\b(?:go(?:es)? in|screws? in|tightens?) (?:anti|counter-?)clockwise",
    re.IGNORECASE,
)
_WHICH_WAY = re.compile(r"\bleft-hand|clockwise\b", re.IGNORECASE)


_ONCE = re.compile(
    r"\bused\s(?:only\sonce|once)\b|\b(?:new|renewed)\severy\stime\b|\bfor\sone\suse\sonly\b",
    re.IGNORECASE,
)
"""How a text says that a thing is for one use: common practice, no source."""


def words_and_facts(manual: Manual, page: str) -> Iterator[Finding]:
    """Find steps that speak of a left-hand thread, or of single use, and whose facts have none."""
    for plan, numbered in own_steps(manual, page):
        step = numbered.step
        if not step.actions:
            continue
        for prose in texts(step):
            low = prose.text.lower()
            if "left-hand" in low or "clockwise" in low:
                yield from _left_hand(manual, page, plan, step, prose)
            if " once" in low or "every time" in low or "for one" in low:
                yield from _once(page, plan, step, prose)


def _left_hand(
    manual: Manual, page: str, plan: Plan, step: Step, prose: Prose
) -> Iterator[Finding]:
    groups = [each for each in _things(plan, step) if isinstance(each, Fastener)]
    left = any(group.turns == "left" for group in groups)
    match = _LEFT_HAND.search(prose.text)
    if match and groups and not left and not any(map(manual.is_damaged, groups)):
        said = f"“{match[0]}”: none of the fasteners of this step has a left-hand thread"
        yield _at(page, prose, match, said, "write `turns: left` on the fastener")
        return
    hands = {group.turns == "left" for group in groups}
    if len(hands) == 1 and not any(map(manual.is_damaged, groups)):
        yield from _wrong_way(page, prose, left)


_IN = (
    r"(?:start\w*|go(?:es)? (?:in|on)|turn(?:s|ed)? (?:in|on)|screw(?:s|ed)? (?:in|on)|tighten\w*)"
)
_OUT = (
    r"(?:undo(?:es)?|comes? (?:out|off|loose)|unscrew\w*|loosen\w*|slacken\w*|backs? (?:out|off))"
)
_WAY = re.compile(
    rf"\b(?:(?P<in>{_IN})|(?P<out>{_OUT}))\b(?:[^.;:!?]|\.(?=\S)){{0,60}}?"
    r"\b(?P<against>anti-?|counter-?)?clockwise\b",
    re.IGNORECASE,
)
"""Which way a text says that a thread goes in, or comes out."""


def _wrong_way(page: str, prose: Prose, left: bool) -> Iterator[Finding]:
    """Find words that turn a thread the other way than its hand, common to all of the step."""
    for match in _WAY.finditer(" ".join(prose.text.split("\n"))):
        clockwise_in = (match["against"] is None) == (match["in"] is not None)
        if clockwise_in == left:
            hand = "left-hand" if left else "right-hand"
            said = f"“{match[0]}”: what this step turns has a {hand} thread"
            yield _at(page, prose, match, said, "correct the text, or `turns` of the fastener")


def _once(page: str, plan: Plan, step: Step, prose: Prose) -> Iterator[Finding]:
    things = _things(plan, step)
    match = _ONCE.search(prose.text)
    if match and things and all(map(_goes_on_again, things)):
        said = f"“{match[0]}”: none of what the step works on is for one use"
        yield _at(page, prose, match, said, "write `reuse: false` on what is meant")


def _things(plan: Plan, step: Step) -> list[Entity | None]:
    return [plan.scope.get(str(name)) for action in step.actions for name in action.objects]


def unsaid_left_hand(manual: Manual, page: str) -> Iterator[Finding]:
    """Find the first step that turns a left-hand thread, if its words do not say so.

    A step without words is let pass: the torque table has the hand of the thread.
    """
    left = {group.id: group for group in manual.scope(page).all(Fastener) if group.turns == "left"}
    for _, numbered in own_steps(manual, page) if left else ():
        step = numbered.step
        turning = (a for a in step.actions if VERBS[a.verb].turns_in or VERBS[a.verb].turns_out)
        for name in (str(name) for action in turning for name in action.objects):
            group = left.pop(name, None)
            if group is None:
                continue
            words = [prose.text for prose in texts(step) if prose.line > step.place.line]
            if words and not any(map(_WHICH_WAY.search, words)):
                said = (
                    f"`{name}` has a left-hand thread, and the first step to turn it says nothing"
                )
                hint = "say there that it comes out clockwise, best in a {notice}"
                yield Finding(step.place, "prose-disagrees", said, hint, related=(group.place,))


def _goes_on_again(thing: Entity | None) -> bool:
    if isinstance(thing, Connection):
        return thing.reuse
    return not isinstance(thing, Fastener | Part) or thing.reusable


def _at(page: str, prose: Prose, match: re.Match[str], said: str, hint: str) -> Finding:
    place = place_in(page, prose, match.start())
    return Finding(place, "prose-disagrees", said, hint, Level.WARNING)


_RUNS_IN = {
    "brake-fluid": r"\bbrake",
    "fuel": r"\b(?:fuel|petrol|diesel)\b(?!.*\b(?:vapour|filler|vent|pressure)\b)",
    "coolant": r"\b(?:coolant|heater|radiator)\b",
}
_RUNS_IN_IT = {carried: re.compile(words, re.IGNORECASE) for carried, words in _RUNS_IN.items()}
_LINES = frozenset({"hose", "pipe", "line"})


def unsaid_carries(manual: Manual, page: str) -> Iterator[Finding]:
    """Find hoses, pipes and lines called after a liquid that do not say that it runs in them."""
    for entity in whole_things(manual, page, Connection):
        if entity.kind in _LINES and entity.carries is None:
            named = f"{entity.name} {entity.id.replace('-', ' ')}"
            for carried, words in _RUNS_IN_IT.items():
                if words.search(named):
                    said = f"`{entity.id}` is called after what runs in it, and says no `carries`"
                    hint = f"write `carries: {carried}`: opening it is then judged"
                    yield Finding(entity.place, "carries-missing", said, hint, Level.WARNING)


_MOST_ENGAGED = 5.0
"""No thread is engaged over more than so many of its diameters: 1 to 2.5 are usual (handbooks)."""


def engagements(manual: Manual, page: str) -> Iterator[Finding]:
    """Find threads that are engaged over an impossible length: a slip of the unit."""
    for group in things(manual, page, Fastener):
        length = group.into.engagement if group.into else None
        if length is None or group.thread is None:
            continue
        diameter = group.thread.thread.diameter
        if length.si * 1000 > _MOST_ENGAGED * diameter:
            said = f"`{group.id}`: {length.tidy} of {group.thread.written} engaged can't be"
            hint = "1 to 2.5 diameters are usual: look at the unit"
            yield Finding(group.place, "out-of-range", said, hint)
