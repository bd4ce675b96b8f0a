"""Hazards: called for by words that mean something, shown in time and with the right word."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from difflib import get_close_matches
from functools import cache
from itertools import pairwise

from procedures_lib.findings import Finding, Level, Place
from procedures_lib.judging.checks.mentions import every_plan_on, plans_on, steps_on, things
from procedures_lib.judging.checks.rule_uses import rules_used
from procedures_lib.language.entities.car import CARRIES, PART_KINDS, Fluid
from procedures_lib.language.entities.hazard import BUILTIN_HAZARDS, BuiltinHazard, Hazard
from procedures_lib.language.entities.verbs import KEYWORDS, VERBS, verbs_for
from procedures_lib.language.entities.work import Procedure, Rule, Signal, Step
from procedures_lib.language.reading.page import Scalar
from procedures_lib.manual import Manual, NumberedStep, Plan, Scope
from procedures_lib.manual.scope import called_by
from procedures_lib.spelling import suggestion
from procedures_lib.view.step import (
    SIGNAL_RANKS,
    hazard_named,
    hazards_at,
    hazards_of_step,
)

_ALIKE = 0.8
"""How like a known id a word must be to be taken for a slip (difflib ratio)."""

_CLASSES = {"DANGER": 3, "WARNING": 3, "CAUTION": 2, "NOTICE": 1}
"""Order within a step, MIL-DTL-87268D: what hurts people, then what damages things, then notes."""


def before_step_1(manual: Manual, page: str) -> Iterator[Finding]:
    """Find hazards that a procedure page shows after the work has begun.

    A page without ``{preparation}`` is none: the site then puts the hazards before step 1 itself.
    """
    blocks = [derived.block for derived in manual.contents[page].derived]
    place = next((block.place for block in blocks if block.name == "preparation"), None)
    for plan in plans_on(manual, page):
        own = plan.content.steps_of(plan.head.id)
        if place is None or plan.vehicle is None or not own or place.line < own[0].place.line:
            continue
        met = _hazards_met(plan)
        if met:
            names = ", ".join(f"`{name}`" for name in met)
            said = f"the procedure meets {names}, and shows it only after step 1"
            hint = "move the `{preparation}` block before the first step: it lists the hazards"
            related = tuple(dict.fromkeys(met.values()))
            yield Finding(place, "hazard-not-shown", said, hint, related=related)


def _hazards_met(plan: Plan) -> dict[str, Place]:
    met: dict[str, Place] = {}
    for numbered in plan.steps:
        for name in hazards_at(numbered, plan):
            if hazard_named(name, plan.scope) is not None:
                met.setdefault(name, (numbered.through or numbered.step).place)
    return met


def signal_words(manual: Manual, page: str) -> Iterator[Finding]:
    """Find signal words weaker than the hazard they show, and graver ones after lesser ones."""
    content = manual.contents[page]
    scope = manual.scope(page)
    for signal in content.signals:
        yield from _too_weak(signal, scope)
    for step in steps_on(content):
        for signal in step.signals:
            yield from _too_weak(signal, scope)
        for last, signal in pairwise(step.signals):
            if _CLASSES[signal.word] > _CLASSES[last.word]:
                said = f"{signal.word} stands after {last.word} in this step"
                hint = "put what hurts people first: DANGER and WARNING, CAUTION, then NOTICE"
                yield Finding(signal.place, "signal-order", said, hint, related=(last.place,))


def _is_graver(signal: Signal, hazard: Hazard | BuiltinHazard) -> bool:
    return SIGNAL_RANKS[signal.word] > SIGNAL_RANKS[hazard.signal]


def _too_weak(signal: Signal, scope: Scope) -> Iterator[Finding]:
    hazard = hazard_named(signal.hazard, scope) if signal.hazard else None
    if hazard is not None and SIGNAL_RANKS[signal.word] < SIGNAL_RANKS[hazard.signal]:
        said = f"{signal.word} shows `{signal.hazard}`, whose signal word is {hazard.signal}"
        hint = f"write `{{{hazard.signal.lower()}}}`"
        yield Finding(signal.place, "hazard-not-shown", said, hint)
    elif hazard is not None and _is_graver(signal, hazard) and not _meant(signal, scope):
        said = f"{signal.word} shows `{signal.hazard}`, whose signal word is {hazard.signal}"
        hint = "give both the graver word, or both the lesser"
        place = hazard.place if isinstance(hazard, Hazard) else signal.place
        related = tuple(dict.fromkeys((place,)))
        yield Finding(signal.place, "hazard-not-shown", said, hint, Level.WARNING, related=related)


_WEAK = frozenset({"the", "and", "under", "open", "pressure", "with", "beside", "near", "loaded"})
"""Words that the names of several hazards have, or that any title may have."""


def titles(manual: Manual, page: str) -> Iterator[Finding]:
    """Find signs whose title is about another hazard than they show."""
    content, scope = manual.contents[page], manual.scope(page)
    signals = [*content.signals, *(s for step in steps_on(content) for s in step.signals)]
    often = Counter((signal.title, str(signal.hazard)) for signal in signals if signal.hazard)
    for signal in signals:
        if not signal.hazard or hazard_named(signal.hazard, scope) is None:
            continue
        usual = max((n, name) for (title, name), n in often.items() if title == signal.title)
        meant = _meant(signal, scope)
        if not meant and often[signal.title, str(signal.hazard)] < usual[0]:
            meant = usual[1]
        if meant:
            said = f"“{signal.title}” shows `{signal.hazard}`, and its title is about `{meant}`"
            hint = f"write `:hazard: {meant}`, or correct the title"
            yield Finding(signal.place, "hazard-not-shown", said, hint, Level.WARNING)


def _meant(signal: Signal, scope: Scope) -> str:
    """The library's hazard of which a sign's title has a word, if the sign's own has none there."""
    words = _words_of(signal.title)
    for name in dict.fromkeys([str(signal.hazard), *BUILTIN_HAZARDS]):
        hazard = hazard_named(name, scope)
        if hazard is not None and not words.isdisjoint(_words_of(f"{name} {hazard.name}")):
            return "" if name == signal.hazard else name
    return ""


