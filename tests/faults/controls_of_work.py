"""Right edits of what the steps do: said more fully, a little later, or in other words."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from procedures_lib.engineering.tightening import StageKind
from procedures_lib.language.entities.car import Fastener
from procedures_lib.language.entities.kit import Kit
from tests.faults.actions import all_actions, spot_of
from tests.faults.conditions import conditions
from tests.faults.controls import right, steps_of
from tests.faults.kinds import Fault
from tests.faults.numbers import joints
from tests.faults.source import Edit
from tests.faults.steps import name_of, span_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.language.entities.work import Action, Step
    from tests.faults.demo import Demo
    from tests.faults.source import Source


def _line_before(source: Source, step: Step, n: int, text: str) -> Edit | None:
    """An action more above one, where the list has a line for each."""
    if source.spots(step.block).get("do", n) is None:
        return None
    start, _ = source.rows(*2 * (source.row_of(spot_of(source, step, n).start),))
    return Edit(start, start, f"  - {text}\n")


def _added(source: Source, step: Step, n: int, text: str) -> Iterator[Fault]:
    if edit := _line_before(source, step, n, text):
        what = f"{name_of(step)}: `{text}` above `{step.actions[n]}`"
        yield Fault(source.name, what, (edit,))


def _joint(demo: Demo, source: Source, action: Action) -> Fastener | None:
    found = demo.manual.scope(source.name).get(str(action.objects[0])) if action.objects else None
    return found if isinstance(found, Fastener) else None


@right("`loosen` above `remove`")
def loosened(demo: Demo) -> Iterator[Fault]:
    """Say that a bolt is slackened before it is taken out."""
    for source, step, n, action in all_actions(demo):
        joint = _joint(demo, source, action)
        if action.verb == "remove" and joint and joint.tighten and len(action.objects) == 1:
            known = [a for other in source.steps for a in other.actions if a.verb == "loosen"]
            if not any(action.objects[0] in other.objects for other in known):
                yield from _added(source, step, n, f"loosen {action.objects[0]}")


@right("`start` above `tighten`")
def started(demo: Demo) -> Iterator[Fault]:
    """Say that a bolt is started by hand."""
    for source, step, n, action in all_actions(demo):
        verbs = {
            str(a.verb) for other in source.steps for a in other.actions
            if set(a.objects) & set(action.objects)
        }  # fmt: skip
        bare = not action.stage and len(action.objects) == 1 and not verbs & {"start", "loosen"}
        if action.verb == "tighten" and "remove" in verbs and bare:
            yield from _added(source, step, n, f"start {action.objects[0]}")


@right("`start` left out above `tighten`")
def not_started(demo: Demo) -> Iterator[Fault]:
    """Tighten what comes out of the bag: that it is started by hand is prose."""
    for source, step, n, action in all_actions(demo):
        if str(action).replace("start", "tighten") in map(str, step.actions[n + 1 : n + 2]):
            edit = source.without(source.spots(step.block), "do", n)
            what = f"{name_of(step)}: `{action}` left to the prose"
            yield Fault(source.name, what, (edit,))


@right("one thing more cleaned, looked at or measured")
def looked_at(demo: Demo) -> Iterator[Fault]:
    """Clean, inspect, measure before the work."""
    texts = (
        "clean the threads",
        "inspect for cracks",
        "measure free length",
        "apply a drop of oil",
    )
    for n, (source, step) in enumerate(steps_of(demo)):
        if step.actions:
            yield from _added(source, step, 0, texts[n % len(texts)])


@right("a leak test or a drive more")
def tested_again(demo: Demo) -> Iterator[Fault]:
    """Prove it again, right after the proof."""
    for source, step, n, action in all_actions(demo):
        if action.verb == "test":
            yield from _added(source, step, n, str(action))


@right("a discard one step later")
def discarded_later(demo: Demo) -> Iterator[Fault]:
    """Throw the old things away when there is a hand free."""
    for source in demo.pages("procedures"):
        for step, after in zip(source.steps, source.steps[1:], strict=False):
            for n, action in enumerate(step.actions):
                if action.verb != "discard" or step.when != after.when or not after.actions:
                    continue
                edit = _line_before(source, after, 0, str(action))
                if edit and len(step.actions) > 1:
                    cut = source.without(source.spots(step.block), "do", n)
                    what = f"`{action}` of {name_of(step)} in {name_of(after)}"
                    yield Fault(source.name, what, (cut, edit))


@right("`by hand` as the first stage")
def by_hand(demo: Demo) -> Iterator[Fault]:
    """Say that a bolt goes in by hand before it is tightened."""
    for source, fastener, whole in joints(demo):
        spot = whole.get("tighten")
        torque = isinstance(fastener, Fastener) and fastener.tighten
        if spot and spot.value and torque and torque[0].kind is not StageKind.HAND:
            text = source.text[spot.start : spot.end]
            edit = Edit(spot.start, spot.end, f"[hand, {text}]")
            yield Fault(source.name, f"{fastener.id}: hand first", (edit,))


# -- conditions ------------------------------------------------------------------------------------


@right("a `when` in other words")
def other_words(demo: Demo) -> Iterator[Fault]:
    """Write `not tow-bar=absent` for `tow-bar=fitted`."""
    other = {"fitted": "absent", "manual": "automatic", "automatic": "manual", "4x4": "4x2",
             "4x2": "4x4", "locking": "open", "long-range": "standard"}  # fmt: skip
    for source, name, whole, _ in conditions(demo):
        spot = whole.texts("when")[0]
        match = re.fullmatch(r"([a-z-]+)=([a-z0-9-]+)", spot.value)
        if match and match[2] in other:
            new = f"not {match[1]}={other[match[2]]}"
            edit = Edit(spot.start, spot.end, new)
            yield Fault(source.name, f"{name}: when {new}", (edit,))


@right("a `when` that holds for all cars of the kit")
def redundant(demo: Demo) -> Iterator[Fault]:
    """Say at a step, too, which cars the kit is for."""
    for source, step in steps_of(demo):
        plan = demo.manual.plan_of_page(source.name)
        kit = plan.kit if plan else None
        whole = source.spots(step.block)
        if isinstance(kit, Kit) and step.actions and not whole.get("when"):
            spot = demo.sources[kit.place.page].spot_of(kit).get("fits", "when")
            if spot:
                edit = source.entry(whole, f"when: {spot.value}")
                yield Fault(source.name, f"{name_of(step)}: when {spot.value}", (edit,))


@right("a step written twice, for each kind of cars")
def for_each(demo: Demo) -> Iterator[Fault]:
    """Tell the two cars apart: the same work, in other words."""
    for source in demo.pages("procedures"):
        for step in source.steps:
            plan = demo.manual.plan_of_page(source.name)
            whole = source.spots(step.block)
            if not plan or not plan.vehicle or not step.actions or whole.get("when"):
                continue
            if plan.kit and str(plan.kit.fits.when):
                continue
            name, values = plan.vehicle.options[0][0], plan.vehicle.options[0][1]
            start, end = span_of(source, step)
            text = source.text[start:end]
            again = text.replace(f"id: {step.id}\n", "") if step.id else text
            header = "---\n"
            if header not in text or step.signals or f"`{step.id}`" in source.text:
                continue
            one, two = (
                t.replace(header, f"---\nwhen: {name}={value}\n", 1)
                for t, value in zip((text, again), values, strict=False)
            )
            if f"after: {step.id}" not in source.text and len(values) == 2:
                what = f"{name_of(step)} for {values[0]} and {values[1]}"
                yield Fault(source.name, what, (Edit(start, end, f"{one}\n\n{two}"),))


# -- fields ----------------------------------------------------------------------------------------


@right("a list of a field in another order")
def other_list(demo: Demo) -> Iterator[Fault]:
    """Name what holds a part, or what is in its way, the other way round."""
    for source in demo.sources.values():
        for entity in source.content.entities:
            whole = source.spot_of(entity)
            for key in ("held-by", "behind", "between", "exposed-by", "returns", "fixed"):
                parts = whole.texts(key)
                if len(parts) > 1:
                    one, two = parts[0], parts[-1]
                    edits = (
                        Edit(one.start, one.end, two.value),
                        Edit(two.start, two.end, one.value),
                    )
                    yield Fault(source.name, f"{entity.id}: {key} turned round", edits)


@right("the options of a step as lines")
def as_lines(demo: Demo) -> Iterator[Fault]:
    """Write `:do:` and the others as option lines, without a header."""
    for source, step in steps_of(demo):
        whole = source.spots(step.block)
        if not whole.entries or len(step.actions) != 1:
            continue
        first, last = whole.entries[0][0], whole.entries[-1][1]
        start, _ = source.rows(source.row_of(first.start) - 1, source.row_of(first.start) - 1)
        _, end = source.rows(*2 * (source.row_of(last.end) + 1,))
        if not source.text[start:].startswith("---\n"):
            continue
        rows = [f":do: {step.actions[0]}"] + [
            f":{key.value}: {source.text[value.start : value.end]}"
            for key, value in whole.entries
            if key.value != "do"
        ]
        edit = Edit(start, end, "\n".join(rows) + "\n\n")
        yield Fault(source.name, f"{name_of(step)}: its options as lines", (edit,))


@right("a thing more in the way of a part")
def more_behind(demo: Demo) -> Iterator[Fault]:
    """Say that a part is behind what is taken off before it in every procedure anyway.

    So does the row of double entry that has it.
    """
    for source in demo.sources.values():
        for entity in source.content.entities:
            whole = source.spot_of(entity)
            mine = whole.texts("behind")
            for other in source.content.entities if len(mine) == 1 else ():
                if other.id == mine[0].value:
                    deeper = source.spot_of(other).texts("behind")
                    if deeper and deeper[0].value not in {part.value for part in mine}:
                        both = f"[{mine[0].value}, {deeper[0].value}]"
                        edits = [Edit(mine[0].start, mine[0].end, both)]
                        row = re.compile(
                            rf"^{entity.id}: {{.*\bbehind: ({mine[0].value})[,}}]", re.M
                        )
                        if again := row.search(source.text, mine[0].end):
                            edits.append(Edit(again.start(1), again.end(1), both))
                        if not source.text[: mine[0].start].endswith("["):
                            what = f"{entity.id}: behind {deeper[0].value} too"
                            yield Fault(source.name, what, tuple(edits))
