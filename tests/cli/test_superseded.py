"""Superseded revisions: kept at an address of their own, marked, and worked by no more."""

from __future__ import annotations

import json
import re
import shutil
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import pytest

from procedures_lib.fronts.cli.publishing import disk, superseded
from procedures_lib.fronts.cli.publishing.publication import publish
from procedures_lib.fronts.cli.publishing.site_list import LIST
from procedures_lib.fronts.cli.publishing.superseded import FRONT, KEPT, keep_superseded
from procedures_lib.fronts.cli.terminal import Refused
from procedures_lib.manual.folder import superseded_page
from tests.cli.sites import files_below
from tests.cli.world import make_manual, run, write
from tests.mule import PAGES

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

PAGE = """<!DOCTYPE html>
<html lang="en"><head><meta charset="utf-8">
<script src="../_static/first.js"></script><title>Fit &amp; forget</title>
<link rel="stylesheet" href="../_static/s.css?v=1"><link rel="search" href="../search.html">
<script type="application/ld+json">{"a": "<b>"}</script></head>
<body><a class="skip-link" href="#content">Skip</a><a href="../cars/finch.html#bolts">Finch</a>
<main id="content"><h1>Fit, revision %s</h1>
<a href="#step-1">1</a> <a href="fit.html#step-2">2</a>
<svg viewBox="0 0 9 9"><title>Order</title><path d="M0 0"/></svg>
<img src="../_images/a.png" srcset="../_images/a.png 780w, ../_images/b.png 1600w" alt="">
<section id="superseded"><section id="more">Own words</section> stay</section>
<a href="fit-torque.csv" download>CSV</a> <a href="https://law.example/">law</a>
</main></body></html>
"""
PLACE = superseded_page("fit", "A")


@dataclass
class Shop:
    """A site that is published again and again; ``revision`` None is without the procedure."""

    root: Path

    @property
    def site(self) -> Path:
        return self.root / "site"

    def build(self, revision: str | None, **more: str) -> None:
        """Write what Sphinx would leave, in place of what it left before; staged files stay."""
        built = self.root / "built"
        for path in built.rglob("*"):
            if path.is_file() and "superseded" not in path.parts:
                path.unlink()
        row = {"procedure": "fit", "title": "Fit & forget", "revision": revision,
               "page": "procedures/fit.html"}  # fmt: skip
        # fmt: off
        files = {"index.html": "front", "search.html": "", "cars/finch.html": "",
                 "_static/s.css": "a { b: c }", "_static/first.js": "1", "_images/a.png": "png"}
        # fmt: on
        if revision is not None:
            files["procedures/fit.html"] = PAGE % revision
            files["procedures/fit-torque.csv"] = f"torque,{revision}"
        rows = [] if revision is None else [row]
        write(built, {**files, "procedures.json": json.dumps({"procedures": rows}), **more})

    def publish(self, revision: str | None, add: bool = True, **more: str) -> dict[str, str]:
        """Build and publish; return what is kept of superseded revisions, by path."""
        self.build(revision, **more)
        work = self.root / "site-work"
        work.mkdir(exist_ok=True)
        keep_superseded(self.site, self.root / "built", add)
        publish(self.root / "built", self.site, work)
        return self.kept()

    def kept(self) -> dict[str, str]:
        below = files_below(self.site)
        return {name: text for name, text in below.items() if name.startswith("superseded/")}


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    shop = Shop(tmp_path)
    assert shop.publish("A") == {}
    return shop


def listed(kept: dict[str, str]) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = json.loads(kept[KEPT])["revisions"]
    return rows


def test_the_old_page_stays_at_an_address_of_its_own_with_what_it_needs(shop: Shop) -> None:
    kept = shop.publish("B")
    text = kept[PLACE]
    assert "Fit, revision A" in text
    assert '<a href="../../procedures/fit.html">Revision B</a> is in force.' in text
    for address in re.findall(r'(?:href|src)="(\.\.[^"#]+)', text):
        assert (shop.site / PLACE).parent.joinpath(address).resolve().is_file(), address
    files = {name: kept[name] for name in kept if name.startswith("superseded/files/")}
    assert sorted(files.values()) == ["a { b: c }", "png", "torque,A"]
    assert 'download="fit-torque.csv"' in text
    assert "srcset" not in text
    assert 'alt="">' in text
    assert "Fit, revision B" in (shop.site / "procedures" / "fit.html").read_text("utf-8")


