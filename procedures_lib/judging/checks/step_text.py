"""What the text of a step names against what the step does: joints, things, sides, other steps."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator
from itertools import pairwise
from typing import NamedTuple

from procedures_lib.findings import Finding, Level, Place
from procedures_lib.judging.checks.mentions import plans_on
from procedures_lib.judging.checks.prose import SIDES
from procedures_lib.language.entities.car import Connection, Fastener, Part
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.verbs import KEYWORDS, VERBS, Verb
from procedures_lib.language.entities.work import Step
from procedures_lib.language.reading.page import HIDDEN, Block, Prose, Role
from procedures_lib.language.variants.car_sets import possible
from procedures_lib.manual import Manual, NumberedStep, Plan

_SENTENCE = re.compile(r"[.!?:;](?=\s)")


class Named(NamedTuple):
    """A role in the text of a step, and the words of its paragraph that stand before it."""

    role: Role
    above: str

    @property
    def before(self) -> str:
        """The words of the role's sentence that stand before it, on one line."""
        return " ".join(_SENTENCE.split(self.above)[-1].split())


def own_steps(manual: Manual, page: str) -> Iterator[tuple[Plan, NumberedStep]]:
    """Yield the steps of each procedure on a page that are written there."""
    for plan in plans_on(manual, page):
        for numbered in plan.steps:
            if numbered.page == page:
                yield plan, numbered


def texts(step: Step) -> Iterator[Prose]:
    """Yield the words of a step and of the signs in it."""
    for block in step.block.walk():
        yield from block.prose


def _named(block: Block) -> Iterator[Named]:
    """Yield the roles of a text, each with the words before it.

    Where code stands on the same line, which of the two is meant is not known: no words then.
    """
    on_line = Counter(role.target.line for role in block.roles)
    above: dict[int, list[str]] = {}
    for prose in block.prose if on_line else ():
        at = prose.text.find(HIDDEN)
        while at >= 0:
            line = prose.line + prose.text.count("\n", 0, at)
            above.setdefault(line, []).append(prose.text[:at])
            at = prose.text.find(HIDDEN, at + 1)
    for role in block.roles:
        line = role.target.line
        words = above.get(line, [])
        told = len(words) == on_line[line]
        yield Named(role, words.pop(0) if told else "")
        on_line[line] -= told


def named_in(manual: Manual, page: str) -> Iterator[Finding]:
    """Judge each role in the text of a step by what the step does, and where it stands."""
    for plan, numbered in own_steps(manual, page):
        step = numbered.step
        all_named = [named for block in step.block.walk() for named in _named(block)]
        if step.actions and (all_named or step.block.blocks) and not _is_mistyped(plan, step):
            yield from _foreign(plan, step, all_named, page)
        yield from _torques_of_others(plan, all_named, page)
        yield from _crossed(plan, step, page)
        for named in all_named:
            if named.role.name == "step":
                yield from _of_another_step(plan, numbered, named, page)
            elif named.role.name in _OF_THINGS:
                judged = [*_of_another_side(plan, named, page), *_done_otherwise(step, named, page)]
                yield from judged[:1]


# -- joints and things ----------------------------------------------------------------------------

_ASIDE = re.compile(
    r"\b(?:as|than|like|unlike|not|never|nor|no|clear|leave|leaves|stays?|past|behind|beside"
    r"|under|above|below|over|between|near|from|with|before|after|until|at|to)(?: \w+)?$",
    re.IGNORECASE,
)
"""Words after which a thing is a mark in the room, or something to compare with."""


def _is_mistyped(plan: Plan, step: Step) -> bool:
    """Tell whether an action of the step is wrong or could not be read: a finding of its own."""
    for action in step.actions:
        kinds = VERBS[action.verb].kinds
        for name in action.objects if kinds else ():
            thing = plan.scope.get(name)
            if (thing is None and name not in KEYWORDS) or (thing and thing.KIND not in kinds):
                return True
    return bool(step.unread)


def _foreign(plan: Plan, step: Step, all_named: list[Named], page: str) -> Iterator[Finding]:
    """Find torques, drawings and things in a step that works on others, and not on these."""
    turned = _objects(step, lambda verb: verb.turns_in or verb.name == "adjust")
    turned = [name for name in turned if isinstance(plan.scope.get(name), Fastener)]
    only_out = set(_objects(step, lambda verb: verb.turns_out or verb.disposes))
    worked = _objects(step)
    for name, line in _joints_shown(step) if turned else ():
        used = name in worked and (name in turned or name not in only_out)
        if not used and plan.scope.of(Fastener, name) is not None:
            said = f"the step shows the torque or order of `{name}`, and tightens others"
            hint = f"name {_listed(turned)}"
            yield Finding(Place(page, line), "foreign-joint", said, hint)
    for named in all_named:
        kind = _THINGS.get(named.role.name)
        thing = plan.scope.of(kind, named.role.target) if kind else None
        if thing is None or thing.id in worked or _ASIDE.search(named.before):
            continue
        alike = [name for name in worked if _is_like(thing, plan.scope.get(name))]
        if alike and not _goes_with(thing, worked, plan):
            said = f"the step names `{thing.id}`, and works on another"
            hint = f"name {_listed(alike)}, or say it in words"
            place = Place(page, named.role.target.line)
            yield Finding(place, "foreign-joint", said, hint, Level.WARNING)


