"""docs/checks: a page for every check, with both its examples, and lists that equal the catalogue.

``python -m tests.checks.test_check_pages`` writes the lists anew and names the pages that lack.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from procedures_lib.judging.checks.catalogue import CATALOGUE, FAMILIES
from procedures_lib.language.entities.builder import build
from procedures_lib.language.reading.reader import read_page

if TYPE_CHECKING:
    from procedures_lib.language.entities.work import Content, Sample

FOLDER = Path(__file__).resolve().parents[2] / "docs" / "checks"
INDEX = FOLDER / "index.md"
WHY, FAILS, RIGHT = "Why it matters", "An example that fails", "The same, put right"

UNSHOWN = {
    "unreadable-page": "it is found in bytes and files, and a sample is text on a readable page",
    "foreign-file": "it is found in the folder, and a sample is a page",
    "endless-contents": "it takes two pages, and a sample is one",
    "not-in-contents": "it takes two pages, and a sample is one",
    "block-missing": "it takes five pages, and a sample is one",
    "no-wrench": "the wrenches stand in the shop's file, and a sample is a page",
    "wrench-out-of-date": "the wrenches stand in the shop's file, and a sample is a page",
    "no-witness": "the shop's file says what must have one, and a sample is a page",
}
"""Checks that no sample can give, each with the reason; a test of its own stands in."""

BESIDE = {
    "unused-entity": ("unknown-id", "the car has to stand on another page, and a sample is one"),
}
"""Checks whose samples can't help giving another finding as well, with the reason."""


def heading(family: str) -> str:
    return f"## {family.capitalize()}"


def table(family: str) -> list[str]:
    """The list of one family, as the lines of a Markdown table."""
    checks = [check for check in CATALOGUE.values() if check.family == family]
    rows = []
    for check in checks:
        finds = check.finds.replace("|", "\\|")
        rows.append(f"| [`{check.name}`]({check.name}.md) | {finds} | {check.level} |")
    return ["| check | finds | level |", "|---|---|---|", *rows]


def sections(text: str) -> dict[str, list[str]]:
    """The lines of the page below each second-level heading; what stands above all, under ""."""
    found: dict[str, list[str]] = {"": []}
    name = ""
    for line in text.splitlines():
        if line.startswith("## "):
            name = line
            assert name not in found, f"{name} stands twice"
            found[name] = []
        else:
            found[name].append(line)
    return found


def rewritten(text: str) -> str:
    """The index with every family's table as the catalogue has it, below its sentence."""
    lines = []
    for name, body in sections(text).items():
        family = name.removeprefix("## ").lower()
        if name:
            lines.append(name)
        if family not in FAMILIES:
            lines += body
            continue
        at = next((n for n, line in enumerate(body) if line.startswith("```")), len(body))
        above = "\n".join(line for line in body[:at] if not line.startswith("|")).strip()
        lines += ["", *above.splitlines(), "", *table(family), "", *body[at:]]
    return "\n".join(lines).rstrip("\n") + "\n"


def content_of(name: str) -> Content:
    path = FOLDER / f"{name}.md"
    assert path.is_file(), f"write docs/checks/{name}.md"
    return build(read_page(path.read_bytes(), f"checks/{name}.md"))


def samples_below(content: Content, title: str) -> list[Sample]:
    """The samples of the page that stand under one heading."""
    places = {section.title: section.line for section in content.page.sections}
    after = [line for line in places.values() if line > places[title]]
    last = min(after, default=10**9)
    return [s for s in content.samples if places[title] < s.block.place.line < last]


def test_every_family_has_its_list() -> None:
    found = sections(INDEX.read_text("utf-8"))
    for family in FAMILIES:
        assert heading(family) in found, f"docs/checks/index.md lacks {heading(family)}"
        listed = [line for line in found[heading(family)] if line.startswith("|")]
        assert listed == table(family), "run: python -m tests.checks.test_check_pages"


def test_every_family_is_introduced() -> None:
    found = sections(INDEX.read_text("utf-8"))
    for family in FAMILIES:
        first = next(line for line in found[heading(family)] if line)
        assert not first.startswith("|"), f"say in a sentence what {family} looks for"


def test_every_check_belongs_to_a_family() -> None:
    assert {check.family for check in CATALOGUE.values()} == set(FAMILIES)


def test_every_check_has_its_page_and_every_page_its_check() -> None:
    pages = {path.stem for path in FOLDER.glob("*.md")} - {"index"}
    assert pages == set(CATALOGUE)


@pytest.mark.parametrize("name", CATALOGUE)
def test_a_page_is_built_like_the_others(name: str) -> None:
    page = content_of(name).page
    assert page.title == name
    assert [s.title for s in page.sections] == [name, WHY, FAILS, RIGHT]
    opening = " ".join(sections((FOLDER / f"{name}.md").read_text("utf-8"))[""][1:]).strip()
    assert opening.startswith("Finds "), "begin with one sentence: Finds …"
    assert opening.endswith(".")


@pytest.mark.parametrize("name", sorted(CATALOGUE.keys() - UNSHOWN.keys()))
def test_a_page_shows_what_fails_and_the_same_put_right(name: str) -> None:
    content = content_of(name)
    beside = {BESIDE[name][0]} if name in BESIDE else set()
    failing, right = samples_below(content, FAILS), samples_below(content, RIGHT)
    assert failing, "show a page that fails"
    assert right, "show it put right"
    for sample in failing:
        assert set(map(str, sample.options.finds)) == {name} | beside
    for sample in right:
        assert set(map(str, sample.options.finds)) == beside
    pages = [read_page(s.block.body.encode(), "sample.md") for s in (failing[0], right[0])]
    assert pages[0].title == pages[1].title, "put the same page right"
    assert failing[0].block.body != right[0].block.body


def test_exceptions_are_exceptions_to_something() -> None:
    for name in (*UNSHOWN, *BESIDE):
        assert name in CATALOGUE
    for name in UNSHOWN:
        assert not content_of(name).samples


def test_the_unreadable_page_says_what_the_check_says() -> None:
    raw = "# Tarrow Finch\n\nTurn by 45°.\n".encode("cp1252")
    found = read_page(raw, "vehicles/finch.md").findings
    assert [finding.check for finding in found] == ["unreadable-page"]
    shown = [fence.text for fence in content_of("unreadable-page").page.fences]
    assert shown == [f"{found[0].text()}\n    {found[0].hint}\n"]


def test_a_table_is_replaced_and_all_else_kept() -> None:
    family = FAMILIES[-1]
    text = f"# Checks\n\nA.\n\n{heading(family)}\n\nB.\n\n| old |\n\n```text\n| c |\n```\n"
    listed = "\n".join(table(family))
    assert rewritten(text) == (
        f"# Checks\n\nA.\n\n{heading(family)}\n\nB.\n\n{listed}\n\n```text\n| c |\n```\n"
    )


def main() -> None:
    """Write the lists anew, and name what is still to be written by hand."""
    text = INDEX.read_text("utf-8")
    INDEX.write_text(rewritten(text), "utf-8")
    for family in FAMILIES:
        if heading(family) not in sections(text):
            print(f"docs/checks/index.md: add {heading(family)} with a sentence, then run again")
    for name in CATALOGUE:
        if not (FOLDER / f"{name}.md").is_file():
            print(f"docs/checks/{name}.md: not written yet")


if __name__ == "__main__":
    main()
