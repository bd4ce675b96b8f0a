"""The HowTo of a procedure: terms and values of schema.org, safe inside a ``script`` element."""

from __future__ import annotations

import csv
import datetime
import json
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from pydantic import TypeAdapter

from procedures_lib.fronts.formats.how_to import how_to, iso_duration, script_text
from procedures_lib.language.entities.work import Procedure
from procedures_lib.view.preparation import preparation
from procedures_lib.view.uses import uses_of
from tests.demo import demo, demo_plan
from tests.helpers import manual_from
from tests.mule import PAGES

with Path(__file__).with_name("howto_terms.csv").open(encoding="utf-8", newline="") as _file:
    TERMS = {(row["type"], row["property"]): row["values"] for row in csv.DictReader(_file)}
ALL = [head.id for head in demo().heads(Procedure)]
DURATION = TypeAdapter(datetime.timedelta)  # reads ISO 8601


def values_of(value: dict[str, Any]) -> list[tuple[str, str, Any]]:
    """Every (type, property, value) of a thing and of the things inside it."""
    found = []
    for key, inner in value.items():
        for each in inner if isinstance(inner, list) else [inner]:
            if not key.startswith("@"):
                found.append((value["@type"], key, each))
            if isinstance(each, dict):
                found += values_of(each)
    return found


def has_type(value: Any, wanted: str) -> bool:
    if isinstance(value, dict):
        return bool(value["@type"] == wanted)
    if wanted == "Integer":
        return isinstance(value, int)
    if not isinstance(value, str) or not value:
        return False
    if wanted == "Date":
        return bool(datetime.date.fromisoformat(value))
    if wanted == "Duration":
        return DURATION.validate_python(value) > datetime.timedelta(0)
    return wanted in {"Text", "URL"}


@pytest.mark.parametrize("name", ALL)
def test_every_term_is_one_of_schema_org_for_its_type(name: str) -> None:
    value = how_to(demo(), demo_plan(name))
    assert (value["@context"], value["@type"]) == ("https://schema.org", "HowTo")
    for kind, term, each in values_of(value):
        assert has_type(each, TERMS[kind, term]), (kind, term, each)


def test_all_terms_of_the_table_are_used() -> None:
    used = {
        (kind, term) for name in ALL for kind, term, _ in values_of(how_to(demo(), demo_plan(name)))
    }
    assert used == set(TERMS)


@pytest.mark.parametrize("name", ALL)
def test_steps_stand_in_order_with_the_links_of_the_page(name: str) -> None:
    plan = demo_plan(name)
    steps = how_to(demo(), plan)["step"]
    assert [step["position"] for step in steps] == [n.number for n in plan.steps]
    assert [step["url"] for step in steps] == [f"#step-{n.number}" for n in plan.steps]
    assert [step["name"] for step in steps] == [n.step.title for n in plan.steps]


def test_a_step_says_its_torques_and_its_cars() -> None:
    steps = how_to(demo(), demo_plan("fit-tf-220"))["step"]
    assert "Tighten 4 × Cooler bracket bolts: 45 N·m (33 lbf·ft)." in steps[15]["text"]
    assert steps[6]["text"].startswith("Only for cars with tow-eye=fitted. ")


@pytest.mark.parametrize("name", ALL)
def test_the_time_is_that_of_the_page(name: str) -> None:
    plan = demo_plan(name)
    value = how_to(demo(), plan)
    prepared = preparation(uses_of(plan), demo().shop)
    timed = prepared.timed == prepared.steps
    assert ("totalTime" in value) == timed
    if timed:
        assert DURATION.validate_python(value["totalTime"]).total_seconds() == prepared.seconds


def test_no_time_is_said_when_a_step_says_none() -> None:
    manual = manual_from(PAGES)
    plan = manual.plan_of_page("procedures/renew-cover.md")
    assert plan is not None
    assert "totalTime" not in how_to(manual, plan)


@pytest.mark.parametrize("seconds", [0, 1, 59, 60, 61, 3599, 3600, 3661, 86400, 100_000, 359_999])
def test_durations_are_read_back_by_another_reader(seconds: int) -> None:
    assert DURATION.validate_python(iso_duration(seconds)).total_seconds() == seconds


class Scripts(HTMLParser):
    """The scripts of a page, and the elements that stand outside of them."""

    def __init__(self) -> None:
        super().__init__()
        self.elements: list[str] = []
        self.text: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        del attrs
        self.elements.append(tag)

    def handle_data(self, data: str) -> None:
        self.text.append(data)


@pytest.mark.parametrize(
    "text",
    ["</script><img src=x onerror=alert(1)>", "<!-- <script>", "]]>", "&lt;/script&gt; &amp;",
     "</SCRIPT\t>", "\u2028\u2029", '"\\', "½ °"],
)  # fmt: skip
def test_no_text_ends_the_script_element(text: str) -> None:
    written = script_text({"name": text})
    page = Scripts()
    page.feed(f'<script type="application/ld+json">{written}</script>')
    page.close()
    assert page.elements == ["script"]
    assert json.loads("".join(page.text)) == {"name": text}
    assert not set(written) & set("<>&\u2028\u2029")
