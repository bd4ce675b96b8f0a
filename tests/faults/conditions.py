"""Faults in variants: a value that is new or wrong, a condition too wide or too narrow."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from procedures_lib.language.entities.car import Vehicle
from tests.faults.kinds import Fault, kind
from tests.faults.source import Edit, Source
from tests.faults.steps import name_of, touched

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tests.faults.demo import Demo
    from tests.faults.spots import Spot

    Place = tuple[Source, str, Spot, tuple[str, ...]]

NEW_VALUES = {
    "transmission": "dual-clutch", "wheels": "forged", "drive": "awd", "tank": "auxiliary",
    "assist": "electric", "axle": "limited-slip",
}  # fmt: skip
OTHERWISE = "retrofit"
_TERM = re.compile(r"([a-z][a-z-]*)=([a-z0-9-]+)")


@kind("an option has a value more")
def more_values(demo: Demo) -> Iterator[Fault]:
    """The model year brings a third gearbox, and nothing else on the pages is changed."""
    for source, vehicle in demo.entities(Vehicle):
        options = source.spot_of(vehicle).get("options")
        for key, values in options.entries if options else ():
            last = values.items[-1]
            new = NEW_VALUES.get(key.value, OTHERWISE)
            edit = Edit(last.end, last.end, f", {new}")
            yield Fault(source.name, f"{key.value}: {new} too", (edit,), (key.value,))


def conditions(demo: Demo) -> Iterator[Place]:
    """Yield every ``when``: page, words for where, the mapping it is in, what it is about."""
    for source in demo.sources.values():
        for step in source.steps:
            whole = source.spots(step.block)
            if whole.get("when"):
                yield source, name_of(step), whole, touched(step)
        for entity in source.content.entities:
            whole = source.spot_of(entity)
            if whole.get("when"):
                yield source, entity.id, whole, (entity.id,)
            contents = whole.get("contents") if entity.KIND == "kit" else None
            for item in contents.items if contents else ():
                if item.get("when"):
                    name = item.entries[0][1].value
                    yield source, f"contents, {name}", item, (name,)
            fits = whole.get("fits")
            if fits and fits.get("when"):
                yield source, f"{entity.id}, fits", fits, (entity.id, source.name)


def _values(demo: Demo, source: Source) -> dict[str, tuple[str, ...]]:
    found: dict[str, tuple[str, ...]] = {}
    for page in demo.manual.scope(source.name).pages:
        for entity in demo.manual.contents[page].entities:
            if isinstance(entity, Vehicle):
                found |= {str(name): tuple(map(str, values)) for name, values in entity.options}
    return found


def _with(place: Place, new: str) -> Fault:
    source, name, whole, touches = place
    spot = whole.texts("when")[0]
    what = f"{name}: when {new} for {spot.value}"
    return Fault(source.name, what, (Edit(spot.start, spot.end, new),), touches)


@kind("a wrong value in a `when`")
def wrong_value(demo: Demo) -> Iterator[Fault]:
    """Write another value of the option."""
    for place in conditions(demo):
        source, _, whole, _ = place
        text, values = whole.texts("when")[0].value, _values(demo, source)
        for match in _TERM.finditer(text):
            for new in values.get(match[1], ()):
                if new != match[2]:
                    yield _with(place, f"{text[: match.start(2)]}{new}{text[match.end(2) :]}")


@kind("a wrong option in a `when`")
def wrong_option(demo: Demo) -> Iterator[Fault]:
    """Write another option that has the value too: fitted, of another thing."""
    for place in conditions(demo):
        source, _, whole, _ = place
        text, values = whole.texts("when")[0].value, _values(demo, source)
        for match in _TERM.finditer(text):
            for name, known in values.items():
                if name != match[1] and match[2] in known:
                    yield _with(place, f"{text[: match.start(1)]}{name}{text[match.end(1) :]}")


@kind("a `when` too wide")
def too_wide(demo: Demo) -> Iterator[Fault]:
    """Leave out a term, or let another value of the option in."""
    for place in conditions(demo):
        source, _, whole, _ = place
        text, values = whole.texts("when")[0].value, _values(demo, source)
        terms = text.split(" and ")
        for n in range(len(terms) if len(terms) > 1 else 0):
            yield _with(place, " and ".join(terms[:n] + terms[n + 1 :]))
        for match in _TERM.finditer(text):
            others = [v for v in values.get(match[1], ()) if v != match[2]]
            if len(terms) == 1 and len(others) > 1:
                yield _with(place, f"{text} or {match[1]}={others[0]}")


@kind("a `when` dropped")
def always(demo: Demo) -> Iterator[Fault]:
    """Say of all cars what is so on some."""
    for source, name, whole, touches in conditions(demo):
        old = whole.texts("when")[0].value
        edits = (source.without(whole, "when"),)
        yield Fault(source.name, f"{name}: always, for when {old}", edits, touches)


@kind("a `when` turned round")
def turned(demo: Demo) -> Iterator[Fault]:
    """Say the opposite."""
    for place in conditions(demo):
        yield _with(place, f"not ({place[2].texts('when')[0].value})")


@kind("a `when` too much")
def too_narrow(demo: Demo) -> Iterator[Fault]:
    """Have a step, or a joint, on some cars only: the line was copied with the one above."""
    for source in demo.sources.values():
        terms = [f"{name}={values[0]}" for name, values in _values(demo, source).items() if values]
        for step in source.steps:
            whole = source.spots(step.block)
            if step.actions and whole.entries and not whole.get("when"):
                for term in terms:
                    edit = source.entry(whole, f"when: {term}")
                    what = f"{name_of(step)}: only when {term}"
                    yield Fault(source.name, what, (edit,), touched(step))
