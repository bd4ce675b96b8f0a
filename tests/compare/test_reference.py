"""The page on comparing shows what is really printed, and explains every finding."""

from __future__ import annotations

from pathlib import Path

from procedures_lib.judging.compare import Group, Harm, compare
from procedures_lib.judging.compare.report import FIRST, json_report, text_report
from procedures_lib.judging.compare.review import REVIEW
from procedures_lib.language.entities.builder import build
from procedures_lib.language.reading.reader import read_page
from procedures_lib.manual import Manual
from tests.compare.small import BOX, after, plain

DOCS = Path(__file__).resolve().parents[2] / "docs"
PAGE = (DOCS / "reference" / "compare.md").read_text("utf-8")
EDITS = (
    ("kits/tf-220.md", "[10 N·m, 22 N·m]", "[10 N·m, 24 N·m]"),
    ("vehicles/tarrow-finch.md", "tighten: 6 N·m\n  source: Tarrow workshop sheet 61-1, 2021",
     "tighten: 7 N·m\n  source: Tarrow workshop sheet 61-1, 2023"),
    ("procedures/fit-tf-220.md", "  - test leaks charge-air\n", ""),
    ("procedures/fit-tf-220.md", "Wet patches on it tell you now about a leak that would be yours "
     "later.", ""),
    ("common/raise-car.md", "tools: [trolley jack, axle stands]", "tools: [trolley jack]"),
    ("common/raise-car.md", "anything that creaks or shifts is put right before anyone\ngoes",
     "anything that creaks or shifts is put right after anyone\ngoes"),
    ("common/shop-rules.md", "an extinguisher within {q}`3 m`", "an extinguisher within {q}`30 m`"),
)  # fmt: skip


def edited_page(name: str) -> bytes:
    text = (DOCS / name).read_text("utf-8")
    for page, old, new in EDITS:
        if page == name:
            flat = text.replace(old.replace(" later.", "\nlater."), new)
            changed = flat if flat != text else text.replace(old, new)
            assert changed != text, f"{name} no longer has {old!r}"
            text = changed
    return text.encode()


def test_the_report_on_the_page_is_what_is_printed() -> None:
    old = Manual.read(DOCS)
    names = sorted({page for page, _, _ in EDITS})
    new = old.with_pages(build(read_page(edited_page(name), name)) for name in names)
    report = text_report(
        compare(old, new), lambda page: f"docs/{page}", ("issued", "the pages now")
    )
    _, _, rest = PAGE.partition("```text\nHold these")
    shown = "Hold these" + rest.partition("```")[0]
    assert shown == plain(report)


def test_every_finding_group_and_harm_is_explained() -> None:
    for name in REVIEW:
        assert f"### {name}\n" in PAGE
    for group in Group:
        assert f"| `{group.name.lower()}` |" in PAGE
    for heading in (FIRST, *(harm.heading for harm in Harm)):
        assert f"| {heading} |" in PAGE


def test_every_key_of_the_json_is_named() -> None:
    value = json_report(after((BOX, "tighten: 3 N·m", "tighten: 4 N·m")), str, ("a", "b"))
    keys = {*value, *value["changes"][0], *value["stale"][0]}
    assert {key for key in keys if f'"{key}"' not in PAGE} == set()
