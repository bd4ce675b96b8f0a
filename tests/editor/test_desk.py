"""A manual with open pages: what is typed counts, and the findings are those of a full check."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from procedures_lib.findings import Finding
from procedures_lib.fronts.editor.desk import Desk
from procedures_lib.judging.checks import check_manual
from procedures_lib.judging.checks.registry import check_whole
from procedures_lib.manual import Manual
from procedures_lib.manual.shop import read_shop
from tests.editor.desks import PROJECT, desk_of

CAR, KIT, WORK = "vehicles/tarrow-finch.md", "kits/tf-220.md", "procedures/fit-tf-220.md"
BARE = ('[shop]\nname = "Bare"\n[[torque-wrench]]', "")
"""A shop around its one wrench, the smallest."""
EDITS = (
    (CAR, "hot-hose:", "hott-hose:"),
    (KIT, "qty: 4", "qty: 3"),
    (WORK, "revision: ", "revison: "),
    (CAR, "hott-hose:", "hot-hose:"),
    (WORK, "```{procedure}", "```{proc"),
    (KIT, "```{kit} tf-220\n", "```{kit} tf-221\n"),
)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the demo's pages, with the shop's settings."""
    for name in ("vehicles", "kits", "procedures", "common", "jobs", "results"):
        shutil.copytree(PROJECT / "docs" / name, tmp_path / "docs" / name)
        (tmp_path / "docs" / name / "index.md").unlink()  # it leads to pages of the guide
    shutil.copytree(PROJECT / "docs" / "pictures", tmp_path / "docs" / "pictures")
    shutil.copytree(PROJECT / "conf", tmp_path / "conf")
    return tmp_path


def told(desk: Desk, so_far: dict[str, tuple[Finding, ...]]) -> list[Finding]:
    """Check all that needs it, and return what an editor that was told so far knows then."""
    while desk.check_one(desk.open):
        pass
    so_far.update((page, found) for page, found, _ in desk.news())
    desk.take_whole(desk.manual, check_whole(desk.manual))
    while desk.check_one():
        pass
    so_far.update((page, found) for page, found, _ in desk.news())
    return sorted(finding for found in so_far.values() for finding in found)


def saved(desk: Desk) -> list[Finding]:
    """All findings of the manual as it would be with the open pages saved."""
    for page, text in desk.open.items():
        desk.path_of(page).write_text(text, encoding="utf-8")
    shop, found = read_shop(desk.folders.shop)
    return sorted({*found, *check_manual(Manual.read(desk.folders.pages, shop))})


def test_what_an_editor_is_told_is_what_a_full_check_finds(folder: Path) -> None:
    desk = desk_of(folder)
    so_far: dict[str, tuple[Finding, ...]] = {}
    assert told(desk, so_far) == []
    numbers = []
    for page, old, new in EDITS:
        text = desk.text(page)
        assert old in text
        desk.put(page, text.replace(old, new, 1))
        found = told(desk, so_far)
        assert found == saved(desk)
        numbers.append(len(found))
    assert min(numbers) > 0


def test_pages_come_and_go_on_the_disk_and_in_the_editor(folder: Path) -> None:
    desk = desk_of(folder)
    so_far: dict[str, tuple[Finding, ...]] = {}
    told(desk, so_far)
    desk.put("common/new.md", "# New\n\n```{common} new\n```\n\n```{torque-tabel}\n```\n")
    assert [finding.check for finding in told(desk, so_far)] == ["unknown-block"]
    desk.close("common/new.md")
    assert told(desk, so_far) == []
    (folder / "docs" / KIT).unlink()
    desk.look()
    assert told(desk, so_far) == saved(desk)
    assert "unknown-id" in {finding.check for found in so_far.values() for finding in found}


def test_the_shop_is_read_again(folder: Path) -> None:
    desk = desk_of(folder)
    so_far: dict[str, tuple[Finding, ...]] = {}
    told(desk, so_far)
    shop = folder / "conf" / "shop.toml"
    shop.write_text(shop.read_text("utf-8").split("[[torque-wrench]]", 2)[1].join(BARE), "utf-8")
    desk.take_shop()
    assert {finding.check for finding in told(desk, so_far)} == {"no-wrench"}
    shop.write_text('[shop]\nnam = "Bare"\n', encoding="utf-8")
    desk.take_shop()
    told(desk, so_far)
    assert {finding.check for finding in so_far["shop.toml"]} == {"unknown-field"}


def test_what_is_no_page_of_the_manual(folder: Path) -> None:
    desk = desk_of(folder)
    assert desk.page_of(folder / "docs" / KIT) == KIT
    for other in ("docs/_build/page.md", "docs/.page.md", "docs/page.txt", "README.md"):
        assert desk.page_of(folder / other) is None


def test_a_manual_behind_a_link_is_the_same_manual(folder: Path) -> None:
    (folder / "link").symlink_to(folder / "docs")
    desk = desk_of(folder)
    assert desk.page_of(folder / "link" / KIT) == KIT


def test_line_ends_and_marks_of_other_systems_are_read(folder: Path) -> None:
    desk = desk_of(folder)
    text = desk.text(WORK)
    desk.put(WORK, "\ufeff" + text.replace("\n", "\r\n"))
    assert desk.text(WORK) == text
    assert told(desk, {}) == []
