"""Reading: what the reader found, verbs on the wrong kind of thing, roles that can't be shown."""

from __future__ import annotations

import re
from collections.abc import Iterator

from procedures_lib.engineering.quantities import QuantityError, quantity_of, read_quantity
from procedures_lib.findings import Finding, Place
from procedures_lib.judging.checks.ids import no_step
from procedures_lib.judging.checks.mentions import ids_in, roles_of, steps_on
from procedures_lib.language.entities.car import Fastener
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.hazard import BUILTIN_HAZARDS
from procedures_lib.language.entities.verbs import (
    KEYWORD_VERBS,
    KEYWORDS,
    VERBS,
    unknown_verb,
    verbs_for,
)
from procedures_lib.language.entities.work import Action
from procedures_lib.language.reading.allow_list import role_fault
from procedures_lib.language.reading.block_kinds import ROLE_NAMES
from procedures_lib.language.reading.page import Role
from procedures_lib.manual import Manual
from procedures_lib.spelling import suggestion
from procedures_lib.view.preparation import tools
from procedures_lib.view.uses import uses_of


def wrong_verbs(manual: Manual, page: str) -> Iterator[Finding]:
    """Find verbs that do not work on the kind of thing they are used on."""
    scope = manual.scope(page)
    for step in steps_on(manual.contents[page]):
        for action in step.actions:
            yield from _of_hazards(action)
            kinds = VERBS[str(action.verb)].kinds
            if not kinds and _TWO_LINES.search(str(action)):
                said = f"`{action}`: two lines of the list are read as one action"
                hint = "begin each on a line of its own, with `- `"
                yield Finding(action.place, "wrong-shape", said, hint)
            for name in ids_in(action):
                entity = scope.get(name)
                if action.verb == "adjust":
                    yield from _to_what(action, name, entity)
                kind = entity.KIND if entity else ""
                if not kind or name == action.on or scope.kinds(name) & kinds:
                    continue
                if name in BUILTIN_HAZARDS and "hazard" in kinds:
                    continue
                verbs = (
                    ", ".join(f"`{verb}`" for verb in verbs_for(kind)) or "no verb but `inspect`"
                )
                said = f"`{action.verb}` does not work on `{name}`, which is a {kind}"
                yield Finding(action.place, "wrong-verb", said, f"a {kind} takes {verbs}")


_TWO_LINES = re.compile(r"\s-\s")
"""A dash of the list in the middle of an action: the line above has lost its own."""


def _to_what(action: Action, name: str, entity: Entity | None) -> Iterator[Finding]:
    setting = str(getattr(entity, "setting", ""))
    if action.to and setting and not _is_within(action.to, setting):
        said = f"`adjust {name} to {action.to}`: its setting is {setting}"
        hint = f"write `adjust {name}`, which takes it from there"
        yield Finding(action.place, "expect-disagrees", said, hint)
    if entity is not None and not setting and not action.to:
        said = f"`adjust {name}` does not say to what"
        hint = f"write `adjust {name} to 10–12 mm`, or give `{name}` a `setting`"
        yield Finding(action.place, "missing-field", said, hint)


def _is_within(to: str, setting: str) -> bool:
    """Tell whether what an action adjusts to is what the thing is set to, or a part of it."""
    said, known = quantity_of(to), quantity_of(setting)
    if said is None or known is None:
        return to == setting
    return said.kind == known.kind and known.si_low <= said.si_low <= said.si_high <= known.si_high


def _of_hazards(action: Action) -> Iterator[Finding]:
    if "hazard" not in VERBS[str(action.verb)].kinds:
        return
    for name in action.objects:
        verbs = KEYWORD_VERBS.get(name, ())
        if verbs and action.verb not in verbs:
            said = f"`{action.verb}` does not work on `{name}`"
            hint = f"`{name}` takes {', '.join(f'`{verb}`' for verb in verbs)}"
            yield Finding(action.place, "wrong-verb", said, hint)


def roles(manual: Manual, page: str) -> Iterator[Finding]:
    """Find roles that do not exist or have nothing to show."""
    for role in roles_of(manual.contents[page]):
        place = Place(page, role.target.line)
        fault = role_fault(role.name) if role.name not in ROLE_NAMES else None
        if fault is not None:
            yield Finding(place, "unknown-role", fault.message, fault.hint)
        if role.name in _JUDGED:
            yield from _JUDGED[role.name](manual, page, role, place)


def _quantity(_manual: Manual, _page: str, role: Role, place: Place) -> Iterator[Finding]:
    try:
        quantity = read_quantity(role.target, signed=True)
    except QuantityError as error:
        yield Finding(place, error.check, f"{{q}}: {error.message}", error.hint)
        return
    if quantity.kind == "torque":
        said = f"the torque {role.target} is typed by hand"
        yield Finding(
            place, "hand-typed-number", said, "show it from its block: {torque}`fastener-id`"
        )


def _torque(manual: Manual, page: str, role: Role, place: Place) -> Iterator[Finding]:
    scope = manual.scope(page)
    fastener = scope.of(Fastener, role.target)
    if fastener is None or role.target in scope.shared:
        return
    if not fastener.how_tight and not manual.is_damaged(fastener):
        said = f"`{role.target}` has no stages to show"
        yield Finding(place, "missing-field", said, "add `tighten: [...]` to the fastener")


def _step(manual: Manual, page: str, role: Role, _place: Place) -> Iterator[Finding]:
    plan = manual.plan_of_page(page)
    known = [numbered.step.id for numbered in plan.steps if numbered.step.id] if plan else []
    if role.target not in known:
        yield no_step(role.target, known, page)


def _tool(manual: Manual, page: str, role: Role, place: Place) -> Iterator[Finding]:
    name = str(role.target)
    plan = manual.plan_of_page(page)
    known = {wrench.name for wrench in manual.shop.torque_wrenches}
    known |= {gauge.name for gauge in manual.shop.angle_gauges}
    if plan:
        known |= {tool for numbered in plan.steps for tool in numbered.step.tools}
        if name not in known:
            known |= {tool.name for tool in tools(uses_of(plan), manual.shop)}
    if name not in known:
        said = f"no step here asks for the tool `{name}`"
        yield Finding(place, "unknown-id", said, suggestion(name, known) or "name it under `tools`")


_JUDGED = {"q": _quantity, "torque": _torque, "step": _step, "tool": _tool}


def as_read(manual: Manual, page: str) -> Iterator[Finding]:
    """Pass on what was found while the page was read."""
    content = manual.contents[page]
    yield from content.page.findings
    better = dict(_unknown_verbs(manual, page))
    yield from (better.get(finding, finding) for finding in content.findings)


def _unknown_verbs(manual: Manual, page: str) -> Iterator[tuple[Finding, Finding]]:
    """Yield what the reader found of unknown verbs, and the same with verbs for what they name."""
    scope = manual.scope(page)
    for text in (text for step in steps_on(manual.contents[page]) for text in step.unread):
        things = [(scope.get(word), word) for word in re.findall(r"[a-z0-9-]+", text)[1:]]
        kinds = {thing.KIND if thing else KEYWORDS.get(word, "") for thing, word in things}
        yield unknown_verb(text, page), unknown_verb(text, page, kinds - {""})
