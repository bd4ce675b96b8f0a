"""What a change can touch: no finding outside it is other than it was."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from procedures_lib.judging.checks.mentions import touched
from procedures_lib.judging.checks.registry import check_alone
from procedures_lib.language.entities.builder import build
from procedures_lib.language.reading.reader import read_page
from procedures_lib.manual import Manual
from procedures_lib.manual.folder import page_names, read_contents
from procedures_lib.manual.shop import read_shop
from tests.helpers import manual_from, raw_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from procedures_lib.findings import Finding

PROJECT = Path(__file__).resolve().parents[2]
DOCS = PROJECT / "docs"
FOLDERS = {"vehicles", "kits", "procedures", "common", "jobs", "results"}

Texts = dict[str, str]


@cache
def demo() -> tuple[Manual, Texts]:
    """The demo's work pages, and their texts."""
    names = [name for name in page_names(DOCS) if name.partition("/")[0] in FOLDERS]
    shop, _ = read_shop(PROJECT / "conf" / "shop.toml")
    texts = {name: (DOCS / name).read_text("utf-8") for name in names}
    files = Manual.read(DOCS).files
    return Manual(read_contents(DOCS, names), shop, files), texts


def with_texts(manual: Manual, old: Texts, new: Texts) -> Manual:
    """A manual whose pages have other texts."""
    names = [name for name in new if new[name] != old.get(name)]
    contents = [build(read_page(new[name].encode(), name)) for name in names]
    return manual.with_pages(contents, gone=old.keys() - new.keys())


def said(manual: Manual, pages: set[str]) -> list[Finding]:
    """What the checks of single pages find on some of a manual's pages."""
    return [found for page in sorted(pages) for found in check_alone(manual, page)]


def drop_line(lines: list[str], at: int) -> None:
    del lines[at]


def double_line(lines: list[str], at: int) -> None:
    lines.insert(at, lines[at])


def change_digit(lines: list[str], at: int) -> None:
    lines[at] = re.sub(r"\d", lambda m: str((int(m[0]) + 3) % 10), lines[at], count=1)


def misspell(lines: list[str], at: int) -> None:
    lines[at] = re.sub(r"([a-z]{3})([a-z])", r"\1", lines[at], count=1)


def cut_rest(lines: list[str], at: int) -> None:
    del lines[at:]


LINE_EDITS: tuple[Callable[[list[str], int], None], ...] = (
    drop_line, double_line, change_digit, misspell, misspell, cut_rest,
)  # fmt: skip


def edit(texts: Texts, data: st.DataObject) -> Texts:
    """A page changed in a line or two, gone, moved, or there a second time."""
    name = data.draw(st.sampled_from(sorted(texts)))
    others = {other: text for other, text in texts.items() if other != name}
    kind = data.draw(st.sampled_from(["line"] * 8 + ["gone", "moved", "twice"]))
    if kind == "gone":
        return others
    if kind == "moved":
        return {**others, f"moved/{name.rpartition('/')[2]}": texts[name]}
    if kind == "twice":
        return {**texts, f"twice/{name.rpartition('/')[2]}": texts[name]}
    lines = texts[name].split("\n")
    change = data.draw(st.sampled_from(LINE_EDITS))
    change(lines, data.draw(st.integers(0, len(lines) - 1)))
    return {**texts, name: "\n".join(lines)}


@settings(max_examples=12, deadline=None)
@given(data=st.data())
def test_what_is_not_touched_says_what_it_said(data: st.DataObject) -> None:
    manual, texts = demo()
    before = edit(texts, data) if data.draw(st.booleans()) else texts
    after = edit(before, data)
    old = with_texts(manual, texts, before)
    new = with_texts(old, before, after)
    changed = {n for n in before.keys() | after.keys() if before.get(n) != after.get(n)}
    pages = touched(old, new, changed)
    rest = new.contents.keys() - pages
    assert said(new, rest) == (said(old, rest) if before != texts else [])
    assert changed & new.contents.keys() <= pages


CAR = """
    ```{vehicle} finch
    name: Finch
    ```
    ```{parts}
    lid: {name: Lid, held-by: lid-screws}
    ```
    ```{fasteners}
    lid-screws: {kind: screw, count: 4, tighten: 2 N·m, source: Sheet 1}
    ```
    """
KIT = """
    ```{kit} tf-1
    name: Kit
    fits: {vehicle: finch}
    contents:
      - {supply: Rag, number: TF-1}
    ```
    """
WORK = """
    # Wipe the lid

    ```{procedure} wipe
    vehicle: finch
    kit: tf-1
    revision: A
    ```
    """
LOOK = """
    # Look at the lid

    ```{procedure} look
    vehicle: finch
    revision: A
    ```
    """
OTHER = """
    # Weigh

    ```{vehicle} drover
    name: Drover
    ```
    ```{procedure} weigh
    vehicle: drover
    revision: A
    ```
    """
JOB = """
    # Visit

    ```{job} visit
    vehicle: finch
    procedures: [look]
    ```
    """
PAGES = {
    "car.md": CAR,
    "guide.md": "# Guide\n",
    "job.md": JOB,
    "kit.md": KIT,
    "look.md": LOOK,
    "other.md": OTHER,
    "wipe.md": WORK,
}


@pytest.mark.parametrize(
    ("changed", "pages"),
    [
        ("guide.md", {"guide.md"}),
        ("car.md", {"car.md", "job.md", "kit.md", "look.md", "wipe.md"}),
        ("kit.md", {"kit.md", "wipe.md"}),
        ("wipe.md", {"kit.md", "wipe.md"}),
        ("look.md", {"job.md", "look.md"}),
        ("job.md", {"job.md"}),
        ("other.md", {"other.md"}),
    ],
)
def test_a_page_touches_those_that_lean_on_it(changed: str, pages: set[str]) -> None:
    new = manual_from({**PAGES, changed: raw_of(PAGES[changed]) + b"\nOne more line.\n"})
    assert touched(manual_from(PAGES), new, {changed}) == pages


def test_a_common_page_touches_all() -> None:
    common = {"common.md": "# C\n\n```{common} wait\n```\n"}
    old, new = manual_from({**PAGES, **common}), manual_from({**PAGES, "common.md": "# D\n"})
    assert touched(old, new, {"common.md"}) == set(new.contents)


def test_a_kit_that_is_gone_touches_who_names_it() -> None:
    without = {name: text for name, text in PAGES.items() if name != "kit.md"}
    assert "wipe.md" in touched(manual_from(PAGES), manual_from(without), {"kit.md"})


def test_a_head_in_two_places_touches_both() -> None:
    twice = {"again.md": LOOK, **PAGES}
    assert touched(manual_from(PAGES), manual_from(twice), {"again.md"}) >= {"again.md", "look.md"}


def test_a_data_file_touches_the_session_that_names_it() -> None:
    manual, texts = demo()
    sessions = {name for name in texts if ".csv" in texts[name]}
    assert sessions
    for name in sessions:
        pull = re.search(r"pull: ([^,}]+\.csv)", texts[name])
        assert pull
        path = f"{name.rpartition('/')[0]}/{pull[1]}"
        assert name in touched(manual, manual, {path})
        assert touched(manual, manual, {path}) <= sessions
