"""The worker proves itself whole; and what is kept of a manual with many cars is chosen by name."""

from __future__ import annotations

import json
import shutil
from functools import partial
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from tests.browser.builds import next_build
from tests.browser.chromium import watched_page
from tests.browser.cutting import cut_updates
from tests.browser.serving import Served
from tests.browser.test_offline import PAGE, begin_job, heading, kept, visit

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Browser, Page, Route

__all__ = ["kept"]

UPDATE = """async () => {
  const registration = await navigator.serviceWorker.getRegistration();
  const asked = registration.update().then((now) => now.installing, (error) => String(error));
  const worker = await asked;
  if (worker === null || typeof worker === "string") return worker ?? "none";
  while (!["activated", "redundant"].includes(worker.state)) {
    await new Promise((resolve) => worker.addEventListener("statechange", resolve, { once: true }));
  }
  return worker.state;
}"""
"""Asks for a new worker; returns what became of it."""


def test_no_beginning_of_the_worker_is_a_script(demo_html: Path, phone: Page) -> None:
    text = (demo_html / "worker.js").read_text("utf-8")
    ends = [*range(1, len(text) - 1, 97), *(n for n, sign in enumerate(text) if sign == "}")]
    served = Served(demo_html / "_static" / "job")
    phone.goto(served.url + "blank")
    passed = phone.evaluate(
        """({ text, ends }) => ends.filter((end) => {
          try {
            new Function(text.slice(0, end));
            return true;
          } catch {
            return false;
          }
        })""",
        {"text": text, "ends": [end for end in ends if end < len(text) - 1]},
    )
    served.close()
    assert passed == []


