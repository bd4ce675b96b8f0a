"""The demo manual: clean, complete, and using every word of the page language."""

from __future__ import annotations

from pathlib import Path

import pytest

from procedures_lib.engineering.tightening import StageKind
from procedures_lib.judging.checks import check_manual
from procedures_lib.judging.witness import numbers_on
from procedures_lib.language.entities.car import Vehicle
from procedures_lib.language.entities.hazard import BUILTIN_HAZARDS
from procedures_lib.language.entities.verbs import VERBS
from procedures_lib.language.entities.work import Common, Job, Procedure
from procedures_lib.language.reading.block_kinds import BLOCK_KINDS, ROLE_NAMES
from procedures_lib.manual import Manual
from procedures_lib.manual.shop import read_shop
from procedures_lib.view.step import hazards_met
from procedures_lib.view.uses import uses_of

PROJECT = Path(__file__).resolve().parents[1]


@pytest.fixture(scope="module")
def manual() -> Manual:
    shop, findings = read_shop(PROJECT / "conf" / "shop.toml")
    assert findings == []
    return Manual.read(PROJECT / "docs", shop)


def test_nothing_is_found(manual: Manual) -> None:
    assert [finding.text() for finding in check_manual(manual)] == []


def test_each_number_stands_a_second_time(manual: Manual) -> None:
    numbers = [number for page in manual.contents for number in numbers_on(manual, page)]
    assert len(numbers) > 900
    assert [f"{n.place} {n.name}" for n in numbers if n.witness != "double entry"] == []


def test_there_are_enough_pages(manual: Manual) -> None:
    assert len(manual.heads(Vehicle)) == 2
    assert len(manual.heads(Procedure)) >= 8
    assert len(manual.heads(Common)) >= 2
    assert len(manual.heads(Job)) >= 2


def test_procedures_are_whole(manual: Manual) -> None:
    for plan in manual.plans():
        least = 20 if plan.kit else 4
        assert len(plan.steps) >= (10 if plan.head.id.startswith("load-") else least), plan.head.id
        assert plan.content.expects or plan.head.id.startswith("load-"), plan.head.id


def test_every_block_is_used(manual: Manual) -> None:
    used = {block.name for content in manual.contents.values() for block in content.page.walk()}
    assert set(BLOCK_KINDS) - used == set()


def test_every_verb_is_used(manual: Manual) -> None:
    used = {str(a.verb) for plan in manual.plans() for n in plan.steps for a in n.step.actions}
    assert used == set(VERBS)


def test_every_built_in_hazard_is_met(manual: Manual) -> None:
    met = {each.hazard.id for plan in manual.plans() for each in hazards_met(uses_of(plan))}
    assert met >= set(BUILTIN_HAZARDS)


def test_every_role_is_used(manual: Manual) -> None:
    used = {
        role.name
        for plan in manual.plans()
        for block in plan.content.page.walk()
        for role in block.roles
    }
    assert used >= set(ROLE_NAMES)


def test_every_kind_of_stage_is_used(manual: Manual) -> None:
    kinds = {
        stage.kind
        for content in manual.contents.values()
        for entity in content.entities
        for stage in getattr(entity, "tighten", ())
    }
    assert kinds == set(StageKind)
