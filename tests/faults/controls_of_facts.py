"""Right edits of facts: units, tolerances, notes, orders of entries, ids, things that are new."""

from __future__ import annotations

import re
from itertools import pairwise
from typing import TYPE_CHECKING

from procedures_lib.language.entities.car import Connection, Fastener, Part, Vehicle
from procedures_lib.language.entities.kit import Kit
from tests.faults.controls import right, steps_of
from tests.faults.kinds import Fault
from tests.faults.numbers import all_stages, joints, rows
from tests.faults.source import Edit
from tests.faults.steps import WORK, name_of, span_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tests.faults.demo import Demo
    from tests.faults.source import Source

_TORQUE = re.compile(r"^\d+(?:\.\d+)? (?:N·m|lbf·ft|lbf·in)$")


# -- numbers ---------------------------------------------------------------------------------------


def _single(
    demo: Demo,
) -> Iterator[tuple[Source, str, Edit, str, list[tuple[Source, str, int, int]]]]:
    """Yield joints of one torque with the places where it is typed again."""
    for source, fastener, whole in joints(demo):
        spot = whole.get("tighten")
        if spot and _TORQUE.match(spot.value):
            again = []
            for page, key, value in rows(demo):
                seen = demo.manual.scope(page.name).get(key.value)
                part = value.value.split(", ")[-1]
                if seen is not None and seen.place == fastener.place and _TORQUE.match(part):
                    again.append((page, part, value.end - len(part), value.end))
            yield source, fastener.id, Edit(spot.start, spot.end, ""), spot.value, again


@right("the torque in the unit of the source")
def as_printed(demo: Demo) -> Iterator[Fault]:
    """Write in the block what the sheet prints, in its unit."""
    for source, name, edit, text, again in _single(demo):
        for _, part, _, _ in again[:1]:
            if part.split()[1] != text.split()[1]:
                what = f"{name}: {part} for {text}"
                yield Fault(source.name, what, (Edit(edit.start, edit.end, part),))


@right("another tolerance, in the block and in its row")
def tolerance(demo: Demo) -> Iterator[Fault]:
    """A new sheet says by how much a torque may be off."""
    for source, name, edit, text, again in _single(demo):
        number, unit = text.split()
        new = f"{number} ± {float(number) / 10:.2g} {unit}"
        there = tuple((page.name, Edit(start, end, new)) for page, _, start, end in again)
        if there:
            what = f"{name}: {new} for {text}"
            yield Fault(source.name, what, (Edit(edit.start, edit.end, new),), elsewhere=there)


@right("a range for a tolerance")
def as_range(demo: Demo) -> Iterator[Fault]:
    """Write 55–65 N·m for 60 ± 5 N·m."""
    for source, fastener, spot in all_stages(demo):
        match = re.fullmatch(r"(\d+) ± (\d+) N·m", spot.value)
        if match:
            middle, half = int(match[1]), int(match[2])
            new = f"{middle - half}–{middle + half} N·m"
            yield Fault(source.name, f"{fastener.id}: {new}", (Edit(spot.start, spot.end, new),))


@right("a spelling of a unit")
def spelling(demo: Demo) -> Iterator[Fault]:
    """Write Nm or ft-lb, which are read as well."""
    for source, fastener, spot in all_stages(demo):
        for old, new in (("N·m", "Nm"), ("N·m", "N*m"), ("lbf·ft", "ft-lb"), ("lbf·in", "in-lb")):
            if spot.value.endswith(f" {old}"):
                text = spot.value.replace(old, new)
                what = f"{fastener.id}: {text} for {spot.value}"
                old_text = source.text[spot.start : spot.end]
                edit = Edit(spot.start, spot.end, old_text.replace(old, new))
                yield Fault(source.name, what, (edit,))


@right("a number of the source typed again")
def more_rows(demo: Demo) -> Iterator[Fault]:
    """Have a second block of double entry, with what the block says."""
    for source, name, _, text, again in _single(demo):
        if not again and source.name.startswith("vehicles"):
            row = f"\n```{{expect}} Service data, second printing\n{name}: {text}\n```\n"
            at = len(source.text)
            yield Fault(source.name, f"{name} typed again", (Edit(at, at, row),))


# -- entries ---------------------------------------------------------------------------------------


@right("a note")
def note(demo: Demo) -> Iterator[Fault]:
    """Add a note to a part, a connection, a fastener."""
    for model in (Part, Connection, Fastener):
        for source, entity in demo.entities(model):
            whole = source.spot_of(entity)
            if whole.entries and not whole.get("note"):
                edit = source.entry(whole, "note: seen on the car of the photographs")
                yield Fault(source.name, f"{entity.id}: a note", (edit,))


