"""The files beside the pages that programs read, and the data in the pages' heads."""

from __future__ import annotations

import csv
import json
from html.parser import HTMLParser
from typing import TYPE_CHECKING

import pytest
from jsonschema import Draft202012Validator

from tests.paper.pdf_text import pages_of
from tests.site.building import PROCEDURE, SmallManual

if TYPE_CHECKING:
    from pathlib import Path

FILES = ["lift-cover-parts.csv", "lift-cover-torque.csv", "lift-cover.json"]
PARTS = "\n```{parts-list}\n```\n"


class Head(HTMLParser):
    """The JSON-LD of a page and the addresses of its links."""

    def __init__(self) -> None:
        super().__init__()
        self.data: list[str] = []
        self.links: dict[str, str] = {}
        self._inside = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = dict(attrs)
        self._inside = tag == "script" and found.get("type") == "application/ld+json"
        if tag == "link" and found.get("rel") == "alternate":
            self.links[str(found["type"])] = str(found["href"])

    def handle_data(self, data: str) -> None:
        if self._inside:
            self.data.append(data)

    def handle_endtag(self, tag: str) -> None:
        del tag
        self._inside = False


@pytest.fixture
def small(tmp_path: Path) -> SmallManual:
    return SmallManual(tmp_path / "manual")


def head_of(page: str) -> Head:
    head = Head()
    head.feed(page)
    return head


def made(html: Path) -> list[str]:
    return sorted(
        path.name
        for path in html.iterdir()
        if path.suffix in {".csv", ".json"} and path.name != "procedures.json"
    )


def test_json_beside_the_page_by_the_published_schema(small: SmallManual) -> None:
    html = small.build(fatal=True).html
    schema = json.loads((html / "schema" / "procedure-export.json").read_text("utf-8"))
    value = json.loads((html / "lift-cover.json").read_text("utf-8"))
    Draft202012Validator(schema).validate(value)
    assert value["joints"][0]["stages"][0]["N_m"] == {"low": 10.0, "high": 10.0}


def test_csv_of_the_tables_beside_the_page(small: SmallManual) -> None:
    html = small.build().html
    with (html / "lift-cover-torque.csv").open(encoding="utf-8", newline="") as file:
        [row] = csv.DictReader(file)
    assert (row["fastener"], row["N·m"], row["lbf·in"]) == ("Cover bolts", "10 N·m", "89 lbf·in")


def test_the_tables_link_to_their_files(small: SmallManual) -> None:
    small.write("work/lift-cover-too.md", PROCEDURE.replace("lift-cover", "lift-too") + PARTS)
    built = small.build()
    assert '<a href="lift-cover-torque.csv" download>' in built.page("lift-cover")
    page = built.page("work/lift-cover-too")
    assert '<a href="lift-cover-too-torque.csv" download>' in page
    assert '<a href="lift-cover-too-parts.csv" download>' in page
    assert (built.html / "work" / "lift-cover-too-parts.csv").is_file()


def test_a_table_on_another_page_links_to_the_file_beside_the_procedure(small: SmallManual) -> None:
    small.write("work/about.md", "# About\n\n```{torque-table} lift-cover\n```\n")
    assert '<a href="../lift-cover-torque.csv" download>' in small.build().page("work/about")


def test_a_table_of_some_cars_has_no_link(small: SmallManual) -> None:
    small.write(
        "about.md", "# About\n\n```{torque-table} lift-cover\n:when: transmission=manual\n```\n"
    )
    assert "download" not in small.build().page("about")


def test_the_head_has_the_how_to_and_a_link_to_the_json(small: SmallManual) -> None:
    built = small.build()
    head = head_of(built.page("lift-cover"))
    [text] = head.data
    value = json.loads(text)
    assert (value["@type"], value["name"], len(value["step"])) == ("HowTo", "Lift the cover", 2)
    assert head.links == {"application/json": "lift-cover.json"}
    assert head_of(built.page("hatch")).data == []


def test_no_title_ends_the_script(small: SmallManual) -> None:
    hostile = "Lift </script><script>alert(1)</script> <!-- it"
    small.change("lift-cover.md", "revision: A", f"revision: A\ntitle: '{hostile}'")
    page = small.build().page("lift-cover")
    [text] = head_of(page).data
    assert json.loads(text)["name"] == hostile
    assert "<script>alert" not in page


def test_the_index_lists_every_procedure(small: SmallManual) -> None:
    html = small.build().html
    index = json.loads((html / "procedures.json").read_text("utf-8"))
    [listed] = index["procedures"]
    assert listed["procedure"] == "lift-cover"
    for key in ("page", "json", "torque_csv", "parts_csv"):
        assert (html / listed[key]).is_file()
    assert (html / index["schema"]).is_file()


