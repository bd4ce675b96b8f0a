"""Reading again what has changed: the findings are those of a full check."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from procedures_lib.findings import Finding
from procedures_lib.fronts.cli.arguments import Folders, find_folders
from procedures_lib.fronts.cli.checked_manual import Rereading
from procedures_lib.judging.checks import check_manual
from procedures_lib.manual import Manual
from procedures_lib.manual.shop import read_shop
from tests.manual.pictures import ground, saved

PROJECT = Path(__file__).resolve().parents[2]


@pytest.fixture
def folders(tmp_path: Path) -> Folders:
    """A copy of the demo's pages, with the shop's settings."""
    for name in ("vehicles", "kits", "procedures", "common", "jobs", "results"):
        shutil.copytree(PROJECT / "docs" / name, tmp_path / "docs" / name)
        (tmp_path / "docs" / name / "index.md").unlink()  # it leads to pages of the guide
    shutil.copytree(PROJECT / "docs" / "pictures", tmp_path / "docs" / "pictures")
    shutil.copytree(PROJECT / "conf", tmp_path / "conf")
    return find_folders(tmp_path / "docs")


def full(folders: Folders) -> list[Finding]:
    shop, found = read_shop(folders.shop)
    return sorted({*found, *check_manual(Manual.read(folders.pages, shop))})


def typed(folders: Folders, page: str, old: str, new: str) -> None:
    path = folders.pages / page
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def test_what_has_changed_is_read_again_and_all_that_it_touches_checked(folders: Folders) -> None:
    manual = Rereading(folders)
    first = manual.look()
    assert list(first.checked.findings) == []
    edits = (
        ("vehicles/tarrow-finch.md", "hot-hose:", "hott-hose:"),
        ("kits/tf-220.md", "qty: 4", "qty: 3"),
        ("kits/tf-220.md", "qty: 3", "qty: 4"),
        ("vehicles/tarrow-finch.md", "hott-hose:", "hot-hose:"),
        ("procedures/fit-tf-140.md", "revision: ", "revison: "),
    )
    for page, old, new in edits:
        typed(folders, page, old, new)
        again = manual.look()
        assert list(again.checked.findings) == full(folders)
    assert again.checked.findings


def test_pages_that_did_not_change_are_kept(folders: Folders) -> None:
    manual = Rereading(folders)
    before = manual.look().manual.contents
    typed(folders, "kits/tf-220.md", "qty: 4", "qty: 3")
    after = manual.look().manual.contents
    assert [page for page in after if after[page] is not before[page]] == ["kits/tf-220.md"]


def test_pages_and_data_files_come_and_go(folders: Folders) -> None:
    manual = Rereading(folders)
    manual.look()
    page = folders.pages / "kits/tf-180.md"
    text = page.read_text(encoding="utf-8")
    page.unlink()
    assert list(manual.look().checked.findings) == full(folders) != []
    page.write_text(text, encoding="utf-8")
    assert list(manual.look().checked.findings) == full(folders) == []
    data = sorted(folders.pages.joinpath("results").rglob("*.csv"))[0]
    data.write_text("speed [rpm]\n", encoding="utf-8")
    assert list(manual.look().checked.findings) == full(folders) != []


def test_a_picture_that_changes_is_judged_again(folders: Folders) -> None:
    page = folders.pages / "vehicles/tarrow-finch.md"
    text = page.read_text(encoding="utf-8")
    block = "file: seen.png\nseen: from ahead\nshows: {bumper: [1500, 5]}"
    page.write_text(f"{text}\n```{{picture}} seen-again\n{block}\n```\n", encoding="utf-8")
    saved(page.parent / "seen.png")
    manual = Rereading(folders)
    assert list(manual.look().checked.findings) == full(folders) == []
    saved(page.parent / "seen.png", ground((1400, 1000)))
    assert [f.check for f in manual.look().checked.findings] == ["point-outside"]
    (page.parent / "seen.png").unlink()
    assert [f.check for f in manual.look().checked.findings] == ["broken-link"]


def test_another_shop_is_another_manual(folders: Folders) -> None:
    manual = Rereading(folders)
    manual.look()
    shop = folders.shop.read_text(encoding="utf-8")
    folders.shop.write_text(shop.replace("60–340 N·m", "200–340 N·m"), encoding="utf-8")
    assert list(manual.look().checked.findings) == full(folders) != []
