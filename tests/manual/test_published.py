"""Which files a site may bring: what the demo site has, and nothing that runs or surprises."""

from __future__ import annotations

import re

import pytest

from procedures_lib.manual.folder import KINDS, KINDS_BELOW, why_not_published
from tests.test_developers import PROJECT


@pytest.mark.parametrize(
    "path",
    [
        "index.html", "procedures/fit-tf-220.json", "procedures/fit-tf-220-torque.csv",
        "procedures/fit-tf-220.pdf", "_static/find.js", "_static/job/store.js", "_static/bench.css",
        "worker.js", "worker-2.js", "objects.inv", "find/0.json", "offline/files.json",
        "_images/car.jpg",
        "_images/CAR.JPG", "_downloads/0a/pulls.csv", "_downloads/0a/sheet.pdf", "_static/logo.svg",
        "_sources/index.md.txt", "searchindex.js", "robots.txt", "drawings/order.svg",
        "_static/styles/theme.css.map", "manual.webmanifest", "pages.txt.gz", "in/site-files.json",
    ],
)  # fmt: skip
def test_what_a_site_has_is_published(path: str) -> None:
    assert why_not_published(path) == ""


@pytest.mark.parametrize(
    ("path", "why"),
    [
        ("run.exe", "kind"),
        ("evil.js", "kind"),
        ("procedures/evil.js", "kind"),
        ("procedures/worker.js", "kind"),
        ("worker.JS", "kind"),
        ("_images/drawing.svg", "kind"),
        ("_images/x.html", "kind"),
        ("_downloads/0/page.html", "kind"),
        ("_downloads/0/page.svg", "kind"),
        ("_downloads/0/tool.js", "kind"),
        ("_static/run.php", "kind"),
        ("page.htm", "kind"),
        ("page.html.php", "kind"),
        ("page.html ", "kind"),
        ("no-ending", "kind"),
        ("html", "kind"),
        ("folder.html/x", "kind"),
        ("_static", "kind"),
        (".buildinfo", "hidden"),
        (".git/config.txt", "hidden"),
        ("a/.html", "hidden"),
        ("site-files.json", "own files"),
        ("site-files-to-be.json", "own files"),
        ("", "no path"),
        ("/index.html", "no path"),
        ("a//b.html", "no path"),
        ("../index.html", "no path"),
        ("a/../../b.html", "no path"),
        ("a\\b.html", "no path"),
        ("a\nb.html", "no path"),
        ("a\x00.html", "no path"),
        ("a\u202egpj.html", "no path"),
    ],
)
def test_everything_else_is_not(path: str, why: str) -> None:
    assert why in why_not_published(path)


def test_the_page_about_the_site_names_these_kinds() -> None:
    text = (PROJECT / "docs" / "reference" / "site.md").read_text("utf-8")
    rows = dict(re.findall(r"^\| (anywhere|`_\w+/`) \| ([\w, ]+)", text, re.MULTILINE))
    said = {place.strip("`/"): {f".{kind}" for kind in re.findall(r"\w+", rows[place])}
            for place in rows}  # fmt: skip
    assert said.pop("anywhere") == KINDS
    assert said.pop("_static") >= KINDS_BELOW["_static"] - KINDS
    assert said == {place: KINDS_BELOW[place] for place in ("_images", "_downloads")}
