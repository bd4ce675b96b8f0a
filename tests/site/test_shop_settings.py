"""The shop's names and notice in the site, and what becomes of a shop file that lacks them."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from html import unescape
from typing import TYPE_CHECKING

import pytest

from tests.cli.world import run
from tests.site.building import PROJECT, SmallManual

if TYPE_CHECKING:
    from pathlib import Path

CONF = """
extensions = ["myst_parser", "sphinx_design", "procedures_lib.fronts.site"]
myst_enable_extensions = ["colon_fence", "deflist"]
html_theme = "bench"
html_copy_source = False
"""
SHOP = '[shop]\nname = "Quay & Sons"\nmanual = "Bay manual"\nnotice = "Invented <here>."\n'
FAULTS = {
    "": ":1: WARNING: the table `[shop]` is missing",
    "[shop]\nmanual = 'M'\n": ":1: WARNING: the shop needs `name`",
    "# shop\nshop = 'x'\n": ":2: WARNING: `shop` is a table",
    "[shop]\nname = 5\n": ":2: WARNING: `name`: a number stands here",
    "[shop]\nname = 'A'\n[[torque-wrench]]\nid = 'a'\nname = 'A'\nrange = [[1]]\n":
        ":6: WARNING: `range`: one value is wanted here, not a list",
    "[shop\n": ":1: WARNING: shop.toml is not TOML",
}  # fmt: skip


def manual_with(folder: Path, shop: str | None, conf: str = CONF) -> SmallManual:
    """A small manual in the project's theme, with this shop file."""
    manual = SmallManual(folder / "manual", conf)
    if shop is not None:
        set_shop(manual, shop)
    return manual


def set_shop(manual: SmallManual, text: str) -> None:
    """Write the shop file of a manual."""
    (manual.root / "conf" / "shop.toml").write_text(text, encoding="utf-8")


def test_names_and_notice_come_from_the_shop(tmp_path: Path) -> None:
    built = manual_with(tmp_path, SHOP).build()
    assert built.warnings == ""
    html = built.page("lift-cover")
    assert "<title>Lift the cover · Quay &amp; Sons · Bay manual</title>" in html
    assert "<b>Quay &amp; Sons</b> <span>Bay manual</span>" in html
    assert "<p>Invented &lt;here&gt;.</p>" in html


def test_the_unit_of_the_shop_leads_until_another_is_chosen(tmp_path: Path) -> None:
    html = manual_with(tmp_path, SHOP + 'torque-unit = "lbf·ft"\n').build().page("index")
    assert ' data-shop-unit="lbf-ft">' in html
    plain = manual_with(tmp_path / "metric", SHOP).build().page("index")
    assert "data-shop-unit" not in plain


WAYS = """
[remarks]
mail = "a@b.example"
issue = "https://a.example/?t={title}&b={body}&c='"
"""


def test_the_ways_of_remarks_stand_on_the_outermost_element_of_procedures(tmp_path: Path) -> None:
    ways = WAYS.replace("&c='", "&c=1")
    built = manual_with(tmp_path, SHOP + ways).build()
    assert built.warnings == ""
    html = built.page("lift-cover")
    (written,) = re.findall(r'<html [^>]*data-remark-ways="([^"]*)"', html)
    assert json.loads(unescape(written)) == {
        "mail": "a@b.example", "issue": "https://a.example/?t={title}&b={body}&c=1",
    }  # fmt: skip
    assert "data-remark-ways" not in built.page("index")
    plain = manual_with(tmp_path / "none", SHOP).build().page("lift-cover")
    assert "data-remark-ways" not in plain


def test_an_address_that_is_none_is_not_in_the_site(tmp_path: Path) -> None:
    built = manual_with(tmp_path, SHOP + WAYS).build()
    assert "no address that an issue can be begun at" in built.warnings
    assert "a.example" not in built.page("lift-cover")
    assert "a@b.example" in built.page("lift-cover")


def test_what_conf_sets_stands_above_the_shop(tmp_path: Path) -> None:
    own = 'project = "Own"\nhtml_title = "Own title"\nhtml_theme_options = {"notice": "Own note"}\n'
    html = manual_with(tmp_path, SHOP, CONF + own).build().page("index")
    assert "<title>Own title</title>" in html
    assert "<b>Own</b> <span>Bay manual</span>" in html
    assert "<p>Own note</p>" in html
    assert "Invented" not in html


def test_without_a_shop_file_the_settings_are_those_of_conf(tmp_path: Path) -> None:
    built = manual_with(tmp_path, None, f"{CONF}project = 'Small'\n").build()
    assert built.warnings == ""
    assert "<b>Small</b>" in built.page("index")


def test_a_changed_name_rewrites_pages_and_an_unchanged_one_none(tmp_path: Path) -> None:
    manual = manual_with(tmp_path, SHOP)
    manual.build()
    page = manual.root / "out-html" / "lift-cover.html"
    made = page.stat().st_mtime_ns
    again = manual.build()
    assert (again.read, page.stat().st_mtime_ns) == ([], made)
    set_shop(manual, f"# ours\n{SHOP}")
    again = manual.build()
    assert (again.read, page.stat().st_mtime_ns) == ([], made)
    set_shop(manual, SHOP.replace("Quay", "Pier").replace("here", "there"))
    html = manual.build().page("lift-cover")
    assert "<b>Pier &amp; Sons</b>" in html
    assert "<p>Invented &lt;there&gt;.</p>" in html


@pytest.mark.parametrize("shop", FAULTS)
def test_a_faulty_shop_is_a_warning_at_its_line(tmp_path: Path, shop: str) -> None:
    manual = manual_with(tmp_path, shop)
    (line,) = manual.build().warnings.strip().splitlines()
    assert line.startswith(f"{manual.root / 'conf' / 'shop.toml'}{FAULTS[shop]}")
    assert "(write" in line or "(add" in line


@pytest.mark.parametrize("shop", FAULTS)
@pytest.mark.parametrize("command", ["check", "build"])
def test_a_faulty_shop_stops_the_commands_with_its_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, command: str, shop: str
) -> None:
    manual = manual_with(tmp_path, shop)
    monkeypatch.chdir(manual.root)
    result = run(command)
    said = FAULTS[shop].partition("WARNING: ")
    told = result.output
    assert result.exit_code == (2 if shop == "[shop\n" else 1), told
    assert f"conf/shop.toml{said[0].rstrip(' ')}" in told
    assert said[2] in told
    assert "fault of the program" not in told


def test_sphinx_itself_starts_with_the_projects_own_settings_and_a_faulty_shop(
    tmp_path: Path,
) -> None:
    conf = (PROJECT / "conf" / "conf.py").read_text("utf-8")
    manual = manual_with(tmp_path, "[shop]\n", conf)
    done = subprocess.run(
        [sys.executable, "-m", "sphinx", "-W", "-c", "conf", "docs", "out"],
        cwd=manual.root,
        env={**os.environ, "PYTHONPATH": str(PROJECT)},
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    assert done.returncode == 1
    assert "conf/shop.toml:1: WARNING: the shop needs `name`" in done.stderr
    assert "Traceback" not in done.stderr
