"""Gear: the tools and supplies that a step needs, and that its lists lack."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from typing import Any

from procedures_lib.data_tables import toml_table
from procedures_lib.findings import Finding, Place
from procedures_lib.judging.checks.mentions import every_plan_on
from procedures_lib.judging.checks.prose import place_in
from procedures_lib.judging.checks.step_text import texts
from procedures_lib.language.entities.car import Fastener, Fluid, Part
from procedures_lib.language.entities.work import Action, Rule, Step
from procedures_lib.manual import Manual, NumberedStep, Plan
from procedures_lib.view.step import hazard_named, hazards_of_step, rules_of_step

_FEWEST, _LISTING = 4, 2 / 3
"""On so many steps, and on such a share of a page's, lists of tools are taken to be meant whole."""

_WORD = re.compile(r"[a-z]+")


def at_hand(manual: Manual, page: str) -> Iterator[Finding]:
    """Find steps whose lists lack what their verbs, joints or words ask for.

    Only on pages that list the gear of nearly every step; what a ``{tool}`` names, on all.
    """
    for plan in every_plan_on(manual, page):
        own = [n for n in plan.steps if n.page == page and n.through is None]
        for numbered in own:
            yield from _by_role(numbered.step, plan, page)
        if _lists_gear(own):
            for numbered in own:
                yield from _of_step(numbered, plan, page)
            yield from _by_rules(own, plan)


def _lists_gear(own: list[NumberedStep]) -> bool:
    working = [n.step for n in own if n.step.actions]
    listing = sum(1 for step in working if step.tools)
    return len(working) >= _FEWEST and listing >= _LISTING * len(working)


# -- by the words of the prose ---------------------------------------------------------------------


def _by_role(step: Step, plan: Plan, page: str) -> Iterator[Finding]:
    """Find a tool that a role names, that other steps list, and this one doesn't."""
    targets = {
        str(role.target): role.target.line for role in step.block.roles if role.name == "tool"
    }
    if not targets:
        return
    here = {each.casefold() for each in (*step.tools, *step.supplies)}
    for target, line in targets.items():
        if target.casefold() not in here and target.casefold() in _listed(plan):
            said = f"the step speaks of the `{target}`, and does not list it"
            yield Finding(Place(page, line), "not-at-hand", said, _add(f"`{target}`"))


def _listed(plan: Plan) -> set[str]:
    """The names of all tools and supplies that the steps and the kit have, small."""
    steps = (n.step for n in plan.steps)
    names = {name.casefold() for step in steps for name in (*step.tools, *step.supplies)}
    items = plan.kit.contents if plan.kit else ()
    return names | {each.what.casefold() for each in items if each.kind in {"tool", "supply"}}


def _add(what: str) -> str:
    return f"add {what} to its `tools` or `supplies`"


def _of_step(numbered: NumberedStep, plan: Plan, page: str) -> Iterator[Finding]:
    step = numbered.step
    gear = _gear_of(numbered, plan)
    lacking: dict[str, Finding] = {}
    for found in (
        *_by_verbs(step, plan, gear),
        *_by_joints(step, plan, gear),
        *_by_words(step, gear, page),
    ):
        lacking.setdefault(found.hint, found)
    yield from lacking.values()


def _gear_of(numbered: NumberedStep, plan: Plan) -> str:
    """All that is at hand in a step, one a line: with the kit's papers, and for its hazards."""
    step = numbered.step
    hazards = [hazard_named(name, plan.scope) for name in hazards_of_step(numbered, plan)]
    more = [each for h in hazards if h for each in (*h.tools, *h.protection)]
    more += [item.paper for item in (plan.kit.contents if plan.kit else ()) if item.paper]
    return "\n".join((*step.tools, *step.supplies, *more)).casefold()


def _by_verbs(step: Step, plan: Plan, gear: str) -> Iterator[Finding]:
    for action in step.actions:
        for row in _rows("verb", str(action.verb)):
            if not _is_about(action, row, plan) or _has(gear, row["any"]):
                continue
            if "or-people" not in row or not _in_hand(action, step.people, row, plan):
                said = f"`{action}`, and the step lists nothing for it"
                yield Finding(action.place, "not-at-hand", said, _add(row["called"]))
        if action.verb in {"fill", "top-up"}:
            yield from _fluids(action, plan, gear)
        elif action.verb == "apply":
            yield from _applied(action, plan, gear)


def _is_about(action: Action, row: Mapping[str, Any], plan: Plan) -> bool:
    """Tell whether a row is about what an action names: words of it, or things of a kind."""
    words = row.get("objects")
    for list_of, field in (("kinds", "kind"), ("carries", "carries")):
        if list_of in row:
            named = (plan.scope.get(str(name)) for name in action.objects)
            return any(getattr(thing, field, None) in row[list_of] for thing in named)
    return not words or any(word in " ".join(action.objects) for word in words)


def _in_hand(action: Action, people: int, row: Mapping[str, Any], plan: Plan) -> bool:
    """Tell whether so many people hold by hand what an action names."""
    parts = (plan.scope.of(Part, str(name)) for name in action.objects)
    return people >= row["or-people"] and all(p.people_to_lift == 1 for p in parts if p)


def _applied(action: Action, plan: Plan, gear: str) -> Iterator[Finding]:
    """Find what is put on, that other steps or the kit list by that name, and this step doesn't."""
    words = [word for word in _WORD.findall(" ".join(action.objects).casefold()) if len(word) > 3]
    if not words or _has(gear, words):
        return
    if any(all(word in name for word in words) for name in _listed(plan)):
        said = f"`{action}`, and the step does not list it"
        yield Finding(action.place, "not-at-hand", said, _add("it"))


