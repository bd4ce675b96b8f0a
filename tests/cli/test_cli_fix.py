"""``procedures fix``: the difference first, the pages only when asked to, at one stroke."""

from __future__ import annotations

import os
import stat
import sys
from typing import TYPE_CHECKING

import pytest

from tests.cli.world import run, write

if TYPE_CHECKING:
    from pathlib import Path

WRITTEN = """\
# Fluids

```{fluids}
oil: {name: Oil, kind: oil, quantity: 4 litres}
```
"""
FIXED = WRITTEN.replace("4 litres", "4 L")


@pytest.fixture
def page(manual: Path) -> Path:
    """A page whose unit is spelled another way."""
    path = manual / "docs" / "fluids.md"
    path.write_text(WRITTEN, "utf-8")
    return path


def test_a_clean_manual_prints_nothing(manual: Path) -> None:
    result = run("fix", "--write")
    assert (result.exit_code, result.stdout, result.stderr) == (0, "", "")


def test_the_difference_is_shown_and_nothing_written(page: Path) -> None:
    result = run("fix")
    assert (result.exit_code, page.read_text("utf-8")) == (0, WRITTEN)
    assert result.stdout.splitlines() == [
        "--- docs/fluids.md",
        "+++ docs/fluids.md",
        "@@ -1,5 +1,5 @@",
        " # Fluids",
        " ",
        " ```{fluids}",
        "-oil: {name: Oil, kind: oil, quantity: 4 litres}",
        "+oil: {name: Oil, kind: oil, quantity: 4 L}",
        " ```",
    ]
    assert result.stderr == "1 page can be rewritten: give --write to do it.\n"


def test_write_changes_the_page_and_shows_the_same(page: Path) -> None:
    page.chmod(0o640)
    shown = run("fix").stdout
    result = run("fix", "--write")
    assert (result.exit_code, result.stdout) == (0, shown)
    assert result.stderr == "1 page rewritten.\n"
    assert page.read_text("utf-8") == FIXED
    assert [p.name for p in page.parent.iterdir() if p.is_file()] == ["fluids.md"]
    if os.name != "nt":
        assert stat.S_IMODE(page.stat().st_mode) == 0o640
    assert run("fix", "--write").stdout == ""


def test_paths_choose_the_pages(manual: Path, page: Path) -> None:
    write(manual, {"docs/kits/more.md": WRITTEN.replace("oil:", "coolant:")})
    result = run("fix", "docs/kits", "--write")
    assert result.stderr == "1 page rewritten.\n"
    assert page.read_text("utf-8") == WRITTEN
    assert run("fix", "docs/kit").exit_code == 2


@pytest.mark.skipif(sys.platform == "win32", reason="links need rights there")
def test_a_link_out_of_the_manual_is_not_written(manual: Path, tmp_path: Path) -> None:
    write(tmp_path, {"kept.md": WRITTEN})
    (manual / "docs" / "linked.md").symlink_to(tmp_path / "kept.md")
    result = run("fix", "--write")
    assert result.exit_code == 2
    assert "leads out of the manual" in result.stderr
    assert (tmp_path / "kept.md").read_text("utf-8") == WRITTEN


def test_a_page_saved_meanwhile_is_not_overwritten(
    page: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def slow(_manual: object, _page: str, raw: bytes) -> bytes:
        page.write_text("# Saved meanwhile\n", "utf-8")
        return raw + b"more"

    monkeypatch.setattr("procedures_lib.fronts.cli.fix.fix_page", slow)
    result = run("fix", "docs/fluids.md", "--write")
    assert result.exit_code == 2
    assert "was changed meanwhile" in result.stderr
    assert page.read_text("utf-8") == "# Saved meanwhile\n"


def test_a_page_can_not_steer_the_terminal(page: Path) -> None:
    page.write_text(WRITTEN.replace("# Fluids", "# \x1b[2JFluids"), "utf-8")
    assert "\x1b" not in run("fix").stdout
    assert "\x1b[32m+oil" in run("fix", "--colour", "always").stdout
