"""The one-step screen and the bar in a bay: wrong cars, bounces, large text, keys, the end."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from tests.browser.chromium import watched_page
from tests.browser.test_car import PROCEDURE, choose
from tests.browser.test_follow import begin, steps_of_car, tick
from tests.browser.test_offline import visit
from tests.browser.test_screen import open_step

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page, Route

    from tests.browser.serving import Served

MANUAL_ONLY = "procedures/fit-tf-180"
CUT = """() => [...document.querySelectorAll(".bar-box :is(button, label, span)")]
  .filter((one) => one.checkVisibility()).filter((one) => {
    const range = document.createRange();
    range.selectNodeContents(one);
    const { left, right } = range.getBoundingClientRect();
    const box = one.getBoundingClientRect();
    const edge = document.documentElement.clientWidth;
    return right > box.right + 1 || left < box.left - 1 || box.right > edge;
  }).map((one) => one.textContent)"""
"""What of the bar is cut, or outside the screen."""
BROKEN = """() => [...document.querySelectorAll(".bar-box :is(button, span), .screen-car")]
  .filter((one) => one.checkVisibility()).flatMap((one) => [...one.childNodes])
  .filter((node) => node.nodeType === Node.TEXT_NODE).flatMap((node) =>
    [...node.textContent.matchAll(/[\\p{L}\\p{N}]+/gu)].filter((word) => {
      const range = document.createRange();
      range.setStart(node, word.index);
      range.setEnd(node, word.index + word[0].length);
      return new Set([...range.getClientRects()].map((rect) => Math.round(rect.top))).size > 1;
    }).map((word) => word[0]))"""
"""Words of the bar, and of the car's name, that go over two lines."""


def in_bar(page: Page) -> str:
    """What the bar says of the job, beside how far it is."""
    return page.locator(".bar-note").inner_text()


def test_a_step_of_another_car_says_so_and_leads_out(site: Served, browser: Browser) -> None:
    with watched_page(browser, "phone") as page:
        page.goto(site.page(MANUAL_ONLY))
        choose(page, "Transmission", "automatic")
        page.goto(site.page("index"))
        page.goto(f"{site.page(MANUAL_ONLY)}#one-step-5")
        banner = page.locator(".wrong-car")
        expect(banner).to_be_in_viewport()
        expect(page.locator("html")).not_to_have_attribute("data-waits", re.compile(""))
        expect(page.locator(".site-name")).to_be_visible()
        assert page.locator(".screen-step").count() == 0
        banner.get_by_role("button", name="Read it all the same").click()
        expect(page.locator("main h1")).to_be_in_viewport()
        page.locator("#step-20").scroll_into_view_if_needed()
        expect(page.locator(".wrong-car-word")).to_be_in_viewport()
        expect(banner).to_contain_text("only for transmission manual")
        banner.get_by_role("button", name="Put it away again").click()
        assert page.locator("section.step:visible").count() == 0

        choose(page, "Transmission", "manual")
        expect(page.locator(".screen-step")).to_have_attribute("data-step", "5")
        other = page.context.new_page()
        other.goto(site.page(MANUAL_ONLY))
        choose(other, "Transmission", "automatic")
        expect(banner).to_be_in_viewport()
        expect(banner).to_contain_text("changed elsewhere on this device")
        banner.get_by_role("button", name="It is still transmission manual").click()
        expect(page.locator(".screen-step")).to_have_attribute("data-step", "5")


def test_nothing_to_work_by_is_seen_before_it_is_decided(site: Served, phone: Page) -> None:
    """As on a slow phone: the page is drawn, and no module of it has run yet."""
    phone.goto(site.page(MANUAL_ONLY))
    choose(phone, "Transmission", "automatic")
    waiting: list[Route] = []
    phone.route(re.compile(r"/_static/car\.js"), lambda route: waiting.append(route))  # noqa: PLW0108
    steps = phone.locator("section.step:visible")
    for address in (MANUAL_ONLY, f"{PROCEDURE}.html#one-step-16"):
        where = site.page(address) if address == MANUAL_ONLY else f"{site.url}{address}"
        phone.goto("about:blank")
        phone.goto(where, wait_until="commit")
        expect(phone.locator("footer.site-foot")).to_have_count(1)
        assert (
            phone.locator("main").evaluate("one => getComputedStyle(one, '::before').content")
            != "none"
        )
        assert (steps.count(), phone.locator(".step-title:visible").count()) == (0, 0)
        for route in waiting:
            route.continue_()
        waiting.clear()
        shown = ".wrong-car" if address == MANUAL_ONLY else ".screen-step[data-step='16']"
        expect(phone.locator(shown)).to_be_visible()


