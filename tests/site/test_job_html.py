"""What pages tell their scripts: the car, the procedure, each step, each reading; all escaped."""

from __future__ import annotations

import json
import re
from html import unescape
from html.parser import HTMLParser
from typing import TYPE_CHECKING, Any

import pytest

from tests.site.building import PROCEDURE, VEHICLE, SmallManual

if TYPE_CHECKING:
    from pathlib import Path

    from tests.site.building import Built


class Marks(HTMLParser):
    """The attributes of every element that has one of these, in order."""

    def __init__(self, attribute: str) -> None:
        super().__init__()
        self.attribute = attribute
        self.found: list[dict[str, str]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {key: value or "" for key, value in attrs}
        if self.attribute in given:
            self.found.append(given)


def marked(built: Built, page: str, attribute: str) -> list[dict[str, str]]:
    marks = Marks(attribute)
    marks.feed(built.page(page))
    return marks.found


@pytest.fixture
def manual(tmp_path: Path) -> SmallManual:
    return SmallManual(tmp_path)


def test_pages_of_a_vehicle_name_it_with_its_options(manual: SmallManual) -> None:
    built = manual.build()
    for page in ("hatch", "lift-cover"):
        (car,) = marked(built, page, "data-vehicle")
        assert (car["data-vehicle"], car["data-car"]) == ("hatch", "Small hatch")
        assert json.loads(car["data-options"]) == [
            ["transmission", "Transmission", ["manual", "automatic"]]
        ]
    assert [car["class"] for car in marked(built, "index", "data-vehicle")] == ["car"]


def test_a_procedure_names_its_revision_and_steps_have_lasting_names(manual: SmallManual) -> None:
    built = manual.build()
    (head,) = marked(built, "lift-cover", "data-procedure")
    assert (head["data-procedure"], head["data-revision"]) == ("lift-cover", "A")
    assert re.fullmatch(r"[0-9a-f]{16}", head["data-digest"])
    steps = marked(built, "lift-cover", "data-key")
    assert [step["data-key"] for step in steps] == ["take-the-cover-off", "put-the-cover-back"]
    assert all("data-open" in step for step in steps)


def readings(built: Built) -> list[Any]:
    return [
        json.loads(each["data-readings"]) for each in marked(built, "lift-cover", "data-readings")
    ]


def test_readings_are_asked_for_where_the_joint_is_tightened(manual: SmallManual) -> None:
    ((reading,),) = readings(manual.build())
    assert (reading["joint"], reading["stage"], reading["unit"]) == ("cover-bolts", 1, "N·m")
    assert unescape(reading["text"]) == "10\N{NO-BREAK SPACE}N·m (89\N{NO-BREAK SPACE}lbf·in)"
    assert reading["limits"]["N·m"] == [9.4, 10.6]


def test_a_torque_changed_on_the_cars_page_reaches_the_procedures(manual: SmallManual) -> None:
    before = manual.build()
    digests = [s["data-digest"] for s in marked(before, "lift-cover", "data-digest")]
    manual.change("hatch.md", "tighten: [10 N·m]", "tighten: [9 N·m]")
    after = manual.build()
    now = [s["data-digest"] for s in marked(after, "lift-cover", "data-digest")]
    assert "lift-cover" in after.read
    assert [a == b for a, b in zip(digests, now, strict=True)] == [False, True, False]
    assert readings(after)[0][0]["limits"]["N·m"] == [8.46, 9.54]


def test_what_is_not_known_to_be_open_is_not_said_to_be(manual: SmallManual) -> None:
    manual.change("lift-cover.md", "  - fit cover\n", "  - fit covver\n")
    steps = marked(manual.build(), "lift-cover", "data-key")
    assert not any("data-open" in step for step in steps)


def test_hostile_names_stay_in_their_attributes(manual: SmallManual) -> None:
    evil = "\"'><script>alert(1)</script>"
    manual.write("hatch.md", VEHICLE.replace("name: Cover bolts", f"name: {json.dumps(evil)}"))
    manual.write("lift-cover.md", PROCEDURE.replace("Take the cover off", f"Off {evil}"))
    built = manual.build()
    assert "<script>alert" not in built.page("lift-cover")
    assert readings(built)[0][0]["name"] == evil


def test_an_object_of_some_cars_can_be_left_out_by_itself(manual: SmallManual) -> None:
    clip = "clip: {name: Clip, kind: clip, when: transmission=manual}\n"
    manual.change("hatch.md", "other-bolts:", f"{clip}other-bolts:")
    manual.change(
        "lift-cover.md", ":do: remove cover-bolts, cover", ":do: remove cover-bolts, clip, cover"
    )
    html = manual.build().page("lift-cover")
    assert '<span class="object" data-when="transmission=manual">' in html
    assert html.count('<span class="comma">, </span>') == 2


def test_the_schema_of_records_is_on_the_site(manual: SmallManual) -> None:
    schema = json.loads((manual.build().html / "schema" / "record.json").read_text("utf-8"))
    assert schema["title"] == "The record of a job"