@right("two entries of a block the other way round")
def swapped_entries(demo: Demo) -> Iterator[Fault]:
    """Sort the rows of a block otherwise: the order says nothing."""
    for source in demo.sources.values():
        for block in source.blocks.values():
            if block.name in {"parts", "connections", "openings", "hazards", "fluids", "expect"}:
                entries = source.spots(block).entries
                for (one, a), (two, b) in pairwise(entries):
                    first = source.rows(source.row_of(one.start), source.row_of(a.end))
                    second = source.rows(source.row_of(two.start), source.row_of(b.end))
                    texts = [source.text[slice(*span)] for span in (first, second)]
                    edits = (Edit(*first, texts[1]), Edit(*second, texts[0]))
                    what = f"{block.name}: {two.value} above {one.value}"
                    yield Fault(source.name, what, edits)


@right("two lines of the packing list the other way round")
def swapped_items(demo: Demo) -> Iterator[Fault]:
    """Sort the box otherwise."""
    for source, kit in demo.entities(Kit):
        contents = source.spot_of(kit).get("contents")
        for one, two in pairwise(contents.items if contents else ()):
            a, b = (source.text[spot.start : spot.end] for spot in (one, two))
            edits = (Edit(one.start, one.end, b), Edit(two.start, two.end, a))
            yield Fault(source.name, f"contents: {b[:40]} first", edits)


@right("two objects of one `remove` in two lines")
def two_lines(demo: Demo) -> Iterator[Fault]:
    """Write an action for each object."""
    for source, step in steps_of(demo):
        for n, action in enumerate(step.actions):
            spots = source.spots(step.block)
            if len(action.objects) > 1 and spots.get("do", n) and action.on is None:
                lines = "\n  - ".join(f"{action.verb} {name}" for name in action.objects)
                spot = spots.texts("do")[n]
                what = f"{name_of(step)}: `{action}` in lines of their own"
                yield Fault(source.name, what, (Edit(spot.start, spot.end, lines),))


@right("another year of the same sheet")
def newer_source(demo: Demo) -> Iterator[Fault]:
    """The sheet has been printed again, with the same numbers."""
    for source, fastener in demo.entities(Fastener):
        spot = source.spot_of(fastener).get("source")
        if spot and spot.value.endswith(("2020", "2021")):
            edit = Edit(spot.end - 4, spot.end, "2023")
            yield Fault(source.name, f"{fastener.id}: the sheet of 2023", (edit,))


@right("a new revision, reviewed on another day")
def revised(demo: Demo) -> Iterator[Fault]:
    """Look through a page and say so."""
    for source in demo.pages("procedures"):
        for block in source.blocks.values():
            spot = source.spots(block).get("reviewed") if block.name == "procedure" else None
            if spot:
                edit = Edit(spot.start, spot.end, "2026-11-20")
                yield Fault(source.name, "reviewed on another day", (edit,))


@right("an id spelled otherwise everywhere")
def renamed(demo: Demo) -> Iterator[Fault]:
    """Rename a thing on all pages."""
    for model in (Part, Connection, Fastener):
        for source, entity in demo.entities(model):
            if "-" not in entity.id or len(demo.names[entity.id]) > 3:
                continue
            pattern = re.compile(rf"(?<![\w-]){re.escape(entity.id)}(?![\w-])")
            found = [
                (page.name, Edit(match.start(), match.end(), f"the-{entity.id}"))
                for page in demo.sources.values()
                for match in pattern.finditer(page.text)
            ]
            there = tuple(pair for pair in found if pair[0] != source.name)
            here = tuple(edit for page, edit in found if page == source.name)
            what = f"the-{entity.id} for {entity.id} on all pages"
            yield Fault(source.name, what, here, elsewhere=there)


# -- new things ------------------------------------------------------------------------------------

SCREW = """
```{{fasteners}}
{id}-screws:
  name: {name} screws
  kind: screw
  count: 3
  thread: M6x1.0
  class: "8.8"
  head: torx T30
  into: {{material: steel, engagement: 9 mm}}
  condition: dry
  tighten: 8 N·m
  source: Sheet 50-9, 2021{when}
```
"""
THINGS = (
    ("wing-liner", "Wing liner"),
    ("sill-cover", "Sill cover"),
    ("scuff-plate", "Scuff plate"),
)


def _thing(name: str, words: str, when: str) -> str:
    limit = f", when: {when}" if when else ""
    part = f"{name}: {{name: {words}, held-by: {name}-screws{limit}}}"
    screw = SCREW.format(id=name, name=words, when=f"\n  when: {when}" if when else "")
    return f"\n```{{parts}}\n{part}\n```\n{screw}"


