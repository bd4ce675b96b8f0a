"""Which rules are of use: shown by a step of a procedure, or cited in a text.

A rule of the common pages is seen by every procedure, and most do nothing that it is about. So the
words that may lead to a rule are gathered first, over all pages; only a procedure that says one of
them is looked at step by step.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from functools import cache

from procedures_lib.judging.checks.mentions import roles_of, steps_on
from procedures_lib.language.entities.car import Connection, Fluid, Part
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.hazard import BUILTIN_HAZARDS, BuiltinHazard, Hazard
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.work import Content, Rule
from procedures_lib.manual import Manual, Plan
from procedures_lib.manual.scope import TESTED
from procedures_lib.view.step import rules_of_step

Key = tuple[str, str]


def rules_used(manual: Manual) -> set[Key]:
    """Return the rules that steps show or texts cite, each as page and id."""
    used: set[Key] = set(_cited(manual))
    before = _leading_to(manual)
    leads = cache(lambda word: _all_before(word, before))
    said = {page: _said_on(content) for page, content in manual.contents.items()}
    for plan in manual.plans():
        words = {word for page in {n.page for n in plan.steps} for word in said[page]}
        open_ = [
            rule
            for rule in plan.scope.all(Rule)
            if _key(rule) not in used
            and not all(words.isdisjoint(leads(str(word))) for word in rule.about)
        ]
        if open_:
            used.update(_shown_in(plan))
    return used


def _shown_in(plan: Plan) -> Iterator[Key]:
    for numbered in plan.steps:
        yield from (_key(rule) for rule in rules_of_step(numbered, plan))


def _cited(manual: Manual) -> Iterator[Key]:
    for page, content in manual.contents.items():
        for role in roles_of(content):
            cited = manual.scope(page).of(Rule, role.target) if role.name == "rule" else None
            if cited is not None:
                yield _key(cited)


def _key(rule: Rule) -> Key:
    return rule.place.page, rule.id


def _said_on(content: Content) -> frozenset[str]:
    """All words by which the steps of a page may be what a rule is about."""
    found: set[str] = set()
    for step in steps_on(content):
        found.update(map(str, step.hazards))
        found.update(str(signal.hazard) for signal in step.signals)
        for action in step.actions:
            names = [str(name) for name in action.names]
            found.update((str(action.verb), *names), *(name.split() for name in names))
    return frozenset(found)


def _leading_to(manual: Manual) -> Mapping[str, frozenset[str]]:
    """The words that lead to each word on any page: a hose to fuel, fuel to its hazard.

    They are more than what leads there on one page; none is missing.
    """
    before: dict[str, set[str]] = defaultdict(set)
    for hazard in BUILTIN_HAZARDS.values():
        before[hazard.id].update(hazard.carries, hazard.verbs, hazard.part_kinds, _cure(hazard))
    for word, about in TESTED.items():
        before[about].add(word)
    for page in manual.contents:
        for entity in manual.entities_on(page).values():
            for word in _led_to(entity):
                before[word].add(entity.id)
            if isinstance(entity, Hazard):
                before[entity.id].update(map(str, entity.called_by), _cure(entity))
            for item in entity.contents if isinstance(entity, Kit) else ():
                before[str(item.replaces)].add(str(item.what))
    return {word: frozenset(words) for word, words in before.items()}


def _cure(hazard: Hazard | BuiltinHazard) -> tuple[str, ...]:
    """What is done to make a hazard safe is about that hazard, too."""
    return (hazard.made_safe_by.strip().partition(" ")[2],)


def _led_to(entity: Entity) -> Iterator[str]:
    yield str(getattr(entity, "replaces", ""))
    if isinstance(entity, Connection):
        yield from (str(entity.carries), *map(str, entity.between))
    elif isinstance(entity, Part | Fluid):
        yield str(entity.kind)


def _all_before(word: str, before: Mapping[str, Iterable[str]]) -> frozenset[str]:
    found, ahead = {word}, [word]
    while ahead:
        new = set(before.get(ahead.pop(), ())) - found
        found |= new
        ahead += new
    return frozenset(found)