def test_it_is_marked_and_nothing_of_it_runs_or_is_found(shop: Shop) -> None:
    text = shop.publish("B")[PLACE]
    assert "<script" not in text
    assert 'rel="search"' not in text
    assert text.count('<meta name="robots" content="noindex">') == 1
    assert "<title>Superseded: Fit &amp; forget</title>" in text
    order = ("Skip</a>", 'id="superseded_strip"', "../../cars/finch.html", "<main")
    assert sorted(order, key=text.index) == list(order)
    assert (
        text.index("<main") < text.index("kept for jobs that were done by it") < text.index("<h1")
    )
    assert '<section id="superseded"><section id="more">Own words</section> stay</sec' in text
    assert '<svg viewBox="0 0 9 9"><title>Order</title><path d="M0 0"/></svg>' in text


def test_links_stay_within_the_page_lead_to_the_manual_or_are_none(shop: Shop) -> None:
    shop.build("B")
    (shop.root / "built" / "cars" / "finch.html").unlink()
    text = shop.publish("B")[PLACE]
    assert '<a href="#step-1">1</a> <a href="#step-2">2</a>' in text
    assert '<a href="https://law.example/">law</a>' in text
    assert '<a href="../../cars/finch.html#bolts">Finch</a>' in text
    shop.build("B")
    (shop.root / "built" / "cars" / "finch.html").unlink()
    keep_superseded(shop.site, shop.root / "built")
    assert "<a>Finch</a>" in (shop.root / "built" / PLACE).read_text("utf-8")


def test_each_publication_carries_them_and_tells_what_is_in_force_now(shop: Shop) -> None:
    first = shop.publish("B")
    assert shop.publish("B") == first
    again = shop.publish("C")
    assert {row["revision"] for row in listed(again)} == {"A", "B"}
    for revision in "AB":
        text = again[superseded_page("fit", revision)]
        assert text.count("Revision C</a> is in force.") == 2
        assert text.count('id="superseded_note"') == text.count("mark.css") == 1
        assert text.count("Superseded: ") == 1
    shared = [name for name, text in again.items() if text == "a { b: c }"]
    assert len(shared) == 1
    assert "fit/A.html" in again[FRONT]
    assert "Fit &amp; forget" in again[FRONT]


def test_a_procedure_that_the_manual_has_no_more_is_kept_too(shop: Shop) -> None:
    text = shop.publish(None)[PLACE]
    assert text.count("The manual no longer has this procedure.") == 2
    assert shop.publish(None)[PLACE] == text


def test_a_revision_that_is_in_force_again_is_kept_no_more(shop: Shop) -> None:
    shop.publish("B")
    kept = shop.publish("A")
    assert [row["revision"] for row in listed(kept)] == ["B"]
    assert PLACE not in kept
    assert "torque,A" not in kept.values()


def test_what_somebody_has_deleted_is_kept_no_more(shop: Shop) -> None:
    shop.publish("B")
    (shop.site / PLACE).unlink()
    assert shop.publish("B") == {}


def test_what_is_only_tried_at_the_desk_is_not_kept_and_what_is_kept_stays(shop: Shop) -> None:
    kept = shop.publish("B")
    assert shop.publish("C", add=False).keys() == kept.keys()
    assert [row["revision"] for row in listed(shop.publish("D", add=False))] == ["A"]


def test_a_list_that_can_not_be_read_stops_the_publication(shop: Shop) -> None:
    shop.publish("B")
    before = files_below(shop.site)
    for text in (
        "[",
        '{"format": 2, "revisions": [{"files": [], "links": []}]}',
        '{"revisions": 1}',
    ):
        (shop.site / KEPT).write_text(text, "utf-8")
        with pytest.raises(Refused, match=r"superseded/list\.json can't be read"):
            shop.publish("C")
    assert files_below(shop.site).keys() == before.keys()


@pytest.mark.parametrize("cut", ["procedures/fit-torque.csv", "_images/a.png"])
def test_what_can_not_be_kept_whole_stops_the_publication(shop: Shop, cut: str) -> None:
    place = shop.site / cut
    place.unlink()
    with pytest.raises(Refused, match=rf"{cut} is gone, or a link: revision A of `fit`"):
        shop.publish("B")
    place.symlink_to(shop.site / "index.html")
    with pytest.raises(Refused, match=f"{cut} is gone, or a link"):
        shop.publish("B")
    (shop.site / "procedures" / "fit.html").unlink()
    place.unlink()
    assert shop.publish("B") == {}


def test_a_file_that_kept_pages_share_is_not_lost_without_a_word(shop: Shop) -> None:
    kept = shop.publish("B")
    shared = next(name for name, text in kept.items() if text == "png")
    (shop.site / shared).unlink()
    with pytest.raises(Refused, match=f"{shared} is gone, or a link"):
        shop.publish("B")


def test_a_list_that_names_other_files_of_the_site_moves_none(shop: Shop) -> None:
    shop.publish("B")
    text = (shop.site / KEPT).read_text("utf-8").replace(PLACE, "index.html")
    (shop.site / KEPT).write_text(text, "utf-8")
    assert shop.publish("B") == {}
    assert (shop.site / "index.html").read_text("utf-8") == "front"


