"""All that the library makes of a page, made: whatever stands there, none of it may raise."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from procedures_lib.engineering.tightening.verdict_words import note_rows, note_summary, stress_rows
from procedures_lib.fronts.formats import csv_text, plain_text, table_json
from procedures_lib.fronts.formats.dyno_json import gain_json
from procedures_lib.fronts.formats.how_to import how_to, script_text
from procedures_lib.fronts.formats.procedure_files import procedure_files
from procedures_lib.fronts.paper.card import make_card
from procedures_lib.fronts.search import FoundPage, index_files, make_index, rows_of_page
from procedures_lib.fronts.site.order_figure import order_svg
from procedures_lib.fronts.tables.definitions import definition_table, expect_table
from procedures_lib.fronts.tables.gain_report import gain_report
from procedures_lib.fronts.tables.procedure_tables import (
    TABLES,
    car_facts,
    check_in_table,
    handover_lines,
    make_table,
    supply_text,
    table_of_tests,
    tight_table,
    visit_table,
    way_lines,
)
from procedures_lib.fronts.tables.words import (
    recheck_text,
    stages_text,
    text_alternative,
    tight_text,
    work_facts,
    wrench_rows,
)
from procedures_lib.judging.checks.walks import can_walk
from procedures_lib.language.entities.builder import COLLECTIONS
from procedures_lib.language.entities.car import Fastener
from procedures_lib.language.entities.dyno_session import DynoSession
from procedures_lib.language.entities.work import Common, Job, Procedure
from procedures_lib.language.variants import ALWAYS
from procedures_lib.manual.names import name_of
from procedures_lib.view.closing import closing, handover
from procedures_lib.view.joint import verdict_on
from procedures_lib.view.order_drawing import patterns_of
from procedures_lib.view.preparation import preparation
from procedures_lib.view.uses import Uses, uses_of
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
            yield from _of_fastener(entity, name_of(entity, scope), manual)


def _of_fastener(fastener: Fastener, name: str, manual: Manual) -> Iterator[str]:
    yield f"{fastener.how_tight} {fastener.how_tight.written()} {tight_text(fastener)}"
    for each in fastener.variants if fastener.varies else ():
        yield from _of_fastener(each, name, manual)
    verdict = verdict_on(fastener)
    if verdict is not None:
        yield f"{note_summary(verdict)} {note_rows(verdict)} {stress_rows(verdict)}"
    yield f"{wrench_rows(fastener, manual.shop)}"
    for pattern, stages in patterns_of(fastener, name) if fastener.positions else ():
        text = stages_text(fastener.tighten[n - 1] for n in stages)
        yield order_svg(pattern) + text_alternative(pattern) + text


def _of_uses(manual: Manual, uses: Uses) -> Iterator[str]:
    for name in TABLES:
        table = make_table(name, uses, manual.shop)
        yield plain_text(table, 60) + csv_text(table)
        yield json.dumps(table_json(name, uses, manual.shop), allow_nan=False)
    ready, last = preparation(uses, manual.shop), closing(uses)
    yield f"{car_facts(ready)} {work_facts(ready)} {[*map(supply_text, ready.supplies)]}"
    yield csv_text(check_in_table(ready.check_in))
    yield csv_text(tight_table(last)) + csv_text(table_of_tests(last))
    yield f"{[*map(recheck_text, last.rechecks)]} {handover_lines(handover(uses))}"
    yield from procedure_files(manual, uses).values()


def _of_plan(manual: Manual, plan: Plan) -> Iterator[str]:
    yield from _of_uses(manual, uses_of(plan))
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
