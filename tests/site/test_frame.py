"""The frame of a page: policy, torques that carry their texts, tables in frames, offline files."""

from __future__ import annotations

import json
import re
from hashlib import sha256
from typing import TYPE_CHECKING

import pytest

from procedures_lib.fronts.site.offline import WORKER_PARTS
from tests.site.building import PROCEDURE, Built, SmallManual, project_manual

if TYPE_CHECKING:
    from pathlib import Path


def with_theme(root: Path) -> SmallManual:
    """A small manual with the project's own settings."""
    manual = project_manual(root)
    for path in (root / "docs").rglob("*.md"):
        path.unlink()
    for name, text in SmallManual.usual().items():
        manual.write(name, text)
    return manual


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Built:
    manual = with_theme(tmp_path_factory.mktemp("frame") / "m")
    table = "\n| a | b |\n|---|---|\n| 1 | 2 |\n"
    manual.write("lift-cover.md", PROCEDURE + table)
    manual.write("evil.md", "# A \\</title>\\<script>alert(1)\\</script> page\n\nText.\n")
    manual.change("hatch.md", "name: Cover bolts", "name: 'Cover <script>alert(2)</script> bolts'")
    return manual.build()


def test_the_policy_stands_before_everything_that_is_loaded(built: Built) -> None:
    page = built.page("lift-cover")
    policy = page.index("Content-Security-Policy")
    assert policy < page.index("<script")
    assert policy < page.index("<link")
    assert "default-src 'self'; object-src 'none'; base-uri 'none'; form-action 'self'" in page


def test_scripts_in_titles_and_names_are_letters(built: Built) -> None:
    for page in ("evil", "lift-cover", "hatch", "index"):
        assert "<script>alert" not in built.page(page)
    assert "&lt;script&gt;alert(2)" in built.page("lift-cover")


def test_a_torque_carries_its_text_for_each_unit(built: Built) -> None:
    page = built.page("lift-cover").replace("\u00a0", " ")
    led = 'data-lbf-ft="7.5 lbf·ft (10 N·m)" data-lbf-in="89 lbf·in (10 N·m)"'
    assert f'<strong class="torque" {led}>10 N·m (89 lbf·in)</strong>' in page
    assert f'<span class="torque" {led}>10 N·m (89 lbf·in)</span></a>' in page  # in the prose
    assert f'<span class="torque" {led}>' in built.page("hatch").replace("\u00a0", " ")


def test_a_table_in_the_prose_has_a_frame(built: Built) -> None:
    frame = '<div class="wide-table" role="group" aria-label="Table" tabindex="0">'
    assert f'{frame}<table class="docutils' in built.page("lift-cover").replace("\n", "")


def test_the_list_names_every_file_by_its_hash(built: Built) -> None:
    content = json.loads((built.html / "offline" / "files.json").read_text("utf-8"))
    assert "lift-cover.html" in content["files"]
    for path, (digits, packed, *_parts) in content["files"].items():
        raw = (built.html / path).read_bytes()
        assert digits == sha256(raw).hexdigest()[:20], path
        assert 0 < packed <= len(raw) + 20, path


def test_the_worker_is_one_script_with_the_hash_of_its_function(built: Built) -> None:
    text = (built.html / "worker.js").read_text("utf-8")
    found = re.fullmatch(r'\{ \((function manualWorker.*\})\)\("(\w{20})"\); \}\n', text, re.DOTALL)
    assert found
    assert sha256(found[1].encode()).hexdigest().startswith(found[2])
    assert "importScripts" not in text
    parts = [(built.html / name).read_text("utf-8") for name in WORKER_PARTS]
    assert all(part in text for part in parts)


def test_two_builds_have_the_same_list_and_a_change_another(tmp_path: Path) -> None:
    lists = []
    for name in ("one", "two"):
        manual = with_theme(tmp_path / name)
        lists.append((manual.build().html / "offline" / "files.json").read_text("utf-8"))
    assert lists[0] == lists[1]
    manual.change("lift-cover.md", "Both {fastener}", "All {fastener}")
    again = json.loads((manual.build().html / "offline" / "files.json").read_text("utf-8"))
    before = json.loads(lists[1])
    assert again["version"] != before["version"]
    assert again["files"]["lift-cover.html"] != before["files"]["lift-cover.html"]
    assert again["files"]["hatch.html"] == before["files"]["hatch.html"]


def test_a_theme_without_a_worker_gets_no_list(tmp_path: Path) -> None:
    built = SmallManual(tmp_path / "plain").build()
    assert not (built.html / "offline").exists()
    assert not (built.html / "worker.js").exists()