def _fluids(action: Action, plan: Plan, gear: str) -> Iterator[Finding]:
    for name in action.objects:
        fluid = plan.scope.of(Fluid, str(name))
        if fluid is None or _comes_back(fluid, plan):
            continue
        words = _WORD.findall(f"{fluid.kind} {fluid.name} {fluid.spec} {fluid.id}".casefold())
        if not _has(_NOT_IN_IT.sub("", gear), [word for word in words if len(word) > 2]):
            said = f"`{action}`, and the step lists no {fluid.kind.replace('-', ' ')}"
            hint = (
                f"add what is filled in to its `supplies`{f': {fluid.spec}' if fluid.spec else ''}"
            )
            yield Finding(action.place, "not-at-hand", said, hint)


_NOT_IN_IT = re.compile(r"^.*\b(?:pump|funnel|syringe|gun|tester|filter)\b.*$", re.MULTILINE)
"""Tools called after a fluid that do not hold it."""
_AGAIN = re.compile(r"\b(?:goes|go|put)\s+back\s+in\b|\bcame\s+out\s+goes\s+back\b", re.IGNORECASE)
"""How a text says that what was drained is filled in again."""


def _comes_back(fluid: Fluid, plan: Plan) -> bool:
    steps = (n.step for n in plan.steps)
    about = (s for s in steps if any(fluid.id in map(str, a.objects) for a in s.actions))
    return any(_AGAIN.search(prose.text) for step in about for prose in step.block.prose)


def _by_joints(step: Step, plan: Plan, gear: str) -> Iterator[Finding]:
    for action in step.actions:
        if action.verb != "tighten" or action.stage > 1:
            continue
        for name in action.objects:
            joint = plan.scope.of(Fastener, str(name))
            condition = joint.condition or "" if joint else ""
            for row in _rows("condition", condition):
                if not _has(gear, row["any"]):
                    said = f"`{name}` goes in with {condition}, and the step lists none"
                    yield Finding(action.place, "not-at-hand", said, _add(row["called"]))


def _by_words(step: Step, gear: str, page: str) -> Iterator[Finding]:
    rows = _by_first_word()
    for prose in texts(step):
        small = prose.text.casefold()
        for word in rows.keys() & set(_WORD.findall(small)):
            for row in rows[word]:
                match = row["prose"].search(small)
                if (
                    match
                    and not _has(gear, row["any"])
                    and not _NOT.search(small, 0, match.start())
                ):
                    said = f"“{' '.join(match[0].split())}”, and the step does not list it"
                    place = place_in(page, prose, match.start())
                    yield Finding(place, "not-at-hand", said, _add(row["called"]))


def _by_rules(own: list[NumberedStep], plan: Plan) -> Iterator[Finding]:
    """Find what a rule that a step shows speaks of, and no step of the procedure lists."""
    asking = {rule.id: list(_rows_in(rule.text)) for rule in plan.scope.all(Rule)}
    if not any(asking.values()):
        return
    shown = {rule.id: n for n in reversed(own) for rule in rules_of_step(n, plan)}
    lists = ((*n.step.tools, *n.step.supplies) for n in plan.steps)
    gear = "\n".join(each for names in lists for each in names).casefold()
    for name, numbered in shown.items():
        for row in asking[name]:
            if not _has(gear, row["any"]):
                said = f"the rule `{name}` speaks of {row['called']}, and no step lists it"
                yield Finding(numbered.step.place, "not-at-hand", said, _add(row["called"]))


def _rows_in(text: str) -> Iterator[Mapping[str, Any]]:
    """Yield the rows of the table that words of a text ask for."""
    rows, small = _by_first_word(), text.casefold()
    for word in rows.keys() & set(_WORD.findall(small)):
        for row in rows[word]:
            match = row["prose"].search(small)
            if match and not _NOT.search(small, 0, match.start()):
                yield row


_NOT = re.compile(r"\b(?:no|never|not|without|nor)(?:\s+(?:an?|the|by|with|use))*\s+$")
"""What stands before the word for a tool that is not to be used."""


# -- the table -------------------------------------------------------------------------------------


def _has(gear: str, beginnings: Iterable[str]) -> bool:
    return _any_of(tuple(beginnings)).search(gear) is not None


@cache
def _any_of(beginnings: tuple[str, ...]) -> re.Pattern[str]:
    return re.compile(rf"(?<![a-z])(?:{'|'.join(map(re.escape, beginnings))})")


@cache
def _table() -> Mapping[str, Any]:
    return toml_table(__package__, "gear.toml")


@cache
def _rows(table: str, word: str) -> tuple[Mapping[str, Any], ...]:
    rows = _table()[table]
    return tuple(row for row in rows if word in row.get(f"{table}s", ()))


@cache
def _by_first_word() -> dict[str, list[dict[str, Any]]]:
    """The rows about prose, by each word of which one is in all that they find."""
    found: dict[str, list[dict[str, Any]]] = {}
    for row in _table()["words"]:
        made = {**row, "prose": re.compile(row["prose"])}
        for word in row["first"]:
            found.setdefault(word, []).append(made)
    for noun in _table()["nouns"]:
        prose = re.compile(rf"\b{noun}\b")
        row = {"prose": prose, "any": (noun,), "called": f"the {noun}"}
        found.setdefault(noun, []).append(row)
    return found
