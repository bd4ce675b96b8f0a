"""At a desk: the contents beside the page, drawings beside steps; tabs and menus of any page."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from playwright.sync_api import expect

from tests.browser.test_car import choose

if TYPE_CHECKING:
    from playwright.sync_api import Page

    from tests.browser.serving import Served


def test_the_contents_stand_beside_the_page(site: Served, desk: Page) -> None:
    desk.goto(site.page("procedures/fit-tf-220"))
    beside = desk.locator(".page-contents")
    expect(beside).to_have_attribute("open", "")
    left, right = beside.bounding_box(), desk.locator("main").bounding_box()
    assert left is not None
    assert right is not None
    assert left["x"] + left["width"] <= right["x"]
    desk.locator("#step-16").scroll_into_view_if_needed()
    expect(beside.get_by_role("link", name="Before you start")).to_be_in_viewport()
    beside.get_by_role("link", name="Tightening").click()
    expect(desk.get_by_role("heading", name="Tightening")).to_be_in_viewport()


def test_a_drawing_stands_beside_its_step(site: Served, desk: Page) -> None:
    desk.goto(site.page("procedures/fit-tf-220"))
    step = desk.locator("section.step:has(figure)").first
    drawing, said = step.locator("figure").bounding_box(), step.locator(".step-do").bounding_box()
    assert drawing is not None
    assert said is not None
    assert said["x"] + said["width"] <= drawing["x"]
    assert drawing["y"] < said["y"] + said["height"]


STEPS = """() => [...document.querySelectorAll('section.step')].map((step) => {
    const box = (each) => each.getBoundingClientRect();
    const boxes = (names) => [...step.querySelectorAll(names)].map(box);
    const done = boxes(':scope > .step-do')[0];
    return done && {
      step: step.dataset.step,
      drawn: step.querySelector('figure') !== null,
      done: [done.left, done.top],
      words: Math.max(0, ...boxes(':scope > p:not(.applies)').map((box) => box.right)),
      signs: Math.max(0, ...boxes(':scope > .signal, :scope > .rule').map((box) => box.bottom)),
    };
}).filter(Boolean)"""


@pytest.mark.parametrize("width", [1100, 1280, 1600])
def test_what_is_done_stands_beside_the_words_and_below_every_sign(
    site: Served, desk: Page, width: int
) -> None:
    desk.set_viewport_size({"width": width, "height": 900})
    desk.goto(site.page("procedures/fit-tf-180"))
    steps = desk.evaluate(STEPS)
    assert len(steps) > 30
    assert [each["step"] for each in steps if each["done"][1] < each["signs"]] == []
    beside = [each for each in steps if not each["drawn"]]
    assert len(beside) > 20
    assert [each["step"] for each in beside if each["done"][0] < each["words"]] == []


def test_a_fold_beside_the_words_leaves_the_tick_where_it_is(site: Served, desk: Page) -> None:
    desk.goto(site.page("procedures/fit-tf-180"))
    step = desk.locator("#step-34")
    step.scroll_into_view_if_needed()
    tick = "document.querySelector('#step-34 > .tick').getBoundingClientRect().top + scrollY"
    before = desk.evaluate(tick)
    for reading in step.locator(".joint-reading > summary").all():
        reading.click()
    assert step.locator(".joint-reading[open]").count() > 1
    assert abs(desk.evaluate(tick) - before) < 16


def test_one_step_has_its_words_beside_what_is_done(site: Served, desk: Page) -> None:
    desk.goto(site.page("procedures/fit-tf-180#one-step-6"))
    work, words = (desk.locator(f"#step-6 .screen-{part}") for part in ("work", "words"))
    expect(desk.locator("#step-1")).not_to_be_visible()
    left, right = work.bounding_box(), words.bounding_box()
    assert left is not None
    assert right is not None
    assert left["x"] + left["width"] <= right["x"]
    assert abs(left["y"] - right["y"]) < 24


def test_on_a_phone_the_contents_fold(site: Served, phone: Page) -> None:
    phone.goto(site.page("procedures/fit-tf-220"))
    expect(phone.locator(".page-contents")).not_to_have_attribute("open", "")


def test_the_contents_list_the_steps_without_a_script(site: Served, browser: Any) -> None:
    context = browser.new_context(java_script_enabled=False, viewport={"width": 390, "height": 844})
    page = context.new_page()
    page.goto(site.page("procedures/fit-tf-220"))
    page.get_by_text("On this page").click()
    links = page.locator(".contents-steps a")
    assert links.count() == page.locator("section.step").count()
    page.get_by_role("link", name="16 Seat the cooler and tighten it down").click()
    expect(page.locator("#step-16")).to_be_in_viewport()
    context.close()


def test_the_contents_leave_out_the_steps_of_other_cars(site: Served, desk: Page) -> None:
    desk.goto(site.page("procedures/fit-tf-220"))
    step = desk.locator(".contents-steps").get_by_role("link", name="Screw the towing eye back in")
    expect(step).to_be_visible()
    choose(desk, "Tow eye", "absent")
    expect(step).not_to_be_visible()


def test_double_entry_and_the_customers_sheet_fold(site: Served, phone: Page) -> None:
    phone.goto(site.page("procedures/fit-tf-220"))
    sheet = phone.locator(".handover")
    expect(sheet).not_to_be_visible()
    phone.get_by_text("The customer's sheet").tap()
    expect(sheet).to_be_visible()
    entry = phone.locator("details.double-entry").first
    expect(entry.locator("table")).not_to_be_visible()
    entry.locator("summary").click()
    expect(entry.locator("table")).to_be_visible()


def test_technicians_have_no_menu_of_writers(site: Served, phone: Page) -> None:
    menu = phone.get_by_role("navigation", name="Manual")
    phone.goto(site.page("procedures/fit-tf-220"))
    expect(menu.get_by_role("link", name="Cars")).to_be_visible()
    expect(menu.get_by_role("link", name="Writing")).to_have_count(0)
    phone.get_by_role("link", name="For writers").tap()
    phone.wait_for_url("**/writing/index.html")
    expect(menu.get_by_role("link", name="Writing")).to_be_visible()


def test_a_whole_card_is_tapped(site: Served, phone: Page) -> None:
    phone.goto(site.page("using/index"))
    box = phone.locator(".sd-card", has_text="My car").bounding_box()
    assert box is not None
    phone.touchscreen.tap(box["x"] + box["width"] - 12, box["y"] + box["height"] - 12)
    phone.wait_for_url("**/using/my-car.html")


def test_tabs_need_no_script(site: Served, browser: Any) -> None:
    context = browser.new_context(java_script_enabled=False, viewport={"width": 390, "height": 844})
    page = context.new_page()
    page.goto(site.page("writing/quantities"))
    newton = page.get_by_text("brace-bolts: [10 N·m, 22 N·m]")
    pounds = page.get_by_text("brace-bolts: [89 lbf·in, 16 lbf·ft]")
    expect(newton).to_be_visible()
    expect(pounds).to_be_hidden()
    label = page.locator(".sd-tab-set > label", has_text="lbf·ft")
    box = label.bounding_box()
    assert box is not None
    assert box["height"] >= 48
    label.click()
    expect(pounds).to_be_visible()
    expect(newton).to_be_hidden()
    page.emulate_media(media="print")
    for shown in (newton, pounds, label):
        expect(shown).to_be_visible()
    context.close()


def test_a_link_into_a_tab_shows_what_it_leads_to(site: Served, desk: Page) -> None:
    desk.goto(site.page("writing/quantities"))
    hidden = desk.get_by_text("brace-bolts: [89 lbf·in, 16 lbf·ft]")
    expect(hidden).to_be_hidden()
    desk.evaluate("document.querySelectorAll('.sd-tab-content pre')[1].id = 'place'")
    desk.evaluate("location.hash = '#place'")
    expect(hidden).to_be_in_viewport()


def test_tabs_are_chosen_with_keys(site: Served, desk: Page) -> None:
    desk.goto(site.page("writing/quantities"))
    desk.locator(".sd-tab-set > input").first.focus()
    desk.keyboard.press("ArrowRight")
    expect(desk.get_by_text("brace-bolts: [89 lbf·in, 16 lbf·ft]")).to_be_visible()
    outlined = "getComputedStyle(document.activeElement.nextElementSibling).outlineStyle"
    assert desk.evaluate(outlined) == "solid"


def test_the_search_finds_what_stands_in_a_tab(site: Served, desk: Page) -> None:
    desk.goto(f"{site.page('search')}?q=signs+and+rules+stand+across+the+top")
    expect(desk.locator("main")).to_contain_text("Where things stand")