@cache
def _words_of(text: str) -> frozenset[str]:
    return frozenset(re.findall(r"[a-z]{3,}", text.lower())) - _WEAK


def signs_below(manual: Manual, page: str) -> Iterator[Finding]:
    """Find signs that stand below the action they warn of, within a step and on the page.

    A sign at the end of a step that only makes its hazard safe warns of the steps below.
    """
    for plan in every_plan_on(manual, page):
        steps = [n for n in plan.steps if (n.through or n.step).place.page == page]
        for numbered in steps:
            if numbered.through is None:
                yield from _below_its_action(numbered.step, plan)
        for signal in plan.content.signals if steps else ():
            yield from _below_its_steps(signal, steps, plan)


def _below_its_action(step: Step, plan: Plan) -> Iterator[Finding]:
    called = _called(step, plan.scope)
    prose = [each.line for each in step.block.prose if each.line > step.place.line]
    for signal in step.signals:
        line, hazard = signal.place.line, _hazard_of(signal, called, plan.scope)
        things_named = called.get(hazard, set())
        named = [
            role.target.line
            for role in step.block.roles
            if role.target in things_named and step.place.line < role.target.line < line
        ]
        last = bool(prose) and max(prose) < line
        if hazard in called and (named or last):
            said = f"{signal.word} stands below the words about what it warns of"
            hint = "put it above them: it is read before the work"
            related = (Place(signal.place.page, min(named or prose)),)
            yield Finding(signal.place, "signal-order", said, hint, related=related)
        elif last and not signal.hazard and not hazard:
            said = f"{signal.word} stands below all the words of its step"
            hint = "put it above them: it is read before the work"
            yield Finding(signal.place, "signal-order", said, hint, Level.WARNING)


def _below_its_steps(signal: Signal, steps: list[NumberedStep], plan: Plan) -> Iterator[Finding]:
    def line(numbered: NumberedStep) -> int:
        return (numbered.through or numbered.step).place.line

    above = [n for n in steps if line(n) < signal.place.line]
    called = ((n, _called(n.step, plan.scope)) for n in above)
    warned = [n for n, names in called if _hazard_of(signal, names, plan.scope) in names]
    for first in warned[:1]:
        hazard = _hazard_of(signal, _called(first.step, plan.scope), plan.scope)
        if not any(hazard in hazards_of_step(n, plan) for n in steps[len(above) :]):
            said = f"{signal.word} stands below step {first.number}, which it warns of"
            hint = "put it above the step, or into it"
            related = ((first.through or first.step).place,)
            yield Finding(signal.place, "signal-order", said, hint, related=related)


def _called(step: Step, scope: Scope) -> dict[str, set[str]]:
    """The hazards that a step calls for, each with the things that its actions name with it."""
    found: dict[str, set[str]] = {str(name): set() for name in step.hazards}
    for action in step.actions:
        for name in called_by(action, scope):
            found.setdefault(name, set()).update(map(str, action.objects))
    return found


