"""What has to be within reach of a thumb or a key, and nothing that goes without a question."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from procedures_lib.fronts.site.missing_page import root_of
from tests.browser.test_anyone import ALL, violations
from tests.browser.test_car import PROCEDURE
from tests.browser.test_follow import as_revision, begin, steps_of_car, tick, unfold
from tests.browser.test_job_state import COOLER, jobs, raised, reading
from tests.browser.test_remarks import note
from tests.browser.test_screen import open_step

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Page, Route

    from tests.browser.serving import Served

LONG = "vehicles/tarrow-finch"
SMALL = """() => [...document.querySelectorAll(":is(main, nav, footer) :is(a, button, summary)")]
  .filter((one) => one.checkVisibility() && !one.matches(".headerlink"))
  .filter((one) => {
    const around = one.closest("p, td, dd, figcaption");
    const runs = around && !around.matches(".rule-title, .signal-steps, .site-foot p")
      && around.textContent.trim() !== one.textContent.trim();
    const { width, height } = one.getBoundingClientRect();
    const isSmall = width && (width < 43.5 || height < 43.5);
    return isSmall && !runs && !one.closest(".sd-card-title, .picture-layer");
  }).map((one) => `${one.parentElement.className} > ${one.textContent.trim()}`)"""
"""What is smaller than 44 px, but for links in running text (WCAG 2.2, 2.5.5)."""


def test_a_job_of_another_revision_is_thrown_away_only_after_a_question(
    site: Served, phone: Page
) -> None:
    begin(site, phone)
    tick(phone, 1, 2)
    as_revision(phone, raised)
    phone.reload()
    unfold(phone)
    sheet = phone.locator("#follow-sheet")
    sheet.get_by_role("button", name="Throw it away").click()
    assert len(jobs(phone)) == 1
    sheet.get_by_role("button", name="Keep it", exact=True).click()
    sheet.get_by_role("button", name="Throw it away").click()
    sheet.get_by_role("button", name="Yes, throw it away").click()
    assert jobs(phone) == []


def test_a_remark_that_is_too_long_stays_until_it_fits(site: Served, phone: Page) -> None:
    begin(site, phone)
    sheet = note(phone, 3, "Unclear")
    field = sheet.get_by_label("In a line")
    expect(sheet).to_contain_text("300 characters left")
    field.focus()
    phone.keyboard.insert_text("x" * 500)
    expect(sheet).to_contain_text("200 characters too many")
    sheet.get_by_role("button", name="Done").click()
    phone.evaluate("dispatchEvent(new Event('online'))")  # what shows everything anew
    expect(sheet).to_be_visible()
    expect(field).to_have_value("x" * 500)
    field.fill("y" * 300)
    expect(sheet).to_contain_text("0 characters left")
    sheet.get_by_role("button", name="Done").click()
    expect(sheet).to_be_hidden()
    [job] = jobs(phone)
    assert "y" * 300 in str(job["remarks"])


def test_a_step_that_is_done_without_its_stages_says_so_at_once(site: Served, phone: Page) -> None:
    begin(site, phone)
    open_step(phone, 16)
    before = phone.locator(".screen-work").bounding_box()
    phone.get_by_label("Done: step 16").check()
    bar = phone.locator(".bar-note")
    expect(bar).to_have_text("3 without a tick")
    expect(phone.locator(".bar-state")).not_to_have_class(re.compile("to-see"))
    expect(phone.locator(".stage-time", has_text="no tick")).to_have_count(3)
    assert phone.locator(".screen-work").bounding_box() == before
    phone.locator(f"{COOLER} .stage-tick input").first.check()
    expect(bar).to_have_text("2 without a tick")
    reading(phone, phone.locator(COOLER).nth(1)).fill("22")
    expect(bar).to_have_text("1 without a tick")
    phone.goto(f"{site.page(PROCEDURE)}#step-16")
    expect(phone.locator("#step-16 .tick-left")).to_have_text("1 stage without a tick")


@pytest.mark.parametrize("page", [LONG, "results/finch-tf-220", "search"])
def test_find_is_within_reach_on_every_page(site: Served, phone: Page, page: str) -> None:
    phone.goto(site.page(page))
    phone.evaluate("scrollTo(0, 9000)")
    top = phone.evaluate("document.querySelector('h1').getBoundingClientRect().top")
    bar = phone.get_by_role("complementary", name="Within reach")
    link = bar.get_by_role("link", name="Find")
    expect(link).to_be_in_viewport(ratio=1)
    link.tap()
    field = phone.locator("form.find input[type=search]").first
    expect(field).to_be_focused()
    expect(field).to_be_in_viewport(ratio=1)
    if page == LONG:
        moved = phone.evaluate("document.querySelector('h1').getBoundingClientRect().top")
        assert abs(moved - top) < 1
        phone.keyboard.press("Escape")
        expect(link).to_be_focused()
    phone.evaluate("scrollTo(0, 1e6)")
    foot, edge = phone.locator(".site-foot").bounding_box(), bar.bounding_box()
    assert foot
    assert edge
    assert foot["y"] + foot["height"] <= edge["y"] + 1


@pytest.mark.parametrize("percent", [150, 200])
def test_what_the_bar_says_is_never_cut_with_large_text(
    site: Served, phone: Page, percent: int
) -> None:
    begin(site, phone)
    phone.evaluate("size => { document.documentElement.style.fontSize = size }", f"{percent}%")
    high = set()
    for said in ("Kept", "! Another car", "! Sign in again +2", "12 without a tick"):
        phone.locator(".bar-note").evaluate("(one, said) => { one.textContent = said }", said)
        phone.locator(".bar-state").evaluate(
            "(one, said) => { one.classList.toggle('telling', said !== 'Kept') }", said
        )
        cut = phone.locator(".bar-state, .bar-state > span").evaluate_all(
            "all => all.filter((e) => e.scrollWidth > e.clientWidth + 1 "
            "|| e.scrollHeight > e.clientHeight + 1).map((e) => e.textContent)"
        )
        assert cut == []
        high.add(phone.locator(".follow-bar").evaluate("one => one.offsetHeight"))
    assert len(high) == 1


def test_without_a_worker_the_page_says_that_it_is_not_kept(site: Served, phone: Page) -> None:
    phone.add_init_script(
        "Object.defineProperty(Navigator.prototype, 'serviceWorker', { get: () => undefined })"
    )
    begin(site, phone)
    expect(phone.locator(".phone-state")).to_have_text("not kept: needs a network")
    expect(phone.locator(".bar-note")).to_have_text("Needs a network")
    unfold(phone)
    expect(phone.locator("#follow-sheet")).to_contain_text("not kept on this device")


def test_a_steps_screen_by_keys(site: Served, desk: Page) -> None:
    begin(site, desk)
    first, second = steps_of_car(desk)[:2]
    desk.goto("about:blank")
    desk.goto(f"{site.page(PROCEDURE)}#one-step-{first}")
    number = desk.locator(".screen-step .step-title")
    expect(number).to_be_focused()
    desk.keyboard.press("ArrowRight")
    expect(desk.locator(".screen-step")).to_have_attribute("data-step", str(second))
    expect(number).to_be_focused()
    desk.locator(".bar-find").click()
    desk.keyboard.press("ArrowLeft")  # in the field
    desk.keyboard.press("Escape")
    unfold(desk)
    desk.keyboard.press("Escape")
    expect(desk.locator(".screen-step")).to_have_attribute("data-step", str(second))
    assert violations(desk, ALL) == []
    desk.keyboard.press("ArrowLeft")
    expect(desk.locator(".screen-step")).to_have_attribute("data-step", str(first))
    desk.keyboard.press("Escape")
    expect(desk.locator(".screen-step")).to_have_count(0)
    expect(desk.locator(f"#step-{first} .step-title")).to_be_focused()


@pytest.mark.parametrize(
    "page", ["common/index", "common/isolate-battery", "kits/tf-220", PROCEDURE]
)
def test_targets_are_large_enough(site: Served, phone: Page, page: str) -> None:
    phone.goto(site.page(page))
    phone.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true })")
    assert phone.evaluate(SMALL) == []


def test_the_page_for_what_is_not_there_works_at_any_address(
    site: Served, phone: Page, demo_html: Path
) -> None:
    text = (demo_html / "404.html").read_text("utf-8")
    links = re.findall(r'(?:href|src|action|data-content_root)="([^"]*)"', text)
    assert [link for link in links if not link.startswith(("/", "#"))] == []
    phone.route("**/deep/down/*", lambda route: _missing(route, text))
    phone.goto(site.page("deep/down/nothing"))
    assert violations(phone, ALL) == []
    phone.locator("form.find input[type=search]").fill("cooler bolts")
    expect(phone.locator(".find-hit").first).to_be_visible()
    phone.keyboard.press("Escape")
    phone.get_by_role("link", name="To the first page").click()
    expect(phone).to_have_url(site.page("index"))


def _missing(route: Route, text: str) -> None:
    route.fulfill(status=404, body=text, content_type="text/html; charset=utf-8")


def test_the_root_is_the_path_of_the_sites_address() -> None:
    assert root_of("") == root_of("https://manual.example/") == "/"
    assert root_of("https://shop.example/manual") == "/manual/"