def _torques_of_others(plan: Plan, all_named: list[Named], page: str) -> Iterator[Finding]:
    """Find a fastener that its sentence brings to the torque of another."""
    for one, other in pairwise(all_named):
        if one.role.name != "fastener" or other.role.name != "torque":
            continue
        name, shown = str(one.role.target), str(other.role.target)
        if name == shown or not other.before.endswith(f"{HIDDEN} to"):
            continue
        if plan.scope.of(Fastener, name) and plan.scope.of(Fastener, shown):
            said = f"`{name}` is brought to the torque of `{shown}`"
            hint = f"write {{torque}}`{name}`"
            yield Finding(Place(page, other.role.target.line), "foreign-joint", said, hint)


def _crossed(plan: Plan, step: Step, page: str) -> Iterator[Finding]:
    """Find what is called left and goes on what is called right."""
    for action in step.actions:
        target = str(action.on or "")
        sides = {word for word in target.split("-") if word in SIDES}
        for name in action.objects if len(sides) == 1 else ():
            own = {word for word in name.split("-") if word in SIDES}
            (side,) = sides
            if own == {SIDES[side]} and plan.scope.get(name) is not None:
                said = f"`{action}`: {SIDES[side]} goes on {side}"
                hint = "correct one of the two, or their ids"
                yield Finding(step.place, "prose-disagrees", said, hint)


def _listed(names: list[str]) -> str:
    each = " or ".join(f"`{name}`" for name in names)
    return each if len(names) == 1 else f"one of these: {each}"


def _is_like(thing: Fastener | Part, other: Entity | None) -> bool:
    """Tell whether two things are of one kind and have a word of their ids in common."""
    if not isinstance(other, Fastener | Part) or other.kind != thing.kind:
        return False
    return not set(thing.id.split("-")).isdisjoint(other.id.split("-"))


_THINGS: dict[str, type[Fastener | Part]] = {"fastener": Fastener, "part": Part}


def _objects(step: Step, which: Callable[[Verb], bool] = lambda _: True) -> list[str]:
    """The ids that the actions of a step name, those with verbs of one sort, or all."""
    actions = (action for action in step.actions if which(VERBS[action.verb]))
    return list(dict.fromkeys(str(name) for action in actions for name in action.names))


def _goes_with(thing: Fastener | Part, worked: list[str], plan: Plan) -> bool:
    """Tell whether a thing belongs to one that is worked on: it holds it, is on it, or helps to."""
    others = [plan.scope.get(name) for name in worked]
    own = {str(name) for name in _belongs_to(thing)}
    if any(other.id in own or thing.id in _belongs_to(other) for other in others if other):
        return True
    held = (part.held_by for part in plan.scope.all(Part))
    return any(thing.id in holders and set(worked) & set(holders) for holders in held)


def _belongs_to(thing: Entity) -> tuple[str, ...]:
    if isinstance(thing, Fastener):
        return (*thing.with_, *([thing.into.part] if thing.into and thing.into.part else []))
    if isinstance(thing, Part):
        return (*thing.held_by, *([thing.on] if thing.on else []))
    return thing.holders if isinstance(thing, Connection) else ()


def _joints_shown(step: Step) -> Iterator[tuple[str, int]]:
    for role in step.block.roles:
        if role.name == "torque":
            yield str(role.target), role.target.line
    for inner in step.block.blocks:
        if inner.name == "order-drawing":
            yield str(inner.argument), inner.place.line


_SHOWN_BELOW = re.compile(
    r"\b(?:order|crosswise|outwards|inwards),? (?:as )?(?:drawn|shown)\b(?! (?:in|on|by|at)\b)",
    re.IGNORECASE,
)