def _hazard_of(signal: Signal, called: Iterable[str], scope: Scope) -> str:
    """The hazard that a sign shows: the one it says, or the one whose name is in its title."""
    if signal.hazard:
        return str(signal.hazard)
    title = signal.title.lower()
    known = ((name, hazard_named(name, scope)) for name in called)
    return next((name for name, each in known if each and each.name.lower() in title), "")


def words_that_call(manual: Manual, page: str) -> Iterator[Finding]:
    """Find words of `called-by` and `about` that no step and no thing can bring up."""
    if not _sees_its_steps(manual, page):
        return
    for hazard in things(manual, page, Hazard):
        for word in hazard.called_by:
            yield from _unknown_word(manual, page, word, f"`called-by` of `{hazard.id}`")
        yield from _made_safe(manual, page, hazard)
    for rule in things(manual, page, Rule):
        for word in rule.about:
            yield from _unknown_word(manual, page, word, f"`about` of `{rule.id}`")


def _made_safe(manual: Manual, page: str, hazard: Hazard) -> Iterator[Finding]:
    """Find a slip in the action that makes a hazard safe; words for people are let pass."""
    verb, _, target = hazard.made_safe_by.partition(" ")
    scope = manual.scope(page)
    call = scope.calls.all.get(hazard.id)
    if verb not in VERBS or " " in target or (call is not None and call.target):
        return
    entity = scope.get(target)
    if entity is not None and VERBS[verb].kinds:
        said = f"`made-safe-by` of `{hazard.id}`: `{verb}` does not work on a {entity.KIND}"
        hint = f"a {entity.KIND} takes {', '.join(f'`{each}`' for each in verbs_for(entity.KIND))}"
        yield Finding(hazard.place, "wrong-verb", said, hint)
    elif entity is None and not _is_known(manual, target):
        known = manual.once(("words that call",), lambda: _words_known(manual))
        near = get_close_matches(target, known, n=1, cutoff=_ALIKE)
        if near:
            said = f"`made-safe-by` of `{hazard.id}` names `{target}`, which no page defines"
            yield Finding(hazard.place, "unknown-id", said, f"did you mean `{near[0]}`?")


def _sees_its_steps(manual: Manual, page: str) -> bool:
    """Tell whether all steps that have to do with a page's things are at hand, and were read."""
    whole = manual.whole or bool(things(manual, page, Procedure))
    return whole and not manual.has_unread_pages


def _unknown_word(manual: Manual, page: str, word: Scalar, by: str) -> Iterator[Finding]:
    if not _is_known(manual, word):
        known = manual.once(("words that call",), lambda: _words_known(manual))
        said = f"{by} names `{word}`, which is no id, no verb and nothing that a connection carries"
        hint = suggestion(word, known) or "name a thing by its id"
        yield Finding(Place(page, word.line), "unknown-id", said, hint)


def _is_known(manual: Manual, word: str) -> bool:
    known = manual.once(("words that call",), lambda: _words_known(manual))
    return word in known or word in manual.once(("words done",), lambda: _words_done(manual))


def _words_known(manual: Manual) -> frozenset[str]:
    """All that a step can name, do or open."""
    contents = manual.contents.values()
    fluids = (e for c in contents for e in c.entities if isinstance(e, Fluid))
    lost = (name for content in contents for name in content.lost)
    return frozenset(CARRIES).union(
        PART_KINDS, VERBS, KEYWORDS, BUILTIN_HAZARDS, manual.known_ids, lost,
        (str(fluid.kind) for fluid in fluids),
    )  # fmt: skip


def _words_done(manual: Manual) -> frozenset[str]:
    """The objects of all actions: of some verbs they are free words."""
    steps = (step for content in manual.contents.values() for step in steps_on(content))
    return frozenset(str(n) for step in steps for action in step.actions for n in action.objects)


def unused_rules(manual: Manual, page: str) -> Iterator[Finding]:
    """Find rules that no step of any procedure shows and no text cites."""
    rules = things(manual, page, Rule)
    if not rules or not _sees_its_steps(manual, page) or manual.has_loose_procedures:
        return
    used = manual.once(("rules used",), lambda: rules_used(manual))
    for rule in rules:
        if (page, rule.id) in used or not all(_is_known(manual, word) for word in rule.about):
            continue
        why = "no step does what it is about" if rule.about else "it is about nothing"
        said = f"nothing shows the rule `{rule.id}`: {why}"
        hint = f"name hazards, verbs or ids under `about`, or cite it by {{rule}}`{rule.id}`"
        yield Finding(rule.place, "unused-entity", said, hint)