def _step(words: str, actions: str, when: str) -> str:
    limit = f"when: {when}\n" if when else ""
    rows = "\n".join(f"  - {action}" for action in actions.split("; "))
    return (
        f"\n\n:::{{step}} {words}\n---\ndo:\n{rows}\n{limit}tools: [trim lever]\ntime: 5 min\n---\n"
        "Start at the front.\n:::"
    )


def _with_thing(demo: Demo, source: Source, n: int, option: str) -> Fault:
    """Add a part with its screws, taken off early and put on late, on some cars or on all."""
    name, words = THINGS[n % len(THINGS)]
    plan = demo.manual.plan_of_page(source.name)
    assert plan is not None and plan.vehicle is not None, "a page with steps has a car"  # noqa: PT018
    vehicle = demo.sources[plan.vehicle.place.page]
    when = f"{option}=fitted" if option else ""
    early, late = source.steps[0], source.steps[-1]
    off, on = span_of(source, early)[1], span_of(source, late)[0] - 1
    edits = (
        Edit(off, off, _step(f"{words} off", f"remove {name}-screws; remove {name}", when)),
        Edit(on, on, _step(f"{words} on", f"fit {name}; tighten {name}-screws", when) + "\n"),
    )
    there = [Edit(len(vehicle.text), len(vehicle.text), _thing(name, words, when))]
    if option:
        last = vehicle.spot_of(plan.vehicle).get("options")
        assert last is not None
        there.append(Edit(last.start, last.start, f"{option}: [fitted, absent]\n  "))
    what = f"a {words.lower()} on {f'cars with {option}' if option else 'all cars'}"
    pairs = tuple((vehicle.name, edit) for edit in there)
    return Fault(source.name, what, edits, elsewhere=pairs)


def _worked(demo: Demo) -> Iterator[Source]:
    return (source for source in demo.pages("procedures") if source.steps)


@right("a part more, with its screws, taken off and put on")
def new_part(demo: Demo) -> Iterator[Fault]:
    """Describe one more thing of the car, and work on it."""
    for source in _worked(demo):
        for n in range(len(THINGS)):
            yield _with_thing(demo, source, n, "")


@right("an option more, with all that it needs")
def new_option(demo: Demo) -> Iterator[Fault]:
    """Some cars have a thing more, and two steps for it."""
    for source in _worked(demo):
        for n, option in enumerate(("roof-bars", "side-steps")):
            yield _with_thing(demo, source, n, option)


@right("a value more of an option, that all steps hold for")
def new_value(demo: Demo) -> Iterator[Fault]:
    """Write a third value where every `when` says for which of the others it is."""
    third = {"wheels": "alloy-wide"}
    for source, vehicle in demo.entities(Vehicle):
        options = source.spot_of(vehicle).get("options")
        for key, values in options.entries if options else ():
            new = third.get(key.value)
            last = values.items[-1]
            there = tuple(
                (page.name, edit)
                for page in demo.sources.values()
                for edit in _widened(page, f"{key.value}={last.value}", f"{key.value}={new}")
            )
            if new:
                edit = Edit(last.end, last.end, f", {new}")
                yield Fault(source.name, f"{key.value}: {new} too", (edit,), elsewhere=there)


def _widened(page: Source, old: str, new: str) -> Iterator[Edit]:
    for match in re.finditer(rf"when: {re.escape(old)}(?=[\n,}}])", page.text):
        yield Edit(match.start(), match.end(), f"when: {old} or {new}")


@right("the order drawn once more")
def drawn_again(demo: Demo) -> Iterator[Fault]:
    """Show a drawing in the step that tightens, or behind it."""
    for source in demo.pages(*WORK):
        for step in source.steps:
            for action in step.actions:
                name = str(action.objects[0]) if action.objects else ""
                joint = demo.manual.scope(source.name).get(name)
                drawn = isinstance(joint, Fastener) and joint.positions
                if action.verb == "tighten" and drawn:
                    _, end = span_of(source, step)
                    text = f"\n\n```{{order-drawing}} {name}\n```"
                    what = f"the drawing of {name} behind {name_of(step)}"
                    yield Fault(source.name, what, (Edit(end, end, text),))


@right("what is open listed once more")
def listed_again(demo: Demo) -> Iterator[Fault]:
    """Tell what is open after a step, behind that step."""
    for source in demo.pages("procedures"):
        for step in source.steps:
            if step.id and step.actions:
                _, end = span_of(source, step)
                text = f"\n\nIf the day ends here:\n\n```{{open-items}}\n:after: {step.id}\n```"
                what = f"what is open after {step.id}"
                yield Fault(source.name, what, (Edit(end, end, text),))