def without_drawing(manual: Manual, page: str) -> Iterator[Finding]:
    """Find steps that send the reader to a drawing of the order, and hold none."""
    for plan, numbered in own_steps(manual, page):
        step = numbered.step
        spoken = [each for each in texts(step) if "drawn" in each.text or "shown" in each.text]
        if not spoken or any(inner.name in _DRAWINGS for inner in step.block.walk()):
            continue
        for prose in spoken if not step.block.fences else ():
            match = _SHOWN_BELOW.search(" ".join(prose.text.split()))
            if match:
                turned = _objects(step, lambda verb: verb.turns_in)
                joints = (plan.scope.of(Fastener, name) for name in turned)
                drawn = [each.id for each in joints if each and each.positions]
                said = f"“{match[0]}”: the step speaks of a drawing, and has none"
                name = drawn[0] if drawn else "fastener-id"
                hint = f"add ```{{order-drawing}} {name}``` to the step"
                yield Finding(Place(page, prose.line), "prose-disagrees", said, hint)
                break


_DRAWINGS = frozenset({"order-drawing", "picture", "figure", "image"})


# -- other steps ----------------------------------------------------------------------------------

_BACKWARDS = re.compile(
    r"\b(?:back to|as in|as at|same as in|counts? from|since"
    r"|(?:was|were|wrote|noted|measured|set|marked|tagged|took|taken|put|found|saw|had|came)"
    r"\b[^,]*\b(?:in|at|from))$",
    re.IGNORECASE,
)
"""Words that send the reader to what was done before."""


def _of_another_step(
    plan: Plan, numbered: NumberedStep, named: Named, page: str
) -> Iterator[Finding]:
    """Find references to the step itself, to one of other cars, and backwards to a later one."""
    name, place = str(named.role.target), Place(page, named.role.target.line)
    targets = [each for each in plan.steps if each.step.id == name]
    options = plan.vehicle.options if plan.vehicle else ()
    if not targets:
        return
    if targets == [numbered]:
        said, hint = f"step {numbered.number} sends its reader to itself", "name another step"
    elif not any(possible(numbered.when & each.when, options) for each in targets):
        said = f"`{name}` is for `{targets[0].when}`, and this step for `{numbered.when}`"
        hint = "name a step that the same cars have"
    elif _BACKWARDS.search(named.before) and all(t.number > numbered.number for t in targets):
        said = f"“{_tail(named.before)}” leads back, and `{name}` is step {targets[0].number}"
        hint = f"name a step before this one, which is {numbered.number}"
    else:
        return
    yield Finding(place, "prose-disagrees", said, hint)


def _tail(words: str) -> str:
    return " ".join(words.split()[-4:])


# -- sides ----------------------------------------------------------------------------------------

_SIDE_BEFORE = re.compile(
    rf"\b({'|'.join(SIDES)})(?:-hand)?(?: (?:side|ones?|nuts?|bolts?))?"
    r"(?: (?:to|by|with|is|are|the))*$",
    re.IGNORECASE,
)


def _of_another_side(plan: Plan, named: Named, page: str) -> Iterator[Finding]:
    """Find a word for a side beside the name of what is on the other."""
    match = _SIDE_BEFORE.search(named.before)
    thing = plan.scope.get(named.role.target) if match else None
    if match and thing is not None:
        words = set(re.findall(r"[a-z]+", f"{thing.id} {getattr(thing, 'name', '')}".lower()))
        side = match[1].lower()
        if SIDES[side] in words and side not in words:
            said = f"“{match[0].strip()}” stands before `{thing.id}`, which is {SIDES[side]}"
            hint = "correct the word, or the name"
            yield Finding(Place(page, named.role.target.line), "prose-disagrees", said, hint)


_OF_THINGS = frozenset({"torque", "fastener", "part", "connection"})


# -- the other way round --------------------------------------------------------------------------

_OFF = re.compile(
    r"(?:^|, |\b(?:and|then) )(?:remove|undo|unscrew|unplug|disconnect|slacken|loosen|take out"
    r"|take off)(?: (?:the|both|all|two|three|four|old|each))*$",
    re.IGNORECASE,
)
_ON = re.compile(
    r"(?:^|, |\b(?:and|then) )(?:fit|refit|install|tighten|torque|connect|reconnect|plug in"
    r"|screw in)(?: (?:the|both|all|two|three|four|new|each))*$",
    re.IGNORECASE,
)


def _done_otherwise(step: Step, named: Named, page: str) -> Iterator[Finding]:
    """Find words that take a thing off which the step only puts on, and the other way round."""
    name = str(named.role.target)
    verbs = [VERBS[action.verb] for action in step.actions if name in action.objects]
    off = any(verb.takes_off or verb.turns_out for verb in verbs)
    on = any(verb.puts_on or verb.turns_in for verb in verbs)
    if off == on:
        return
    match = (_OFF if on else _ON).search(named.before)
    if match:
        word = match[0].strip(" ,")
        done = ", ".join(f"`{a}`" for a in step.actions if name in a.objects)
        said = f"the text says “{word}” of `{name}`, and the step does {done}"
        hint = "correct the text, or the `do` list"
        yield Finding(Place(page, named.role.target.line), "prose-disagrees", said, hint)
