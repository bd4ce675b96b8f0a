"""The car in hand: pages of another vehicle say so first, lists and the search name it."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from tests.browser.chromium import new_context, watched_page
from tests.browser.test_car import PROCEDURE, choose
from tests.browser.test_find import find
from tests.browser.test_follow import begin, begin_on_unknown_car, tick

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

    from tests.browser.serving import Served

OTHER = "procedures/fit-bd-310"
NOW = re.compile("is the car now")
STEPS = ":is(section.step, .tick, .follow-bar):visible"


def take_finch(site: Served, page: Page, transmission: str = "manual") -> None:
    """Choose a car of the other vehicle, as a person does."""
    page.goto(site.page(PROCEDURE))
    choose(page, "Transmission", transmission)


@pytest.mark.parametrize("fragment", ["", "#step-5", "#one-step-5"])
def test_a_procedure_of_another_vehicle_is_put_away_until_it_is_the_car(
    site: Served, phone: Page, fragment: str
) -> None:
    take_finch(site, phone)
    phone.goto(site.page(OTHER) + fragment)
    banner = phone.get_by_role("complementary", name="Another car is in hand")
    expect(banner).to_be_in_viewport()
    expect(banner).to_contain_text("for the Brannock Drover")
    expect(banner).to_contain_text("In hand: Tarrow Finch 1.6 turbo, transmission manual")
    assert phone.locator(STEPS).count() == 0
    links = banner.locator("li a")
    expect(links.filter(has_text="TF-220")).to_be_visible()
    assert links.filter(has_text="Brannock").count() == 0
    banner.get_by_role("button", name="Read it all the same").click()
    assert phone.locator("section.step:visible").count() > 10
    assert phone.locator(".tick:visible").count() == 0
    banner.get_by_role("button", name="Put it away again").click()
    banner.get_by_role("button", name=NOW).click()  # one tap
    expect(banner).to_have_count(0)
    shown = phone.locator(".screen-step" if "one-step" in fragment else "section.step").first
    expect(shown).to_be_visible()
    phone.goto(site.page(PROCEDURE))
    expect(banner).to_contain_text("In hand: Brannock Drover")
    expect(phone.locator(".car-choice > summary")).to_contain_text("transmission manual")  # kept


def test_a_vehicles_page_says_so_and_stays_to_be_read(site: Served, phone: Page) -> None:
    phone.goto(site.page(OTHER))
    choose(phone, "Drive", "4x4")
    phone.goto(site.page("vehicles/tarrow-finch#definition-undertray-screws"))
    row, banner = phone.locator("#definition-undertray-screws"), phone.locator(".other-vehicle")
    expect(banner).to_be_in_viewport()
    expect(row).to_be_in_viewport()
    below = banner.bounding_box(), row.bounding_box()
    assert below[0]
    assert below[1]
    assert below[0]["y"] + below[0]["height"] <= below[1]["y"]
    banner.get_by_role("button", name=NOW).click()
    expect(banner).to_have_count(0)


def test_the_next_tick_asks_which_of_two_cars_stands_here(site: Served, browser: Browser) -> None:
    """Two cars, two tabs: where one works the page stays, and the tick asks."""
    with watched_page(browser, "phone") as finch:
        begin(site, finch)
        tick(finch, 1)
        finch.locator("#step-2").scroll_into_view_if_needed()
        drover = finch.context.new_page()
        drover.goto(site.page(OTHER))
        drover.get_by_role("button", name=NOW).click()
        expect(finch.locator(".other-vehicle")).to_contain_text("In hand: Brannock Drover")
        expect(finch.locator("#step-2")).to_be_in_viewport()
        finch.get_by_label("Step 2 done:").click()
        question = finch.get_by_role("dialog", name="Which car stands here?")
        for name in ("Brannock Drover", "Tarrow Finch"):
            expect(question).to_contain_text(name)
        question.get_by_role("button", name="Not yet").click()
        expect(finch.get_by_label("Step 2 done:")).not_to_be_checked()
        finch.get_by_label("Step 2 done:").click()
        question.get_by_role("button", name=NOW).click()
        expect(finch.get_by_label("Step 2 done:")).to_be_checked()
        expect(finch.get_by_label("Step 1 done:")).to_be_checked()
        expect(finch.locator(".other-vehicle")).to_have_count(0)


def test_opening_a_begun_job_says_that_it_changes_the_car(site: Served, phone: Page) -> None:
    begin(site, phone)  # on an automatic
    tick(phone, 1)
    choose(phone, "Transmission", "manual")
    phone.goto(site.page("index"))
    expect(phone.locator(".in-hand")).to_contain_text("Tarrow Finch 1.6 turbo, transmission manual")
    job = phone.locator(".begun-jobs a")
    job.click()
    expect(phone.locator(".bar-note")).to_contain_text("Car changed")
    phone.locator(".bar-state").click()
    news = phone.locator(".job-notices")
    expect(news).to_contain_text("It is Tarrow Finch 1.6 turbo, transmission automatic")
    expect(news).to_contain_text("Before, it was Tarrow Finch 1.6 turbo, transmission manual")
    phone.locator(".bar-state").click()
    phone.locator(".bar-done").click()  # said once
    expect(phone.locator(".bar-note")).not_to_contain_text("Car changed")
    phone.goto(site.page("index"))
    job.click()
    expect(phone.locator(".bar-state")).to_be_visible()
    expect(phone.locator(".bar-note")).not_to_contain_text("Car changed")


def test_a_begun_job_of_another_vehicle_opens_at_its_step(site: Served, phone: Page) -> None:
    phone.goto(site.page(OTHER))
    phone.get_by_label("Step 1 done:").click()
    begin_on_unknown_car(phone)
    take_finch(site, phone)
    phone.goto(site.page("index"))
    phone.locator(f".begun-jobs a[href*='{OTHER}']").click()
    expect(phone.locator(".screen-step")).to_have_attribute("data-step", "2")
    expect(phone.locator(".bar-note")).to_contain_text("Car changed")
    expect(phone.locator(".wrong-car")).to_have_count(0)


def test_lists_and_the_search_name_the_car_in_hand(site: Served, phone: Page) -> None:
    pages = ("index", "procedures/index", "search", "common/index")
    for name in pages:
        phone.goto(site.page(name))
        expect(phone.locator(".in-hand")).not_to_be_visible()
    take_finch(site, phone, "automatic")
    assert phone.locator(".in-hand").count() == 0  # the page has its car
    for name in pages:
        phone.goto(site.page(name))
        line = "Car in hand: Tarrow Finch 1.6 turbo, transmission automatic"
        expect(phone.locator(".in-hand")).to_have_text(line)
    phone.goto(site.page("writing/index"))
    assert phone.locator(".in-hand").count() == 0


@pytest.mark.parametrize(
    ("transmission", "queries"),
    [
        ("manual", ("negative terminal", "header nut", "fuel pump", "muffler")),
        ("automatic", ("10 mm socket", "battery clamp nut", "undertray screws")),
    ],
)
def test_a_row_of_several_pages_leads_to_one_for_the_car(
    site: Served, phone: Page, transmission: str, queries: tuple[str, ...]
) -> None:
    take_finch(site, phone, transmission)
    phone.goto(site.page("search"))
    for text in queries:
        first = find(phone, text).first
        if re.search("not for my car|another vehicle", first.inner_text()):
            continue
        address = first.get_attribute("href") or ""
        assert not re.search(r"/(fit|change)-(bd|air)-", address), text
        assert transmission == "manual" or not re.search("tf-180|gearbox", address), text
    found = find(phone, "undertray screws").first
    expect(found).to_have_attribute(
        "href", re.compile("fit-tf-220" if transmission == "automatic" else "fit-tf-")
    )


def test_a_tool_of_procedures_for_other_cars_says_so(site: Served, phone: Page) -> None:
    take_finch(site, phone, "automatic")
    phone.goto(site.page("search"))
    for text in ("clutch centring mandrel", "flywheel lock"):
        rows = find(phone, text).filter(has_text="Tool").filter(has_text=re.compile(text, re.I))
        assert rows.count() > 0, text
        for row in rows.all():
            expect(row).to_contain_text("not for my car, only: transmission=manual")
    expect(phone.get_by_role("status").first).to_contain_text(
        "not for my car: Tarrow Finch 1.6 turbo, transmission automatic"
    )


@pytest.mark.parametrize(
    ("name", "only", "no"),
    [
        ("gearbox-out", "transmission manual", "manual or automatic"),
        ("gearbox-in", "transmission manual", "manual or automatic"),
        ("fit-tf-180", "transmission manual", "manual or automatic"),
        ("fit-tf-140", "wheels alloy", "steel or alloy"),
    ],
)
def test_without_scripts_a_procedure_says_which_cars_it_is_for(
    site: Served, browser: Browser, name: str, only: str, no: str
) -> None:
    context = new_context(browser, "phone", java_script_enabled=False)
    page = context.new_page()
    page.goto(site.page(f"procedures/{name}"))
    expect(page.get_by_text(f"Only for {only}", exact=True)).to_be_in_viewport()
    facts = page.locator(".preparation > .facts-list").inner_text()
    assert facts.startswith("Only for")
    assert no not in facts
    context.close()


def test_no_card_is_offered_for_a_car_that_has_none(site: Served, phone: Page) -> None:
    """The demo is built without cards: the link is put where the build puts it."""
    take_finch(site, phone, "automatic")
    phone.goto(site.page("procedures/fit-tf-180"))
    phone.evaluate(
        """() => document.querySelector(".revision").insertAdjacentHTML("afterend",
            '<p class="print-card"><a href="x.pdf">Job card to print</a></p>')"""
    )
    phone.get_by_role("button", name="Read it all the same").click()
    expect(phone.locator(".revision")).to_be_visible()
    expect(phone.locator(".print-card")).not_to_be_visible()
    choose(phone, "Transmission", "manual")
    expect(phone.locator(".print-card")).to_be_visible()
