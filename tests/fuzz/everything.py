"""All that the library makes of a page, made: whatever stands there, none of it may raise."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from procedures_lib.fronts.formats.dyno_json import gain_json
from procedures_lib.fronts.formats.files import procedure_files
from procedures_lib.fronts.formats.how_to import how_to, script_text
from procedures_lib.fronts.formats.table_text import TABLES, csv_text, make_table, plain_text
from procedures_lib.fronts.formats.values import table_json
from procedures_lib.fronts.paper.card import make_card
from procedures_lib.fronts.search import FoundPage, index_files, make_index, rows_of_page
from procedures_lib.judging.checks.walks import can_walk
from procedures_lib.language.entities.builder import COLLECTIONS
from procedures_lib.language.entities.car import Fastener
from procedures_lib.language.entities.dyno_session import DynoSession
from procedures_lib.language.entities.work import Common, Job, Procedure
from procedures_lib.language.variants import ALWAYS
from procedures_lib.view.closing import close_up, handover
from procedures_lib.view.definitions import definition_table, expect_table
from procedures_lib.view.gain_report import gain_report
from procedures_lib.view.joint_notes import joint_note
from procedures_lib.view.order_drawing import order_svg, patterns_of, text_alternative
from procedures_lib.view.preparation import preparation
from procedures_lib.view.uses import uses_of
from procedures_lib.view.visit import visit_table, way_lines
from procedures_lib.walk import walk
from procedures_lib.walk.open_items import open_items
from procedures_lib.walk.visit import combine
from procedures_lib.walk.way_back import ways_from

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
