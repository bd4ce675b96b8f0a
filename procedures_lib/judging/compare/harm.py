"""What a change can do if it is wrong: injure, damage, or waste; and who is concerned.

Judged from the model: what a line carries, what a fastener holds, what a step works on and which
hazards it meets, and from words of the trade in the names of things (``grave_words.toml``). Common
practice, no source.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import replace
from functools import cached_property
from itertools import pairwise

from procedures_lib.data_tables import toml_table
from procedures_lib.judging.compare.change import JOINT_TOPICS, Act, Change, Group, Harm, Use
from procedures_lib.judging.compare.concerned import Concerned, Met, uses_of
from procedures_lib.judging.compare.renamed_things import Matches
from procedures_lib.judging.compare.sentences import changed_words, turns
from procedures_lib.judging.compare.side import Key, Side, key_of
from procedures_lib.judging.compare.witnesses import Witnesses
from procedures_lib.language.entities.car import Connection, Fastener, Fluid, Part
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.hazard import Hazard
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.work import Rule
from procedures_lib.manual.scope import Scope

_WORDS = toml_table(__package__, "grave_words.toml")
_THINGS, _TOOLS = frozenset(_WORDS["things"]), frozenset(_WORDS["tools"])
_VERBS = frozenset(_WORDS["verbs"])
_HARMLESS = re.compile("|".join(map(re.escape, _WORDS["harmless"])))
_GRAVE_CARGO = frozenset(
    ["fuel", "fuel-vapour", "brake-fluid", "refrigerant", "power", "airbag", "hydraulic", "air"]
)


def is_grave(text: str, *, tools: bool = False) -> bool:
    """Tell whether a text names what injures somebody when it lets go: brakes, steering, fuel, …

    With ``tools`` also what holds a load or is worn.
    """
    words = re.findall(r"[a-z]+", _HARMLESS.sub("", text.lower()))
    single = [word.removesuffix("s") if word not in _TOOLS else word for word in words]
    named = {*single, *map("-".join, pairwise(single))}
    return not named.isdisjoint(_THINGS) or (tools and not named.isdisjoint(_TOOLS))


class Gravity:
    """What can happen where the things of one state fail."""

    def __init__(self, side: Side) -> None:
        self.side = side
        self._known: dict[Key, Harm] = {}

    def of(self, entity: Entity) -> Harm:
        """Return what can happen where a thing fails, or what holds it."""
        key = key_of(entity)
        if key not in self._known:
            held = self._held.get(key, ()) if isinstance(entity, Fastener) else ()
            grave = _is_grave_thing(entity) or any(map(_is_grave_thing, held))
            self._known[key] = Harm.INJURES if grave else Harm.DAMAGES
        return self._known[key]

    def of_words(self, text: str, scope: Scope) -> Harm:
        """Return what can happen by actions, as they are written: verbs, ids, free words."""
        words = re.findall(r"[\w-]+", text)
        if _VERBS.intersection(words) or is_grave(text):
            return Harm.INJURES
        things = (thing for word in words if (thing := scope.get(word)))
        return min(map(self.of, things), default=Harm.DAMAGES)

    def of_step(self, met: Met) -> Harm:
        """Return what can happen in a step: by its actions, and the hazards that it declares."""
        plan, numbered = met
        step = numbered.step
        signs = any(signal.word != "NOTICE" for signal in step.signals)
        if step.hazards or signs or is_grave(step.title):
            return Harm.INJURES
        harms = (self.of_words(str(action), plan.scope) for action in step.actions)
        return min(harms, default=Harm.DAMAGES)

    @cached_property
    def _held(self) -> dict[Key, list[Entity]]:
        """The parts and connections that each fastener holds, and what is clamped with it."""
        found: dict[Key, list[Entity]] = defaultdict(list)
        for (page, _), entity in self.side.written.items():
            names = (*getattr(entity, "held_by", ()), *getattr(entity, "clamp", ()))
            for name in names:
                holder = self.side.manual.scope(page).get(str(name))
                if holder is not None:
                    found[key_of(holder)].append(entity)
        return found


def _is_grave_thing(entity: Entity) -> bool:
    if isinstance(entity, Hazard | Rule):
        return True
    if isinstance(entity, Connection) and entity.carries in _GRAVE_CARGO:
        return True
    if isinstance(entity, Part) and entity.is_heavy:
        return True
    if isinstance(entity, Fluid):
        return entity.kind in _GRAVE_CARGO or is_grave(entity.kind)
    named = [entity.id, str(getattr(entity, "name", "") or "")]
    if isinstance(entity, Fastener) and entity.at == "ride-height":
        return True
    return any(map(is_grave, named))


# -- by topic ----------------------------------------------------------------------------------

_WASTE, _WASTE_BEGINNINGS = frozenset(_WORDS["waste"]), _WORDS["waste-beginnings"]
_WORDY = frozenset({"sentence", "name", "also", "title", "note", "handover"})
_OF_WORK = frozenset(
    ["action", "step", "tightening", "order of tightening", "order of actions", "leak test", "test"]
)
_ALWAYS_GRAVE = frozenset(_WORDS["grave-topics"])


class Judge:
    """Judges the changes between two states: what each can do, who is concerned, its source."""

    def __init__(self, matches: Matches, changes: Iterable[Change]) -> None:
        self._sides = {True: Concerned(matches.old), False: Concerned(matches.new)}
        self._gravity = {old: Gravity(each.side) for old, each in self._sides.items()}
        told = list(changes)
        self._witnesses = Witnesses(matches, told)
        self._joints = Counter(each.thing for each in told if each.topic in JOINT_TOPICS)

    def judged(self, change: Change) -> Change:
        """Return a change with what it can do, who is concerned, and what to hold it against."""
        old = change.act is Act.DROPPED and change.place == change.was
        side = self._sides[old]
        entity = side.entity(change)
        if entity is None and old is False and change.act is Act.DROPPED:
            entity = self._sides[True].entity(change)
        met = side.met(change.place) if entity is None else []
        used, kits = self._used(change, entity, met, side)
        turned = _is_wordy(change) and _turns(change, side.side.manual.scope(change.place.page))
        alone = change.topic == "order" and self._joints[change.thing] == 1
        note = change.note or ("order only" if alone else "")
        change = replace(change, used=used, kits=kits, turned=turned, note=note)
        harm = self._harm(change, entity, met, self._gravity[old])
        if change.same or change.act is Act.RENAMED or self._witnesses.told_with_joint(change):
            harm = Harm.WASTES
        unjudged = _is_wordy(change) or self._witnesses.has_none(change)
        source = self._witnesses.source(change, entity, met) if unjudged else ""
        return replace(change, harm=harm, unjudged=unjudged, source=source)

    def _used(
        self, change: Change, entity: Entity | None, met: list[Met], side: Concerned
    ) -> tuple[tuple[Use, ...], tuple[str, ...]]:
        if change.used or change.kits:
            return change.used, change.kits
        if entity is not None:
            used = side.of_thing(entity)
            own = (entity.id,) if isinstance(entity, Kit) else side.side.kits(entity, used)
            return used, own if isinstance(entity, Kit | Fastener) else ()
        return uses_of(met) or side.of_page(change.place.page), ()

    def _harm(
        self, change: Change, entity: Entity | None, met: list[Met], gravity: Gravity
    ) -> Harm:
        known = _by_topic(change)
        if known is not None:
            return known
        context = self._context(entity, met, gravity)
        if change.topic in _WORDY:
            return _by_words(change, context)
        if change.topic in _OF_WORK:
            whole = change.topic == "step"
            text = f"{change.old} {change.new} {change.thing.name if whole else ''}"
            scope = gravity.side.manual.scope(change.place.page)
            return min(gravity.of_words(text, scope), context if whole else Harm.DAMAGES)
        if change.thing.kind in {"step", "common steps"}:
            return _of_a_step(change, context)
        return _of_a_thing(change, context, gravity)

    def _context(self, entity: Entity | None, met: list[Met], gravity: Gravity) -> Harm:
        if entity is not None:
            return gravity.of(entity)
        return min(map(gravity.of_step, met), default=Harm.DAMAGES)


def _by_topic(change: Change) -> Harm | None:
    """What a change can do whatever it is about, None where that matters."""
    if change.thing.kind == "signal":
        notice = (change.old + change.new).startswith("NOTICE")
        return Harm.DAMAGES if notice else Harm.INJURES
    if change.topic in _WASTE or change.topic.startswith(_WASTE_BEGINNINGS):
        return Harm.WASTES
    if change.topic in _ALWAYS_GRAVE:
        return Harm.INJURES
    if change.thing.kind in {"hazard", "rule"} and change.topic not in _WORDY:
        return Harm.INJURES
    return None


def _is_wordy(change: Change) -> bool:
    """Tell whether a change is one of words that no rule reads: a sentence, a sign, a rule."""
    if change.thing.kind in {"hazard", "rule"}:
        return change.topic in {"text", "harm", "avoid", "rule", "hazard"}
    if change.thing.kind == "signal":
        return change.topic in {"text of the signal word", "title of the signal word"}
    return change.topic == "sentence"


def _turns(change: Change, scope: Scope) -> bool:
    """Tell whether words turn a sentence: by themselves, or by naming another thing."""
    if change.act is Act.MOVED:
        return False
    if change.thing.kind in {"hazard", "rule"} or turns(change.old, change.new):
        return True
    gone, come = changed_words(change.old, change.new)
    if not gone or not come:
        return False
    named = is_grave(" ".join(sorted(gone | come)), tools=True)
    return named or any(scope.get(word) for word in gone | come)


def _by_words(change: Change, context: Harm) -> Harm:
    """What other words can do: what the thing can, when they turn it; else a degree less."""
    gone, come = changed_words(change.old, change.new)
    if is_grave(" ".join(sorted(gone | come)), tools=True) and change.act is not Act.MOVED:
        return Harm.INJURES if gone and come else min(context, Harm.DAMAGES)
    if change.turned or (change.act is not Act.MOVED and turns(change.old, change.new)):
        return min(context, Harm.DAMAGES)
    return Harm.DAMAGES if context is Harm.INJURES and change.topic == "sentence" else Harm.WASTES


def _of_a_step(change: Change, context: Harm) -> Harm:
    if change.topic in {"tools", "supplies"}:
        gone, come = changed_words(change.old, change.new)
        if is_grave(" ".join(sorted(gone | come)), tools=True):
            return Harm.INJURES
        return Harm.DAMAGES if change.topic == "supplies" else Harm.WASTES
    if change.topic == "people":
        fewer = not change.new or (change.old.isdigit() and int(change.new) < int(change.old))
        return context if fewer else Harm.WASTES
    return context


_SHOWN_LESS = ("{preparation}", "{torque-table}", "{close-up}", "{handover}", "{open-items}")
_IN_A_BOX = ("replaces", "part", "fastener", "connection", "supply")
"""Fields of a packing list that say what goes where; what else is wrong shows when it is opened."""


def _of_a_thing(change: Change, context: Harm, gravity: Gravity) -> Harm:
    scope = gravity.side.manual.scope(change.place.page)
    if change.topic == "shown" and "{order-drawing}" in change.old + change.new:
        return gravity.of_words(change.old + change.new, scope)
    if change.topic == "shown":
        return Harm.DAMAGES if change.old.startswith(_SHOWN_LESS) else Harm.WASTES
    if change.topic == "double entry":
        return Harm.DAMAGES if change.act is Act.DROPPED else Harm.WASTES
    if change.topic.startswith("packing list"):
        mixed_up = change.topic.endswith(_IN_A_BOX)
        return gravity.of_words(change.thing.id, scope) if mixed_up else Harm.WASTES
    if change.thing.kind == "page" and change.group is Group.PAGES:
        return _of_a_page(change)
    return context


def _of_a_page(change: Change) -> Harm:
    held = change.old + change.new
    if re.search(r"\b(?:rule|hazard)s?\b", held):
        return Harm.INJURES
    return Harm.WASTES if held == "prose" else Harm.DAMAGES
