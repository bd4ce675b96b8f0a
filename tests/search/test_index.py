"""The index and its files: hits gathered from pages, ids, tiers, shards, the same bytes."""

from __future__ import annotations

import json
import random
from dataclasses import replace

import pytest

from procedures_lib.fronts.search import FoundPage, Row, index_files, make_index
from procedures_lib.fronts.search.index import (
    MOST_CHARACTERS,
    PAGES_A_FILE,
    shard_name,
    shards_of,
)


def row(name: str, home: str, target: str = "", when: str = "") -> Row:
    """A fastener's row."""
    return Row("f", (home, name), name, target, strong=(name,), weak=("said",), when=when)


PAGES = [
    FoundPage("cars/hatch", "cars/hatch.html", "Hatch", "car",
              [row("bolts", "cars/hatch", "definition-bolts"), row("nuts", "cars/hatch")]),
    FoundPage("work/b", "work/b.html", "Work B", "procedure",
              [row("bolts", "cars/hatch", "fastener-bolts")]),
    FoundPage("work/a", "work/a.html", "Work A", "procedure",
              [row("bolts", "cars/hatch", "fastener-bolts"), row("clips", "work/a", "clips")]),
    FoundPage("guide", "guide.html", "Guide", "other", [row("words", "guide")]),
]  # fmt: skip


def test_a_page_says_which_car_it_is_about() -> None:
    pages = [
        FoundPage("work/b", "b.html", "B", "procedure", car="small-hatch"),
        FoundPage("work/a", "a.html", "A", "procedure", car="big-van"),
        FoundPage("guide", "guide.html", "Guide", "other"),
    ]
    start = json.loads(index_files(make_index(pages))["find/start.json"])
    assert start["cars"] == ["big-van", "small-hatch"]
    assert [page[4] for page in start["pages"]] == [0, 1, -1]


def ids_of(files: dict[str, str], term: str) -> dict[str, list[int]]:
    """The ids of a term by group, read as a page's script reads them."""
    for path, text in files.items():
        if path.startswith("find/terms/") and term in json.loads(text):
            groups = json.loads(text)[term]
            return {
                group: [sum(steps[: n + 1]) for n in range(len(steps))]
                for group, steps in groups.items()
            }
    return {}


def hit(files: dict[str, str], one: int) -> list[object]:
    """The hit with an id."""
    start = json.loads(files["find/start.json"])
    page, number = divmod(one, start["stride"])
    found: list[object] = rows_on(files, start["pages"][page][0])["rows"][number]
    return found


def rows_on(files: dict[str, str], name: str) -> dict[str, list[object]]:
    """The rows and the guests of a page."""
    start = json.loads(files["find/start.json"])
    page = [page[0] for page in start["pages"]].index(name)
    file, place = divmod(page, start["pagesAFile"])
    found: dict[str, list[object]] = json.loads(files[f"find/rows/{file}.json"])[place]
    return found


def test_one_thing_on_three_pages_is_one_hit_with_procedures_first() -> None:
    files = index_files(make_index(PAGES))
    groups = ids_of(files, "bolts")
    assert list(groups) == ["f0s"]
    (one,) = groups["f0s"]
    places = [["fastener-bolts", [0, 1]], ["definition-bolts", [2]]]
    assert hit(files, one) == ["f", "bolts", "", "", places]
    pages = json.loads(files["find/start.json"])["pages"]
    assert [page[0] for page in pages] == ["work/a", "work/b", "cars/hatch", "guide"]
    assert rows_on(files, "work/b")["guests"] == [one]
    assert rows_on(files, "cars/hatch")["guests"] == []


def test_a_place_in_a_list_of_tools_is_none_of_the_fastener() -> None:
    in_list = row("bolts", "cars/hatch")._replace(tool="tool-10-mm-socket")
    alone = row("rivets", "cars/hatch")._replace(tool="tool-10-mm-socket")
    pages = [
        replace(page, rows=[in_list, *page.rows, alone]) if page.name == "work/a" else page
        for page in PAGES
    ]
    files = index_files(make_index(pages))
    (one,) = ids_of(files, "bolts")["f0s"]
    places = [["fastener-bolts", [0, 1]], ["definition-bolts", [2]]]
    assert hit(files, one) == ["f", "bolts", "", "", places, {}, [["tool-10-mm-socket", [0]]]]
    assert ids_of(files, "rivets") == {}  # which stand on no page


def test_tiers_and_what_is_said_of_a_thing_have_groups_of_their_own() -> None:
    files = index_files(make_index(PAGES))
    assert list(ids_of(files, "nuts")) == ["f1s"]
    assert list(ids_of(files, "words")) == ["f2s"]
    assert {group: len(ids) for group, ids in ids_of(files, "said").items()} == {
        "f0w": 2, "f1w": 1, "f2w": 1
    }  # fmt: skip


def test_the_bytes_do_not_depend_on_the_order_of_pages() -> None:
    once = index_files(make_index(PAGES))
    shuffled = random.Random(7).sample(PAGES, len(PAGES))  # noqa: S311
    assert index_files(make_index(shuffled)) == once


def test_the_list_names_every_file_but_itself() -> None:
    files = index_files(make_index(PAGES))
    listed = json.loads(files["find/files.json"])["files"]
    assert set(listed) == set(files) - {"find/files.json"}


def test_an_empty_manual_has_an_index() -> None:
    files = index_files(make_index([]))
    assert json.loads(files["find/start.json"])["pages"] == []


def test_a_row_whose_home_is_gone_stays_on_its_own_page() -> None:
    page = FoundPage("work/a", "a.html", "A", "procedure", [row("bolts", "gone", "here")])
    files = index_files(make_index([page]))
    (one,) = ids_of(files, "bolts")["f0s"]
    assert hit(files, one)[4] == [["here", [0]]]


def test_shards_are_small_and_every_term_is_in_the_one_with_the_longest_beginning() -> None:
    terms = {f"{a}{b}{n}": {"f0s": [*range(n)]} for a in "ab" for b in "xyz" for n in range(150)}
    terms["a"] = {"f0s": [1]}
    shards = shards_of(terms)
    found = [term for text in shards.values() for term in json.loads(text)]
    assert sorted(found) == sorted(terms)
    assert max(map(len, shards.values())) <= MOST_CHARACTERS * 1.1
    for prefix, text in shards.items():
        for term in json.loads(text):
            fitting = [other for other in shards if term.startswith(other)]
            assert prefix == max(fitting, key=len)


@pytest.mark.parametrize(
    ("prefix", "name"), [("co", "co"), ("1/4", "1_2f_4"), ("45°", "45_b0_"), ("ж", "_436_")]
)
def test_names_of_shards_are_plain(prefix: str, name: str) -> None:
    assert shard_name(prefix) == name


def test_pages_share_files_of_rows() -> None:
    pages = [
        FoundPage(
            f"p{n:02}", f"p{n:02}.html", f"Page {n}", "procedure", [row(f"bolt{n}", f"p{n:02}")]
        )
        for n in range(PAGES_A_FILE * 2 + 1)
    ]
    files = index_files(make_index(pages))
    assert {path for path in files if path.startswith("find/rows/")} == {
        f"find/rows/{n}.json" for n in range(3)
    }
    for n in (0, PAGES_A_FILE - 1, PAGES_A_FILE, 2 * PAGES_A_FILE):
        (one,) = ids_of(files, f"bolt{n}")["f0s"]
        assert hit(files, one)[1] == f"bolt{n}"
