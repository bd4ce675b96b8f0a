"""The manual without a network, and what happens when the site was built anew meanwhile."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from procedures_lib.fronts.site.offline import is_guide
from tests.browser.builds import made_large, next_build
from tests.browser.chromium import watched_page
from tests.browser.test_follow import begin_on_unknown_car

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from playwright.sync_api import Browser, Page

    from tests.browser.serving import Served

PAGE = "procedures/fit-tf-220"
OTHER = "procedures/fit-bd-310"
CHANGED = {
    f"{PAGE}.html": ("<h1>Fit the TF-220", "<h1>Newly fit the TF-220"),
    "index.html": ("<h1>", "<h1>New: "),
    "_static/bench.css": ("/* The frame:", "/* The new frame:"),
    "find/start.json": ("{", "{ "),
}


@pytest.fixture
def kept(browser: Browser) -> Iterator[Page]:
    """A phone on which the worker may keep the manual."""
    with watched_page(browser, "phone", service_workers="allow") as page:
        yield page


@pytest.fixture
def newer(demo_html: Path, tmp_path: Path) -> Path:
    """The next build of the demo site."""
    return next_build(demo_html, tmp_path / "next", CHANGED)


def is_ready(page: Page) -> None:
    """Wait until the page says that all is kept."""
    expect(page.locator(".phone-state")).to_have_text("ready without a network", timeout=30_000)


def visit(site: Served, page: Page, name: str = PAGE) -> None:
    """Open a page for the first time, and wait until the whole manual is kept."""
    page.goto(site.page(name))
    is_ready(page)


def heading(page: Page) -> str:
    """The title of the page that is shown."""
    return page.locator("h1").inner_text()


def css(page: Page) -> str:
    """The frame's style sheet, as this page gets it."""
    script = "fetch(new URL('_static/bench.css', new URL(%s, location.href))).then(a => a.text())"
    return str(page.evaluate(script % "document.documentElement.dataset.content_root"))


def test_after_one_visit_every_page_opens_without_a_network(site: Served, kept: Page) -> None:
    visit(site, kept)
    site.plugged = False
    for name in ("index", OTHER, "vehicles/tarrow-finch", "jobs/index"):
        kept.goto(site.page(name))
        assert kept.locator("h1").count() == 1
        assert "not on this device" not in heading(kept)
        assert (
            kept.locator(".site-head").evaluate("e => getComputedStyle(e).borderBottomWidth")
            == "3px"
        )
    kept.goto(site.url)  # the folder, as one types it
    assert "not on this device" not in heading(kept)


def test_search_works_without_a_network(site: Served, kept: Page) -> None:
    visit(site, kept)
    site.plugged = False
    kept.goto(f"{site.url}search.html?q=cooler+bolts")
    expect(kept.get_by_role("link", name="cooler bolts").first).to_be_visible()


def test_files_of_the_tables_are_kept_too(site: Served, kept: Page) -> None:
    visit(site, kept)
    site.plugged = False
    text = kept.evaluate("fetch('fit-tf-220-torque.csv').then(answer => answer.text())")
    assert "N·m" in text


def test_a_page_that_does_not_exist_is_told_plainly(site: Served, kept: Page) -> None:
    visit(site, kept)
    site.plugged = False
    kept.goto(site.page("procedures/no-such-page"))
    assert heading(kept) == "This page is not on this device"
    kept.get_by_role("link", name="To the first page").click()
    expect(kept.locator("h1")).not_to_have_text("This page is not on this device")


def test_a_network_that_never_answers_does_not_hold_a_page_up(site: Served, kept: Page) -> None:
    visit(site, kept)
    site.stalled = True
    kept.goto(site.page(OTHER), wait_until="commit")
    expect(kept.locator("h1")).to_contain_text("BD-310")


