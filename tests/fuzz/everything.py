"""All that the library makes of a page, made: whatever stands there, none of it may raise."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from procedures_lib.checks.walking import can_walk
from procedures_lib.drawings.order import order_svg, text_alternative
from procedures_lib.entities.builder import COLLECTIONS
from procedures_lib.entities.car import Fastener
from procedures_lib.entities.dyno import DynoSession
from procedures_lib.entities.work import Common, Job, Procedure
from procedures_lib.exports.card import make_card
from procedures_lib.exports.csv_text import csv_text
from procedures_lib.exports.find import FoundPage, index_files, make_index, rows_of_page
from procedures_lib.exports.gain_value import gain_json
from procedures_lib.exports.how_to import how_to, script_text
from procedures_lib.exports.json_value import table_json
from procedures_lib.exports.named import TABLES, make_table
from procedures_lib.exports.plain_text import plain_text
from procedures_lib.exports.procedure_files import procedure_files
from procedures_lib.tables.closing import close_up, handover
from procedures_lib.tables.definitions import definition_table
from procedures_lib.tables.expected import expect_table
from procedures_lib.tables.gains import gain_report
from procedures_lib.tables.joint_notes import joint_note
from procedures_lib.tables.order_drawings import patterns_of
from procedures_lib.tables.preparation import preparation
from procedures_lib.tables.uses import uses_of
from procedures_lib.variants import ALWAYS
from procedures_lib.walk import walk
from procedures_lib.walk.combining import combine
from procedures_lib.walk.open_items import open_items
from procedures_lib.walk.visit_table import visit_table
from procedures_lib.walk.way_words import way_lines
from procedures_lib.walk.ways import ways_from

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.manual import Manual, Plan


def everything(manual: Manual, page: str) -> list[str]:
    """Return all that is made of a page, as texts: two readings of it must give the same."""
    return [*_of_page(manual, page), *_of_entities(manual, page)]


def _of_page(manual: Manual, page: str) -> Iterator[str]:
    content, scope = manual.contents[page], manual.scope(page)
    rows = tuple(rows_of_page(manual, page))
    title = content.page.title
    yield from index_files(make_index([FoundPage(page, page, title, "other", rows)])).values()
    for expect in content.expects:
        yield plain_text(expect_table(expect, scope), 80)
    for block, kind in COLLECTIONS.items():
        things = [entity for entity in content.entities if isinstance(entity, kind)]
        yield csv_text(definition_table(block, things, scope))


def _of_entities(manual: Manual, page: str) -> Iterator[str]:
    scope = manual.scope(page)
    for entity in manual.entities_on(page).values():
        if isinstance(entity, Procedure | Common):
            yield from _of_plan(manual, manual.plan(entity))
        elif isinstance(entity, DynoSession):
            yield json.dumps(gain_json(gain_report(manual, entity), manual), allow_nan=False)
        elif isinstance(entity, Job):
            visit = combine(manual, entity)
            yield csv_text(visit_table(visit, {})) if visit else ""
        elif isinstance(entity, Fastener):
            yield str(joint_note(entity))
            for pattern, said in patterns_of(entity, scope) if entity.positions else ():
                yield order_svg(pattern) + text_alternative(pattern) + said


def _of_plan(manual: Manual, plan: Plan) -> Iterator[str]:
    uses = uses_of(plan)
    for name in TABLES:
        table = make_table(name, uses, manual.shop)
        yield plain_text(table, 60) + csv_text(table) + json.dumps(table_json(table, uses))
    ready = preparation(uses, manual.shop)
    yield f"{ready.facts} {ready.supplies} {ready.time_text}{csv_text(ready.check_in)}"
    yield f"{close_up(uses)} {handover(uses)}"
    yield from procedure_files(manual, uses).values()
    yield script_text(how_to(manual, plan))
    assert make_card(manual, plan, ALWAYS, faulty=True)
    if not can_walk(manual, plan):
        return
    walked = walk(plan, manual)
    for number in {1, len(plan.steps)} & set(range(1, len(plan.steps) + 1)):
        past = walked.after(number)
        yield str(open_items(past, past.all))
        for each in ways_from(walked, number):
            yield f"{each.variants} {way_lines(each.way, plan)}"
