"""At a desk: the contents beside the page, drawings beside steps; tabs and menus of any page."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from playwright.sync_api import expect

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
    expect(desk.get_by_role("link", name="Tightening").first).to_be_in_viewport()


def test_a_drawing_stands_beside_its_step(site: Served, desk: Page) -> None:
    desk.goto(site.page("procedures/fit-tf-220"))
    step = desk.locator("section.step:has(figure)").first
    drawing, said = step.locator("figure").bounding_box(), step.locator(".step-do").bounding_box()
    assert drawing is not None
    assert said is not None
    assert said["x"] + said["width"] <= drawing["x"]
    assert drawing["y"] < said["y"] + said["height"]


def test_on_a_phone_the_contents_fold(site: Served, phone: Page) -> None:
    phone.goto(site.page("procedures/fit-tf-220"))
    expect(phone.locator(".page-contents")).not_to_have_attribute("open", "")


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
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(site.page("writing/quantities"))
    newton = page.get_by_text("tighten: [10 N·m, 22 N·m]")
    pounds = page.get_by_text("tighten: [89 lbf·in, 16 lbf·ft]")
    expect(newton).to_be_visible()
    expect(pounds).to_be_hidden()
    page.get_by_text("In foot-pounds").click()
    expect(pounds).to_be_visible()
    expect(newton).to_be_hidden()
    context.close()