def test_a_changed_page_is_replaced_when_the_network_is_back(
    site: Served, kept: Page, newer: Path
) -> None:
    visit(site, kept)
    site.root = newer
    kept.goto(site.page(PAGE))
    assert heading(kept).startswith("Newly fit")
    assert "new frame" in css(kept)
    is_ready(kept)
    site.plugged = False
    kept.goto(site.page("index"))
    assert heading(kept).startswith("New:")


def test_an_update_fetches_what_has_changed_and_no_more(
    site: Served, kept: Page, newer: Path
) -> None:
    visit(site, kept)
    site.root = newer
    site.sent.clear()
    kept.goto(site.page(OTHER))
    is_ready(kept)
    asked = {sent.path.lstrip("/") for sent in site.sent} - {"worker.js", ""}
    assert asked - set(CHANGED) == {"offline/version.json", "offline/files.json"}


def test_an_interrupted_update_leaves_the_old_version_whole(
    site: Served, kept: Page, newer: Path
) -> None:
    visit(site, kept)
    site.root, site.lost = newer, ("index.html",)
    kept.goto(site.page(OTHER))
    expect(kept.locator(".phone-state")).to_contain_text("update waits", timeout=20_000)
    site.plugged = False
    kept.goto(site.page(PAGE))
    assert heading(kept).startswith("Fit the TF-220")
    assert "new frame" not in css(kept)
    kept.goto(site.page("index"))
    assert not heading(kept).startswith("New:")
    site.plugged, site.lost = True, ()
    kept.evaluate("dispatchEvent(new Event('online'))")
    is_ready(kept)


def test_an_open_page_gets_nothing_of_the_next_build(site: Served, kept: Page, newer: Path) -> None:
    visit(site, kept, OTHER)
    kept.goto(site.page(OTHER))
    site.root = newer
    second = kept.context.new_page()
    second.goto(site.page("index"))
    is_ready(second)
    assert "new frame" in css(second)
    assert "new frame" not in css(kept)


IS_HELD = """async () => {
  for (let turn = 0; turn < 200; turn += 1) {
    const notes = await caches.open("manual-notes-1");
    const [key] = (await notes.keys()).filter(({ url }) => url.endsWith("/notes"));
    const kept = key && await notes.match(key);
    const isPacked = kept?.headers.has("X-Kept-Packed");
    const body = isPacked ? kept.body.pipeThrough(new DecompressionStream("gzip")) : kept?.body;
    const { holds } = body ? await new Response(body).json() : {};
    if (Object.keys(holds ?? {}).length > 0) return true;
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
  return false;
}"""
"""Whether the worker comes to hold a page within ten seconds."""


def begin_job(page: Page) -> None:
    """Tick the first step, as a technician does, and wait until the worker holds the page."""
    page.locator("section.step input[type=checkbox], section.step button").first.click()
    begin_on_unknown_car(page)
    page.wait_for_function(
        "() => Object.keys(localStorage).some(key => key.startsWith('procedures-job:'))"
    )
    assert page.evaluate(IS_HELD)


def test_a_procedure_in_progress_keeps_its_version_until_it_is_taken(
    site: Served, kept: Page, newer: Path
) -> None:
    visit(site, kept)
    begin_job(kept)
    site.root = newer
    for _ in range(2):  # opened again, with and then without what is new being here
        kept.goto(site.page(PAGE))
        is_ready(kept)
        assert heading(kept).startswith("Fit the TF-220")
        assert "new frame" not in css(kept)
    note = kept.locator(".page-note.newer")
    expect(note).to_contain_text("newer edition of this procedure")
    expect(note).to_contain_text("revision C")
    site.plugged = False
    kept.goto(site.page(PAGE))
    assert heading(kept).startswith("Fit the TF-220")
    kept.locator(".bar-state").click()
    kept.get_by_role("button", name="Take the new revision").click()
    expect(kept.locator("h1")).to_contain_text("Newly fit")
    assert "new frame" in css(kept)


