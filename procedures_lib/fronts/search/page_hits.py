"""All rows of one page: the page itself, its sections, what it defines, steps, torques, tools."""

from __future__ import annotations

import re
from collections.abc import Iterator

from procedures_lib.fronts.search.index import Row, key_of
from procedures_lib.fronts.search.terms import terms_of, terms_of_all
from procedures_lib.fronts.search.thing_hits import (
    calibration_rows,
    item_row,
    owner_terms,
    step_row,
    thing_row,
    tool_rows,
    tools_of_joints,
)
from procedures_lib.language.entities.builder import COLLECTIONS
from procedures_lib.language.entities.car import Connection, Fastener, Fluid, Opening, Part, Vehicle
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.work import Content, Derived, Procedure, Rule
from procedures_lib.manual import Manual
from procedures_lib.view.joint import joints
from procedures_lib.view.step import step_view
from procedures_lib.view.uses import Uses, uses_of

_THINGS = (Fastener, Part, Connection, Opening, Fluid)
_HOLDS = {
    "torque-table": ("joints",),
    "tool-list": ("tools",),
    "parts-list": ("items",),
    "preparation": ("items", "tools"),
}
"""Which rows each derived block shows."""
_HEADS = {"vehicle": "v", "kit": "k"}
_CODE = "\ufffc"
_MARKUP = re.compile(r"\{[a-z-]+\}(?=`)|[`*]")


def rows_of_page(manual: Manual, page: str) -> list[Row]:
    """Return what can be found on a page, each with its place on the page, the best place first.

    ``page`` is the page's name with its ending. The target of a section is ``section:3`` for the
    third heading of the page, the title included.
    """
    content = manual.contents[page]
    rows = [*_texts(content, manual), *_defined(content, manual), *_boxed(content, manual)]
    rows += _steps(content, manual)
    known: dict[tuple[str, str], Uses] = {}
    derived = [row for each in content.derived for row in _derived(each, page, manual, known)]
    return rows + sorted(derived, key=lambda row: not row.target.startswith("fastener:"))


def _texts(content: Content, manual: Manual) -> Iterator[Row]:
    """The page and its sections, with the words of their prose."""
    page = content.page
    starts = [section.line for section in page.sections[1:]]
    lines: dict[int, list[str]] = {}
    for text, line in (*((each.text, each.line) for each in page.prose), *_ruled(content)):
        at = sum(start <= line for start in starts)
        lines.setdefault(at, []).append(text.replace(_CODE, " "))
    words = {at: terms_of_all(texts) for at, texts in lines.items()}
    if page.title:
        yield _page_row(content, manual, words.get(0, ()))
    owner = owner_terms(manual, page.name)
    for n, section in enumerate(page.sections[1:], start=1):
        weak = (*words.get(n, ()), *owner)
        title = _MARKUP.sub("", section.title)
        yield Row("h", key_of(page.name, f"section {n}"), title, f"section:{n}",
                  strong=terms_of(title), weak=weak)  # fmt: skip


def _ruled(content: Content) -> Iterator[tuple[str, int]]:
    """The names and words of the page's rules, each with its line."""
    rules = (entity for entity in content.entities if isinstance(entity, Rule))
    yield from ((rule.name, rule.place.line) for rule in rules)
    blocks = (block for block in content.page.walk() if block.name == "rule")
    yield from ((prose.text, prose.line) for block in blocks for prose in block.prose)


def _page_row(content: Content, manual: Manual, words: tuple[str, ...]) -> Row:
    page = content.page
    heads = list(manual.entities_on(page.name).values())
    shown = next((f"revision {e.revision}" for e in heads if isinstance(e, Procedure)), "")
    shown = shown or next((str(e.years) for e in heads if isinstance(e, Vehicle) and e.years), "")
    own = terms_of_all((page.title, page.docname.rsplit("/", 1)[-1]))
    also = [
        str(word) for e in heads for word in getattr(e, "also", ()) if not isinstance(e, _THINGS)
    ]
    own = (*own, *terms_of_all(also), *owner_terms(manual, page.name))
    kind = next((_HEADS[e.KIND] for e in heads if e.KIND in _HEADS), "g")
    return Row(
        kind,
        key_of(page.name, ""),
        page.title,
        "",
        shown,
        strong=own,
        weak=words,
        facts=(("also", ", ".join(also)),) if also else (),
    )


def _defined(content: Content, manual: Manual) -> Iterator[Row]:
    """What the page's data blocks define."""
    page = content.page.name
    lines = {
        line
        for block in content.page.walk()
        if block.name in COLLECTIONS
        for line in range(block.place.line, block.end + 1)
    }
    scope = manual.scope(page)
    for entity in manual.entities_on(page).values():
        if isinstance(entity, _THINGS) and entity.place.line in lines:
            yield thing_row(entity, manual, scope, f"definition:{entity.id}")


def _boxed(content: Content, manual: Manual) -> Iterator[Row]:
    """What the page's kit holds."""
    page = content.page.name
    for entity in manual.entities_on(page).values():
        if isinstance(entity, Kit):
            for item in entity.contents:
                yield item_row(item, page, manual, manual.scope(page))
            yield from calibration_rows(entity, manual)


def _steps(content: Content, manual: Manual) -> Iterator[Row]:
    plan = manual.plan_of_page(content.page.name) if content.steps else None
    if plan is not None:
        for numbered in plan.steps:
            yield step_row(step_view(numbered, plan), plan, manual)


def _derived(
    derived: Derived, page: str, manual: Manual, known: dict[tuple[str, str], Uses]
) -> Iterator[Row]:
    """What a derived block shows; ``known`` keeps the uses of a plan from block to block."""
    held = _HOLDS.get(derived.block.name, ())
    plan = manual.plan_of_page(page, str(derived.block.argument)) if held else None
    if plan is None:
        return
    key = (plan.head.id, str(derived.options.when))
    uses = known.setdefault(key, known.get(key) or uses_of(plan, derived.options.when))
    if "items" in held:
        yield from _items(uses, manual)
    if "joints" in held:
        for name in dict.fromkeys(joint.id for joint in joints(uses)):
            fastener = plan.scope.of(Fastener, name)
            if fastener is not None:
                yield thing_row(fastener, manual, plan.scope, f"fastener:{name}")
    if "tools" in held:
        yield from tool_rows(uses, manual)
        yield from tools_of_joints(uses, manual)


def _items(uses: Uses, manual: Manual) -> Iterator[Row]:
    kit = uses.plan.kit
    for item in kit.contents if kit else ():
        if kit and item.number and uses.applies(item.when):
            yield item_row(item, kit.place.page, manual, uses.plan.scope)
