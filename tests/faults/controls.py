"""Edits that a writer may rightly make: none of them may be reported.

Each is made on a page of the demo, in the same way as a fault. Some kinds of edits can be made in
many places, of which a few are drawn by lot.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from procedures_lib.language.reading.block_kinds import SIGNAL_WORDS
from tests.faults.kinds import Fault, numbered
from tests.faults.running import drawn
from tests.faults.source import Edit, Source
from tests.faults.steps import WORK, exchange, name_of, span_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from procedures_lib.findings import Finding
    from procedures_lib.language.entities.work import Step
    from tests.faults.demo import Demo
    from tests.faults.kinds import Seeder

PLACES = 6
"""So many places are drawn of each kind of edit."""


@dataclass(frozen=True, slots=True)
class Right:
    """A kind of edit that is right, and what yields the places for it."""

    name: str
    seed: Seeder


CONTROLS: dict[str, Right] = {}


def right(name: str) -> Callable[[Seeder], Seeder]:
    """Put a function that yields right edits of a kind on the list."""

    def listed(seed: Seeder) -> Seeder:
        assert name not in CONTROLS, f"{name} stands twice"
        CONTROLS[name] = Right(name, seed)
        return seed

    return listed


def places(demo: Demo, name: str) -> list[Fault]:
    """Return the edits of a kind, each with words of its own."""
    return numbered(CONTROLS[name].seed(demo))


def alarms(demo: Demo, name: str, most: int = PLACES) -> list[tuple[Fault, list[Finding]]]:
    """Return the right edits of a kind that are reported, of so many that are drawn by lot."""
    edits = drawn(name, places(demo, name), most)
    return [(edit, found) for edit in edits if (found := demo.findings(edit))]


def steps_of(demo: Demo) -> Iterator[tuple[Source, Step]]:
    """Yield every step that is written on a page of its own, no calls."""
    for source in demo.pages(*WORK):
        for step in source.steps:
            if step.common is None:
                yield source, step


def _last_row(source: Source, step: Step) -> int:
    """Where the last row of a step begins: its closing fence."""
    return source.rows(step.block.end, step.block.end)[0]


# -- prose -----------------------------------------------------------------------------------------


@right("a sentence more in a step")
def sentence(demo: Demo) -> Iterator[Fault]:
    """Say something more, with a name of a thing that the step works on."""
    for source, step in steps_of(demo):
        at = _last_row(source, step)
        if source.text[:at].rstrip().endswith(("```", ":::")):
            continue
        text = "\nTake your time over it, and wipe your hands before the next step.\n"
        yield Fault(source.name, f"a sentence more in {name_of(step)}", (Edit(at, at, text),))


@right("another title of a step")
def title(demo: Demo) -> Iterator[Fault]:
    """Say the same in other words."""
    words = (("Take", "Lift"), ("Put", "Set"), ("Unplug", "Pull the plugs of"), ("Test", "Try"),
             ("Fit", "Mount"), ("Bolt", "Screw"), ("Join", "Connect"))  # fmt: skip
    for source, step in steps_of(demo):
        start, end = source.rows(step.place.line, step.place.line)
        row = source.text[start:end]
        for old, new in words:
            if f"}} {old} " in row:
                at = start + row.index(f"}} {old} ") + 2
                what = f"{name_of(step)}: {new} … for {old} …"
                yield Fault(source.name, what, (Edit(at, at + len(old), new),))


@right("another heading, or one with a number")
def heading(demo: Demo) -> Iterator[Fault]:
    """Number the sections by hand."""
    for source in demo.pages("procedures"):
        for n, section in enumerate(source.content.page.sections, start=1):
            if section.level > 2:
                start, end = source.rows(section.line, section.line)
                at = source.text.index(section.title, start, end)
                what = f"{n}. before the heading {section.title}"
                yield Fault(source.name, what, (Edit(at, at, f"{n}. "),))


@right("a notice more in a step")
def notice(demo: Demo) -> Iterator[Fault]:
    """Warn of something that breaks, in words of one's own."""
    for source, step in steps_of(demo):
        start, _ = source.rows(step.place.line, step.place.line)
        whole = source.spots(step.block)
        if source.text[start:].startswith("::::") and whole.entries:
            row = source.row_of(max(s.end for s in whole.scalars())) + 1
            signs = [block for block in step.block.blocks if block.name in SIGNAL_WORDS]
            row = max((block.end for block in signs), default=row)
            _, at = source.rows(row, row)
            text = "\n:::{notice} Paint scratches\nNo tool is laid down on the wing.\n:::\n"
            yield Fault(source.name, f"a notice in {name_of(step)}", (Edit(at, at, text),))


# -- what a step needs -----------------------------------------------------------------------------


def _more(key: str, thing: str) -> Seeder:
    def seed(demo: Demo) -> Iterator[Fault]:
        for source, step in steps_of(demo):
            parts = source.spots(step.block).texts(key)
            whole = source.spots(step.block).get(key)
            if parts and whole and whole.flow:
                edit = Edit(parts[-1].end, parts[-1].end, f", {thing}")
                yield Fault(source.name, f"{name_of(step)}: {thing} too", (edit,))

    return seed


right("a tool more")(_more("tools", "pocket torch"))
right("a supply more")(_more("supplies", "paper towel"))


