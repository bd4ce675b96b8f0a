"""What is sent of sphinx-design: what a page may use, to the pages that use it; icons, manifest."""

from __future__ import annotations

import json
import re
import struct
from typing import TYPE_CHECKING

import pytest

from procedures_lib.fronts.site.design import is_used, used_rules
from tests.site import icons
from tests.site.building import CONF, SmallManual, built_once

if TYPE_CHECKING:
    from pathlib import Path

ALL = """# All

::::{grid} 1 2 3 4
:gutter: 2
:::{grid-item-card} [Home](index.md)
Words.
:::
:::{grid-item}
Words.
:::
::::

:::{card} One
Words.
:::

:::{dropdown} Fold
:open:
Words.
:::

::::{tab-set}
:::{tab-item} A
:selected:
Words.
:::
:::{tab-item} B
Other words.
:::
::::
"""
_CLASSES = re.compile(r'class="([^"]*)"')


def classes_in(html: str) -> set[str]:
    """The classes of sphinx-design on a page."""
    return {
        name
        for found in _CLASSES.findall(html)
        for name in found.split()
        if name.startswith("sd-") and not name.startswith("sd-octicon")
    }


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small manual with a page of everything that the closed list has of sphinx-design."""
    manual = SmallManual(tmp_path_factory.mktemp("design"), CONF.replace('"basic"', '"bench"'))
    manual.write("all.md", ALL)
    manual.write("code.md", "# Code\n\n```text\nx\n```\n")
    built = manual.build()
    assert not built.warnings
    return built.html


def test_rules_of_classes_that_no_page_has_are_left_out() -> None:
    css = (
        ":root{--sd-a:red;--sd-b:blue}.sd-card{color:var(--sd-a)}.sd-btn,.sd-col{margin:0}"
        "@media (min-width:5px){.sd-btn{color:var(--sd-b)}.sd-row{margin:0}}"
        "@keyframes sd-x{from{top:0}to{top:1px}}@media print{.sd-btn{top:0}}"
    )
    assert used_rules(css) == (
        ":root{--sd-a:red}.sd-card{color:var(--sd-a)}.sd-col{margin:0}"
        "@media (min-width:5px){.sd-row{margin:0}}\n"
    )


def test_every_class_of_the_closed_list_has_its_rules(site: Path) -> None:
    found = classes_in((site / "all.html").read_text("utf-8"))
    assert {"sd-card", "sd-row-cols-lg-4", "sd-g-2", "sd-tab-set", "sd-dropdown"} <= found
    without_rules = {"sd-sphinx-override", "sd-row-cols-xs-1", "sd-g-xs-2"}
    assert {name for name in found - without_rules if not is_used(name)} == set()
    css = (site / "_static/sphinx-design.min.css").read_text("utf-8")
    assert ".sd-tab-set" in css
    assert ".sd-btn" not in css
    assert len(css) < 10_000


def test_only_a_page_that_has_them_asks_for_them(site: Path) -> None:
    for page, asks in (("all", True), ("lift-cover", False), ("hatch", False), ("index", True)):
        html = (site / f"{page}.html").read_text("utf-8")
        assert ("sphinx-design.min.css" in html) is asks
        assert ("static/design.css" in html) is asks
        assert "design-tabs.js" not in html
    assert not (site / "_static/design-tabs.js").exists()


def test_the_colours_of_code_go_to_pages_with_code_only(site: Path) -> None:
    assert "pygments" not in (site / "lift-cover.html").read_text("utf-8")
    assert "pygments" in (site / "code.html").read_text("utf-8")


def test_the_demo_uses_nothing_else(tmp_path_factory: pytest.TempPathFactory) -> None:
    pages = built_once(tmp_path_factory).html.rglob("*.html")
    found = set().union(*(classes_in(page.read_text("utf-8")) for page in pages))
    assert {"sd-card", "sd-tab-set", "sd-dropdown"} <= found
    assert not {name for name in found if not is_used(name) and "-xs-" not in name} - {
        "sd-sphinx-override"
    }


def test_the_manifest_leads_home_and_its_icons_are_there(site: Path) -> None:
    manifest = json.loads((site / "_static/manifest.json").read_text("utf-8"))
    assert (manifest["start_url"], manifest["scope"]) == ("../index.html", "../")
    assert {"any", "maskable"} == {icon["purpose"] for icon in manifest["icons"]}
    for icon in manifest["icons"]:
        content = (site / "_static" / icon["src"]).read_bytes()
        if icon["type"] == "image/png":
            width, height = struct.unpack(">II", content[16:24])
            assert icon["sizes"] == f"{width}x{height}"
    assert '<link rel="manifest"' in (site / "index.html").read_text("utf-8")


def test_the_icons_are_those_that_are_drawn() -> None:
    assert (icons.STATIC / "icon-192.png").read_bytes() == icons.png(192, masked=False)


def test_a_launcher_may_cut_the_mark_to_its_own_shape() -> None:
    inner = 0.4 * 32
    corners = [((x - 16) / 1.5, (y - 16) / 1.5) for x, y in icons.CORNERS]
    assert all(x * x + y * y <= inner * inner for x, y in corners)