@pytest.mark.parametrize("damage", ["cut", "changed"])
def test_a_damaged_worker_does_not_take_over(
    site: Served, kept: Page, demo_html: Path, tmp_path: Path, damage: str
) -> None:
    visit(site, kept)
    site.root = tmp_path / "damaged"
    shutil.copytree(demo_html, site.root)
    worker = site.root / "worker.js"
    whole = worker.read_text("utf-8")
    half = whole[: len(whole) // 2]
    worker.write_text(half if damage == "cut" else whole.replace("DOCTYPE", "DUCTYPE"), "utf-8")
    became = kept.evaluate(UPDATE)
    assert became == "redundant" or "TypeError" in became or "SyntaxError" in became, became
    site.plugged = False
    kept.goto(site.page("jobs/index"))
    assert "not on this device" not in heading(kept)
    site.plugged = True
    worker.write_text(whole.replace("function manualWorker", "function  manualWorker"), "utf-8")
    assert kept.evaluate(UPDATE) == "redundant"  # a space more is another worker too
    worker.write_text(f"{whole} ", "utf-8")
    assert kept.evaluate(UPDATE) == "activated"


def test_an_empty_worker_is_pushed_out_before_it_takes_over(
    site: Served, kept: Page, demo_html: Path, tmp_path: Path
) -> None:
    visit(site, kept)
    site.root = tmp_path / "empty"
    shutil.copytree(demo_html, site.root)
    (site.root / "worker.js").write_text("", "utf-8")
    taken = kept.evaluate(
        """async () => {
          const { serviceWorker } = navigator;
          const registration = await serviceWorker.getRegistration();
          void registration.update();
          await new Promise((taken) => serviceWorker.addEventListener("controllerchange", taken));
          return serviceWorker.controller.scriptURL;
        }"""
    )
    assert taken == f"{site.url}worker-2.js"
    context = kept.context
    kept.close()
    site.plugged = False
    page = context.new_page()
    page.goto(site.page("jobs/index"))
    assert "not on this device" not in heading(page)
    site.plugged = True


def test_a_car_among_many_is_chosen_by_its_name(
    site: Served, kept: Page, demo_html: Path, tmp_path: Path
) -> None:
    site.root = tmp_path / "many"
    shutil.copytree(demo_html, site.root)
    listed = site.root / "offline" / "files.json"
    content = json.loads(listed.read_text("utf-8"))
    more = {"files": 0, "packed": 30_000_000, "size": 200_000_000}
    content["parts"] += [{"id": f"c{n}", "name": f"Kesél {n}", **more} for n in range(100)]
    content["all"]["packed"] += 3_000_000_000
    listed.write_text(json.dumps(content), "utf-8")
    kept.goto(site.page(PAGE))
    expect(kept.locator(".phone-state")).to_have_text("this page is kept; choose your cars")
    kept.locator(".this-phone summary").click()
    form = kept.locator(".kept-parts")
    boxes = form.get_by_role("checkbox")
    expect(boxes).to_have_count(1)  # the car of this page
    expect(form).to_contain_text("102 more are not listed.")
    kept.get_by_label("Find a car").fill("kesel 42")
    expect(form.locator("label:visible", has_text="Kesél 42 (30.0 MB)")).to_have_count(1)
    expect(boxes).to_have_count(1)
    boxes.check()
    kept.get_by_label("Find a car").fill("")
    expect(boxes).to_have_count(2)  # what is ticked stays in sight
    expect(form.locator(".kept-total")).to_contain_text("About 30.")
    expect(form.locator(".kept-room")).to_contain_text("The browser says that it has room for")
    form.get_by_role("button", name="Show all").click()
    expect(boxes).to_have_count(103)


def answered(before: str, route: Route) -> None:
    """Answer with the worker of the site behind a script."""
    body = before + route.fetch().text()
    route.fulfill(content_type="text/javascript", body=body)


def test_a_browser_that_can_not_pack_says_what_it_stores(site: Served, browser: Browser) -> None:
    sizes = []
    for script in ("", "delete self.CompressionStream;"):
        with watched_page(browser, "phone", service_workers="allow") as page:
            page.context.route("**/worker.js", partial(answered, script))
            visit(site, page)
            used = page.evaluate("navigator.storage.estimate().then(({ usage }) => usage)")
            page.locator(".this-phone summary").click()
            said = page.locator(".kept-total").inner_text()
            sizes.append((used, float(said.split()[1])))
    (packed, says), (plain, says_plain) = sizes
    assert plain > 2 * packed
    for used, told in ((packed, says), (plain, says_plain)):
        assert used / 1e6 == pytest.approx(told, rel=0.25)


def test_an_update_that_is_cut_is_never_mixed(
    browser: Browser, demo_html: Path, tmp_path: Path
) -> None:
    """At a few bytes; ``python -m tests.browser.cutting 60`` cuts at each file's boundaries."""
    assert cut_updates(browser, demo_html, tmp_path, 3) == 3


def test_a_clock_that_is_set_back_hides_no_newer_edition(
    site: Served, browser: Browser, demo_html: Path, tmp_path: Path
) -> None:
    newer = {f"{PAGE}.html": ("<h1>Fit the TF-220", "<h1>Newly fit the TF-220")}
    with watched_page(browser, "phone", service_workers="allow") as page:
        visit(site, page)
        page.goto(site.page(PAGE))
        page.locator("h1").click()  # it is being read
        site.root = next_build(demo_html, tmp_path / "next", newer)
        page.context.service_workers[0].evaluate("Date.now = () => 1_000_000_000_000;")  # 2001
        page.evaluate("dispatchEvent(new Event('online'))")
        expect(page.locator(".page-note.newer")).to_contain_text("newer edition of this page")


def test_two_tabs_of_a_job_stay_at_its_edition(
    site: Served, browser: Browser, demo_html: Path, tmp_path: Path
) -> None:
    """What is ticked in one is ticked in the other, before and after an update in mid-step."""
    newer = {f"{PAGE}.html": ("<h1>Fit the TF-220", "<h1>Newly fit the TF-220")}
    with watched_page(browser, "phone", service_workers="allow") as page:
        visit(site, page)
        begin_job(page)
        other = page.context.new_page()
        other.goto(f"{site.page(PAGE)}#one-step-2")
        site.root = next_build(demo_html, tmp_path / "next", newer)
        other.evaluate("dispatchEvent(new Event('online'))")
        for each in (page, other):
            expect(each.locator(".bar-note")).to_contain_text("Revision C", timeout=30_000)
        other.locator(".bar-done").click()
        expect(page.get_by_label("Step 2 done:")).to_be_checked()
        for each in (page, other):
            each.reload()
            assert heading(each).startswith("Fit the TF-220")
        other.goto(site.page("index"))  # which lists the job, and is not held by it
        expect(other.locator(".begun-jobs li")).to_contain_text("2 of 30 steps ticked")