@pytest.mark.parametrize("jobs", [1, 2])
def test_what_is_shown_of_other_pages_changes_the_files(small: SmallManual, jobs: int) -> None:
    for n in range(6):
        small.write(f"other-{n}.md", f"# Other {n}\n")
    small.build(jobs)
    small.change("hatch.md", "condition: dry\n  tighten: [10 N·m]",
                 "condition: oiled\n  tighten: [12 N·m]")  # fmt: skip
    html = small.build(jobs).html
    [joint] = json.loads((html / "lift-cover.json").read_text("utf-8"))["joints"]
    assert (joint["condition"], joint["stages"][0]["amount"]["low"]) == ("oiled", 12)
    assert "12 N·m" in (html / "lift-cover-torque.csv").read_text("utf-8")


def test_a_change_that_no_block_of_the_page_shows_reaches_the_json(small: SmallManual) -> None:
    bare = PROCEDURE.replace("```{torque-table}\n```\n", "").replace("```{preparation}\n```\n", "")
    small.write("lift-cover.md", bare)
    small.build()
    small.change("hatch.md", "source: sheet 1", "source: sheet 2")
    html = small.build().html
    assert (
        json.loads((html / "lift-cover.json").read_text("utf-8"))["joints"][0]["source"]
        == "sheet 2"
    )


def test_a_page_that_shows_nothing_of_a_change_keeps_its_files(small: SmallManual) -> None:
    html = small.build().html
    before = [(html / name).stat().st_mtime_ns for name in FILES]
    small.change("hatch.md", "Other bolts", "Further bolts")
    small.build()
    assert [(html / name).stat().st_mtime_ns for name in FILES] == before


def test_files_go_with_their_page(small: SmallManual) -> None:
    html = small.build().html
    assert made(html) == FILES
    (small.root / "docs" / "lift-cover.md").unlink()
    assert made(small.build().html) == []


def test_files_go_with_their_head(small: SmallManual) -> None:
    small.build()
    small.write("lift-cover.md", "# No procedure any more\n")
    assert made(small.build().html) == []


def test_another_kind_of_output_first(small: SmallManual) -> None:
    text = small.build(builder="text").html
    assert made(text) == []
    assert made(small.build().html) == FILES


def test_the_same_pages_give_the_same_bytes(tmp_path: Path) -> None:
    one, two = SmallManual(tmp_path / "one").build(), SmallManual(tmp_path / "two").build()
    for name in (*FILES, "procedures.json", "schema/procedure-export.json"):
        assert (one.html / name).read_bytes() == (two.html / name).read_bytes()


def test_each_car_has_a_card_with_its_own_steps(tmp_path: Path) -> None:
    small = SmallManual(tmp_path)
    small.change(
        "lift-cover.md",
        ":::{step} Put the cover back",
        ":::{step} Look at the cable\n:do: inspect cable\n:when: transmission=manual\nSo.\n:::\n\n"
        ":::{step} Put the cover back",
    )
    conf = small.root / "conf" / "conf.py"
    conf.write_text(conf.read_text("utf-8") + "procedures_cards = True\n", "utf-8")
    built = small.build(fatal=True)
    names = {
        value: f"lift-cover--for--transmission-{value}.pdf" for value in ("manual", "automatic")
    }
    assert {pdf.name for pdf in built.html.glob("*.pdf")} == {"lift-cover.pdf", *names.values()}
    texts = {value: " ".join(pages_of((built.html / names[value]).read_bytes())) for value in names}
    assert "Look at the cable" in texts["manual"]
    assert "Look at the cable" not in texts["automatic"]
    assert 'href="lift-cover.pdf" data-card-options="transmission">' in built.page("lift-cover")


def test_cards_only_where_they_are_asked_for(tmp_path: Path) -> None:
    plain, asked = SmallManual(tmp_path / "plain"), SmallManual(tmp_path / "asked")
    conf = asked.root / "conf" / "conf.py"
    conf.write_text(conf.read_text("utf-8") + "procedures_cards = True\n", "utf-8")
    assert list(plain.build().html.glob("*.pdf")) == []
    built = asked.build(fatal=True)
    [pdf] = built.html.glob("*.pdf")
    assert pdf.name == "lift-cover.pdf"
    assert "Lift the cover" in pages_of(pdf.read_bytes())[0]
    assert '<a href="lift-cover.pdf">Job card to print</a>' in built.page("lift-cover")
    conf.write_text(conf.read_text("utf-8").replace("True", "False"), "utf-8")
    again = asked.build()
    assert "lift-cover.pdf" not in again.page("lift-cover")
    assert list(again.html.glob("*.pdf")) == []