@pytest.mark.parametrize("operation", ["copy", "write"])
def test_stopped_anywhere_the_next_publication_keeps_the_same(
    shop: Shop, monkeypatch: pytest.MonkeyPatch, operation: str
) -> None:
    shop.publish("B")
    before = files_below(shop.site)
    place, name = (disk, "copy") if operation == "copy" else (superseded, "write_if_other")
    real: Callable[..., Any] = getattr(place, name)
    shutil.rmtree(shop.root / "built" / "superseded")
    for at in range(1, 20):
        count = iter(range(1, 100))

        def stopping(*words: Any, at: int = at, count: Any = count) -> Any:
            if next(count) == at:
                raise KeyboardInterrupt
            return real(*words)

        monkeypatch.setattr(place, name, stopping)
        shop.build("C")
        try:
            keep_superseded(shop.site, shop.root / "built")
        except KeyboardInterrupt:
            assert files_below(shop.site) == before
        else:
            break
    assert at > 2
    monkeypatch.undo()
    kept = shop.publish("C")
    assert {row["revision"] for row in listed(kept)} == {"A", "B"}
    assert sorted(text for text in kept.values() if text.startswith("torque")) == [
        "torque,A",
        "torque,B",
    ]


def test_every_revision_has_a_name_that_a_disk_can_hold() -> None:
    names = [superseded_page("fit", text) for text in ("A", "1.2", "C/2", "C 2", "é", "..", ".A")]
    assert names[:2] == ["superseded/fit/A.html", "superseded/fit/1.2.html"]
    assert len(set(names)) == len(names)
    assert all(re.fullmatch(r"superseded/fit/[A-Za-z0-9-][\w.-]*\.html", name) for name in names)


@pytest.fixture
def manual(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A manual that is built from its folder, with the site's own theme."""
    make_manual(tmp_path, {**PAGES, "index.md": "# Manual\n\n```{toctree}\n:glob:\n\n*/*\n```\n"})
    conf = 'extensions = ["myst_parser", "procedures_lib.fronts.site"]\nhtml_theme = "bench"\n'
    write(tmp_path, {"conf/conf.py": conf + 'myst_enable_extensions = ["colon_fence"]\n',
                     "conf/shop.toml": '[shop]\nname = "Mule"\n'})  # fmt: skip
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_a_real_site_keeps_its_pages_out_of_search_and_off_line_lists(manual: Path) -> None:
    site = manual / ".build" / "html"
    assert run("build").exit_code == 0
    page = manual / "docs" / "procedures" / "renew-cover.md"
    page.write_text(page.read_text("utf-8").replace("revision: A", "revision: B"), "utf-8")
    result = run("build")
    assert result.exit_code == 0, result.output
    text = (site / "superseded" / "renew-cover" / "A.html").read_text("utf-8")
    assert "Take the cover off" in text
    assert "<script" not in text
    named = [p.name for p in site.rglob("*.json") if "superseded/" in p.read_text("utf-8")]
    assert sorted(named) == ["list.json", LIST]
    assert run("build").exit_code == 0
    assert (site / "superseded" / "renew-cover" / "A.html").read_text("utf-8") == text
    write(manual, {"docs/superseded/x.md": "# X\n"})
    assert "docs/superseded can't hold pages" in run("build").stderr


def test_the_page_in_force_leads_to_the_earlier_ones_that_are_kept(manual: Path) -> None:
    page = manual / "docs" / "procedures" / "renew-cover.md"
    text = page.read_text("utf-8")
    html = manual / ".build" / "html" / "procedures" / "renew-cover.html"

    def led_to(revision: str) -> list[str]:
        page.write_text(text.replace("revision: A", f"revision: {revision}"), "utf-8")
        result = run("build")
        assert result.exit_code == 0, result.output
        found = re.findall(r'href="([^"]*superseded/[^"]*)"', html.read_text("utf-8"))
        assert all((html.parent / address).resolve().is_file() for address in found), found
        return [address.removeprefix("../superseded/") for address in found]

    assert led_to("A") == []
    assert led_to("B") == ["renew-cover/A.html"]
    before = html.read_bytes()
    assert led_to("B") == ["renew-cover/A.html"]
    assert html.read_bytes() == before
    assert led_to("C") == ["renew-cover/B.html", "renew-cover/A.html"]
    assert led_to("B") == ["renew-cover/C.html", "renew-cover/A.html"]  # back again
    html.parent.with_name("superseded").joinpath("renew-cover/A.html").unlink()
    assert led_to("B") == ["renew-cover/C.html"]  # somebody has deleted the other
    revisions = "".join(led_to(each)[0] for each in "DEFG")
    assert revisions == "".join(f"renew-cover/{each}.html" for each in ("C", "D", "E", "F"))
    assert led_to("H")[-1] == "index.html"