def test_a_page_nobody_works_by_says_that_there_is_a_newer_one(
    site: Served, kept: Page, newer: Path
) -> None:
    visit(site, kept)
    kept.goto(site.page(PAGE))
    kept.locator("h1").click()  # it is being read
    site.root = newer
    kept.evaluate("dispatchEvent(new Event('online'))")
    expect(kept.locator(".page-note.newer")).to_contain_text("newer edition of this page")
    assert heading(kept).startswith("Fit the TF-220")
    kept.get_by_role("button", name="Show it").click()
    expect(kept.locator("h1")).to_contain_text("Newly fit")


@pytest.mark.parametrize("room", [1, 400_000])
def test_a_full_device_says_so_and_the_network_still_serves(
    site: Served, kept: Page, room: int
) -> None:
    session = kept.context.new_cdp_session(kept)
    origin = site.url.rstrip("/")
    session.send("Storage.overrideQuotaForOrigin", {"origin": origin, "quotaSize": room})
    kept.goto(site.page(PAGE))
    kept.locator(".this-phone summary").click()
    expect(kept.locator(".kept-trouble")).to_contain_text("room", timeout=20_000)
    expect(kept.locator(".phone-state")).to_have_text("no room for all of it")
    kept.goto(site.page(OTHER))
    expect(kept.locator("h1")).to_contain_text("BD-310")


STORED = """async () => {
    const found = await Promise.all((await caches.keys()).map((name) => caches.open(name)));
    const all = await Promise.all(found.map((each) => each.keys()));
    return all.flat().map((one) => new URL(one.url).pathname);
}"""
"""The addresses of all that the browser stores."""


def test_no_page_for_writers_is_stored_on_the_phone(site: Served, kept: Page) -> None:
    visit(site, kept)
    paths = {sent.path for sent in site.sent}
    assert not [path for path in paths if path.startswith(("/checks/", "/find-guide/"))]
    assert "/find/start.json" in paths
    listed = json.loads((site.root / "offline" / "files.json").read_text("utf-8"))["files"]
    stored = kept.evaluate(STORED)
    there = {path for path, (digest, *_) in listed.items() if f"/.kept/{digest}" in stored}
    assert {"index.html", "procedures/fit-tf-220.html", "vehicles/tarrow-finch.html"} <= there
    assert not [path for path in there if is_guide(path)]
    assert len([path for path in listed if is_guide(path)]) > 150


def test_of_a_large_manual_one_chooses_the_cars(
    site: Served, kept: Page, demo_html: Path, tmp_path: Path
) -> None:
    site.root = next_build(demo_html, tmp_path / "large", {})
    made_large(site.root, "checks/left-loose.html", 20_000_000)
    kept.goto(site.page("vehicles/brannock-drover"))  # the page that a code leads to
    expect(kept.locator(".phone-state")).to_have_text("this page is kept; choose your cars")
    kept.locator(".this-phone summary").click()
    expect(kept.locator(".kept-parts")).to_contain_text("The manual is large")
    kept.goto(site.page(OTHER))  # what is opened is kept
    kept.locator(".this-phone summary").click()
    kept.get_by_label("Tarrow Finch").check()
    kept.get_by_role("button", name="Keep these").click()
    expect(kept.locator(".kept-parts")).not_to_contain_text("The manual is large")
    is_ready(kept)
    site.plugged = False
    for name, is_here in (
        ("vehicles/brannock-drover", True),
        (PAGE, True),
        (OTHER, True),
        ("checks/left-loose", False),
    ):
        kept.goto(site.page(name))
        assert ("not on this device" not in heading(kept)) == is_here


def test_a_page_opened_as_a_file_is_readable(demo_html: Path, kept: Page) -> None:
    kept.goto((demo_html / f"{PAGE}.html").as_uri())
    expect(kept.locator("h1")).to_contain_text("TF-220")
    assert (
        kept.locator(".site-head").evaluate("e => getComputedStyle(e).borderBottomWidth") == "3px"
    )