def taps(page: Page, css: str, *gaps: int) -> None:
    """Tap a control, and again after each gap in milliseconds; then leave it alone."""
    box = page.locator(css).bounding_box()
    assert box is not None
    place = (box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.touchscreen.tap(*place)
    for gap in gaps:
        page.wait_for_timeout(gap)
        page.touchscreen.tap(*place)
    page.wait_for_timeout(450)


def test_a_bounce_is_one_tap(site: Served, phone: Page) -> None:
    begin(site, phone)
    box = phone.get_by_label("Step 1 done:")
    box.scroll_into_view_if_needed()
    taps(phone, "#step-1 .tick", 60)
    expect(box).to_be_checked()
    taps(phone, "#step-1 .tick", 200)
    expect(box).not_to_be_checked()
    open_step(phone, 1)
    forward, screen = phone.locator(".bar-forward"), phone.locator(".screen-step")
    for number in ("2", "3"):
        taps(phone, ".bar-forward", 60)
        expect(screen).to_have_attribute("data-step", number)
    taps(phone, ".bar-done", 60, 60)
    expect(phone.locator(".bar-done input")).to_be_checked()
    for number in ("4", "5"):  # keys as fast as they come
        forward.press("Enter")
        expect(screen).to_have_attribute("data-step", number)


def test_what_is_open_is_told_at_once_and_a_name_leads_to_its_row(
    site: Served, phone: Page
) -> None:
    begin(site, phone)
    open_step(phone, 3)
    phone.locator(".bar-done").click()
    told = phone.locator(".follow-toggle")
    expect(told).to_have_text("Open: 2")
    phone.get_by_role("button", name="Long page").click()
    expect(told).to_have_text("Open: 2")
    open_step(phone, 16)
    phone.locator(".screen-step a[href$='#fastener-cooler-220-bolts']").first.click()
    expect(phone.locator("#fastener-cooler-220-bolts")).to_be_in_viewport()
    open_step(phone, 16)
    phone.locator(".bar-find").click()
    phone.locator("form.find input").fill("undertray screws")
    row = phone.locator(".find-hits a[href*='#fastener-']").first
    name = re.sub(r".*#", "#", row.get_attribute("href") or "")
    row.click()
    expect(phone.locator(name)).to_be_in_viewport()


def test_a_step_of_other_cars_is_named_when_another_is_shown(site: Served, phone: Page) -> None:
    begin(site, phone)
    phone.evaluate("location.hash = '#one-step-7'")
    note = phone.locator(".screen-note")
    expect(note).to_have_text("Step 7 is not for your car: this is step 8.")
    phone.locator(".bar-forward").click()
    expect(note).not_to_be_visible()
    phone.evaluate("location.hash = '#one-step-99'")
    expect(note).to_contain_text("Step 99 is not on this page")


@pytest.mark.parametrize(
    ("width", "height", "text", "share"),
    [(320, 640, 100, 0.22), (390, 844, 115, 0.2), (390, 844, 150, 0.22), (390, 844, 200, 0.25),
     (195, 422, 100, 0.3), (640, 300, 100, 0.25)],
)  # fmt: skip
def test_large_text_leaves_room_for_the_step(
    site: Served, phone: Page, width: int, height: int, text: int, share: float
) -> None:
    """WCAG 2.2, 1.4.4 and 1.4.10: 200 % of text, and of zoom (half as many pixels)."""
    phone.set_viewport_size({"width": width, "height": height})
    begin(site, phone)
    phone.evaluate("text => { document.documentElement.style.fontSize = `${text}%`; }", text)
    tick(phone, 1, 2, 3)
    for number in (0, 16, 28):
        if number:
            open_step(phone, number)
        bar = phone.locator(".follow-bar").bounding_box()
        assert bar is not None
        if bar["width"] == width:
            assert bar["height"] <= share * height
        assert phone.evaluate("document.documentElement.scrollWidth") == width
        assert phone.evaluate(CUT) == []
        assert phone.evaluate(BROKEN) == []


def test_the_end_of_a_job_leads_to_what_is_missing_and_to_its_close(
    site: Served, phone: Page
) -> None:
    begin(site, phone)
    steps = steps_of_car(phone)
    tick(phone, *steps[:-1])
    open_step(phone, steps[-1])
    forward = phone.locator(".bar-forward")
    expect(forward).to_have_text("Record")
    forward.click()
    record = phone.locator("#record")
    expect(record).to_be_in_viewport()
    expect(record).to_contain_text("1 step without a tick")
    record.get_by_role("button", name=f"Go to step {steps[-1]}, without a tick").click()
    expect(phone.locator(f"#step-{steps[-1]}")).to_be_in_viewport()
    tick(phone, steps[-1])
    phone.locator(".follow-next").click()
    expect(record.locator("h2")).to_be_in_viewport()
    record.get_by_role("button", name=re.compile("reading missing")).click()
    expect(phone.locator("#step-14")).to_be_in_viewport()
    phone.locator(".follow-next").click()
    record.get_by_role("button", name="Close this job").click()
    record.get_by_role("button", name="Yes, close it").click()
    expect(phone.locator(".bar-note")).to_have_text("Not begun")


def test_the_bar_by_keys(site: Served, phone: Page) -> None:
    begin(site, phone)
    for css, sheet in ((".bar-state", "#follow-sheet"), (".follow-toggle", "#follow-open")):
        phone.locator(css).focus()
        phone.keyboard.press("Enter")
        expect(phone.locator(sheet)).to_be_focused()
        phone.keyboard.press("Escape")
        expect(phone.locator(sheet)).not_to_be_visible()
        expect(phone.locator(css)).to_be_focused()
    state = phone.locator(".bar-state")
    for is_tap in (False, True):
        state.click() if is_tap else state.press("Enter")
        phone.keyboard.press("Tab")
        expect(phone.locator("#follow-sheet a").first).to_be_focused()
        phone.keyboard.press("Escape")
        expect(phone.locator("#follow-sheet")).not_to_be_visible()


LAST_CHECK = re.compile(r"^! Last check \d")


def test_a_server_that_is_gone_is_told_when_a_page_is_opened(
    site: Served, browser: Browser
) -> None:
    """The browser says that there is a network; the shop's server is out of reach all the same."""
    with watched_page(browser, "phone", service_workers="allow") as page:
        visit(site, page)
        begin(site, page)
        tick(page, 1)
        assert in_bar(page) == "Kept"
        site.plugged = False
        page.reload()
        expect(page.locator(".bar-note")).to_have_text(LAST_CHECK, timeout=30_000)
        assert page.evaluate("navigator.onLine")
        page.locator(".bar-state").click()
        expect(page.locator(".job-notices")).to_contain_text("server does not answer")
        site.plugged = True
        page.evaluate("dispatchEvent(new Event('online'))")
        expect(page.locator(".bar-note")).to_have_text("Kept", timeout=30_000)


def test_who_stays_on_a_page_hears_of_a_server_that_hangs(site: Served, browser: Browser) -> None:
    """It takes each request and never answers. Asked once in ten minutes, and when taken up."""
    with watched_page(browser, "phone", service_workers="allow") as page:
        page.clock.install()
        visit(site, page)
        begin(site, page)
        tick(page, 1)
        open_step(page, 16)
        page.wait_for_timeout(500)  # what the begin of the job asks for
        site.sent.clear()
        page.clock.fast_forward(590_000)
        page.wait_for_timeout(500)
        assert site.sent == []
        site.stalled = True
        parts = [page.locator(css) for css in (".screen-step .figure", ".bar-state", ".bar-done")]
        places = [part.first.bounding_box() for part in parts]
        page.clock.fast_forward(20_000)
        note = page.locator(".bar-note")
        expect(note).to_have_text(LAST_CHECK, timeout=30_000)
        assert [part.first.bounding_box() for part in parts] == places
        page.locator(".bar-state").click()
        said = page.locator(".job-notices")
        expect(said).to_contain_text("The shop's server does not answer.")
        expect(said).to_contain_text("last compared with the shop's manual:")
        page.locator(".bar-state").click()
        page.locator(".bar-done").click()  # work goes on
        expect(page.locator(".bar-done input")).to_be_checked()
        site.stalled = False
        page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
        expect(note).to_have_text("3 without a tick", timeout=30_000)