@right("more people, more time")
def slower(demo: Demo) -> Iterator[Fault]:
    """Have two people where one was, and five minutes more."""
    for source, step in steps_of(demo):
        whole = source.spots(step.block)
        time = whole.get("time")
        if time and not whole.get("people") and time.value.endswith(" min"):
            longer = f"{int(time.value.split()[0]) + 5} min\npeople: 2"
            if not source.text[time.end :].startswith("\n---"):
                longer = longer.partition("\n")[0]
            what = f"{name_of(step)}: five minutes more, two people"
            yield Fault(source.name, what, (Edit(time.start, time.end, longer),))


# -- the order of steps ----------------------------------------------------------------------------

EITHER_FIRST = (
    ("fit-bd-310", "trailer-off", "breather-off"), ("fit-bd-310", "trailer-on", "breather-on"),
    ("fit-bd-310", "relay-on", "lines-on"), ("fit-bd-420", "coolant-out", "shields-off"),
    ("fit-bd-420", "left-off", "right-off"), ("fit-bd-420", "left-on", "right-on"),
    ("fit-bd-420", "dipstick-in", "heater-pipe-in"), ("fit-bd-530", "oil-in", "propshaft-on"),
    ("fit-bd-530", "propshaft-on", "lock-on"), ("fit-tf-180", "cables-off", "slave-aside"),
    ("fit-tf-180", "slave-aside", "gearbox-unplugged"),
    ("fit-tf-180", "gearbox-unplugged", "neutral-off"),
    ("fit-tf-180", "bearing-changed", "flange-clean"), ("fit-tf-180", "slave-on", "cables-on"),
    ("fit-tf-180", "gearbox-plugged", "neutral-on"), ("fit-tf-220", "eye-out", "plugs-off"),
    ("fit-tf-220", "plugs-off", "washer-off"), ("fit-tf-260", "bushes-slack", "struts-freed"),
    ("fit-tf-260", "aligned", "lamps-set"), ("load-tf-100", "card-read", "faults-read"),
)  # fmt: skip
"""Neighbours of which either may come first: page, and the two steps. Judged by reading."""


@right("two steps that have nothing to do with one another the other way round")
def either(demo: Demo) -> Iterator[Fault]:
    """Do the second first."""
    for page, one, two in EITHER_FIRST:
        source = demo.sources[f"procedures/{page}.md"]
        known = {step.id: step for step in source.steps}
        if one in known and two in known:
            edits = exchange(source, known[one], known[two])
            yield Fault(source.name, f"{two} before {one}", edits)


@right("a step split well")
def split(demo: Demo) -> Iterator[Fault]:
    """Have the last action of a step in a step of its own right behind it."""
    for source, step in steps_of(demo):
        whole = source.spots(step.block)
        if len(step.actions) < 2 or step.signals or step.hazards:
            continue
        action = step.actions[-1]
        cut = source.without(whole, "do", len(step.actions) - 1)
        _, end = span_of(source, step)
        same = [
            f"{key}: {source.text[spot.start : spot.end]}"
            for key in ("when", "tools", "supplies", "people")
            if (spot := whole.get(key)) and "\n" not in source.text[spot.start : spot.end]
        ]
        head = [":::{step} The last of it", "---", f"do: {action}", *same, "time: 5 min", "---"]
        text = "\n".join((*head, "As said.", ":::"))
        edits = (cut, Edit(end, end, f"\n\n{text}"))
        yield Fault(source.name, f"`{action}` of {name_of(step)} right behind it", edits)


@right("two steps merged well")
def merged(demo: Demo) -> Iterator[Fault]:
    """Have what a step does at the end of the one before, where both are for the same cars."""
    for source in demo.pages("procedures"):
        for one, two in pairwise(source.steps):
            spots = source.spots(one.block)
            listed = spots.get("tools")
            if not _alike(source, one, two) or spots.get("do", 0) is None or not listed:
                continue
            _, after = source.rows(*2 * (source.row_of(spots.texts("do")[-1].end),))
            rows = "".join(f"  - {action}\n" for action in two.actions)
            tools = ", ".join(dict.fromkeys((*one.tools, *two.tools)))
            edits = (
                Edit(after, after, rows),
                Edit(listed.start, listed.end, f"[{tools}]"),
                Edit(span_of(source, one)[1], span_of(source, two)[1]),
            )
            yield Fault(source.name, f"{name_of(two)} in {name_of(one)}", edits)


def _alike(source: Source, one: Step, two: Step) -> bool:
    """Tell whether two neighbours can be one step: nothing stands between, none is referred to."""
    between = source.text[span_of(source, one)[1] : span_of(source, two)[0]].strip()
    plain = not (two.signals or two.hazards or one.signals or one.supplies or two.supplies)
    drawn = "order-drawing" in two.block.body
    marks = (f"`{two.id}`", f"after: {two.id}", f"\n{two.id}: {{says")
    referred = any(mark in source.text for mark in marks)
    same = one.when == two.when and one.people == two.people and bool(one.actions and two.actions)
    return same and plain and not (between or drawn or referred)


@right("a step more that changes nothing")
def new_step(demo: Demo) -> Iterator[Fault]:
    """Look once more, or sweep the floor."""
    texts = ("Sweep the floor", "Look at it once more\n:do: inspect everything in reach")
    for n, (source, step) in enumerate(steps_of(demo)):
        _, end = span_of(source, step)
        head = f":::{{step}} {texts[n % 2]}\n:tools: [broom]\n:time: 5 min"
        text = f"\n\n{head}\n\nNothing lies about.\n:::"
        yield Fault(source.name, f"a step more behind {name_of(step)}", (Edit(end, end, text),))
