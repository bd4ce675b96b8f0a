"""What the phone has of a job: on which car, in which tab, and what could not be kept."""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING

from playwright.sync_api import expect

from tests.browser.chromium import watched_page
from tests.browser.test_car import PROCEDURE, choose
from tests.browser.test_follow import CAR, begin, tick, ticked, unfold
from tests.browser.test_job_state import COOLER, jobs, reading
from tests.browser.test_screen import open_step

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

    from tests.browser.serving import Served

OTHER = "procedures/fit-tf-260"
MANUAL_ONLY = "procedures/fit-tf-180"
FILL = """() => {
  for (let size = 5e6, n = 0; size > 0;) {
    try {
      localStorage.setItem(`x${n++}`, " ".repeat(size));
    } catch {
      size = Math.floor(size / 2);
    }
  }
}"""
EMPTY = """() => Object.keys(localStorage).filter((key) => key.startsWith("x"))
  .forEach((key) => localStorage.removeItem(key))"""
EARLIER = """hours => {
  for (const key of Object.keys(localStorage).filter((key) => key.startsWith("procedures-job:"))) {
    const job = JSON.parse(localStorage.getItem(key));
    job.begun = new Date(Date.now() - hours * 3600_000).toISOString();
    localStorage.setItem(key, JSON.stringify(job));
  }
}"""


def answer(page: Page, title: str, button: str) -> None:
    """Answer a question over the page."""
    page.get_by_role("dialog", name=title).get_by_role("button", name=button).click()


def of(page: Page, procedure: str) -> list[dict[str, object]]:
    """The jobs of one procedure that the phone has kept."""
    return [job for job in jobs(page) if job["procedure"] == procedure]


def test_what_is_learnt_of_the_same_car_makes_no_other_car_of_it(site: Served, phone: Page) -> None:
    phone.goto(site.page(PROCEDURE))
    choose(phone, "Transmission", "automatic")
    phone.get_by_label("Step 1 done:").click()
    question = phone.get_by_role("dialog", name="Which car is it?")
    for unknown in question.get_by_text("don't know").all():
        unknown.click()
    question.get_by_label("Order or number plate").fill("WO 1234")
    question.get_by_role("button", name="Begin on this car").click()
    tick(phone, 2)
    second = phone.context.new_page()
    second.goto(site.page(OTHER))
    for option, value in CAR[1:]:
        choose(second, option, value)
    expect(phone.locator(".follow-progress")).to_contain_text("2 of ")
    expect(phone.locator(".bar-note")).to_have_text("Kept")
    tick(phone, 3)
    phone.reload()
    assert ticked(phone) == [1, 2, 3]
    (job,) = of(phone, "fit-tf-220")
    assert job["reference"] == "WO 1234"
    assert job["car"] == dict(zip(("transmission", "tow-eye", "headlamp-washers"),
                                  (value for _, value in CAR), strict=True))  # fmt: skip
    second.close()


def test_a_second_job_is_never_begun_unasked(site: Served, phone: Page) -> None:
    begin(site, phone)
    tick(phone, 1)
    choose(phone, "Transmission", "manual")
    expect(phone.locator(".bar-note")).to_have_text("! Another car")
    title = "This procedure is begun on another car"
    phone.get_by_label("Step 2 done:").click()
    answer(phone, title, "Not yet")
    assert (ticked(phone), len(jobs(phone))) == ([], 1)
    phone.get_by_label("Step 2 done:").click()
    answer(phone, title, "Go on with that job")
    expect(phone.locator(".car-choice > summary")).to_contain_text("transmission automatic")
    assert (ticked(phone), len(jobs(phone))) == ([1], 1)
    choose(phone, "Transmission", "manual")
    phone.get_by_label("Step 2 done:").click()
    answer(phone, title, "Begin on this car too")
    assert (ticked(phone), len(jobs(phone))) == ([2], 2)
    tick(phone, 3)  # asked once


def test_storage_that_fills_up_in_mid_job_is_told_and_tabs_go_together(
    site: Served, browser: Browser
) -> None:
    with watched_page(browser, "phone") as one:
        begin(site, one)
        tick(one, 1, 2, 3)
        expect(one.locator(".bar-note")).to_have_text("Kept")
        one.evaluate(FILL)
        tick(one, 4)
        expect(one.locator(".bar-note")).to_have_text("! Not kept")
        unfold(one)
        expect(one.locator(".job-notice")).to_contain_text("until this tab is closed")
        one.reload()
        expect(one.locator(".bar-note")).to_have_text("! Not kept")
        assert ticked(one) == [1, 2, 3, 4]
        one.get_by_label("Step 2 done:").uncheck()
        two = one.context.new_page()
        two.goto(site.page(PROCEDURE))
        assert ticked(two) == [1, 2, 3]  # the job of the other tab is not here, as it said
        two.evaluate("localStorage.removeItem('x0')")
        tick(two, 5)
        expect(two.locator(".bar-note")).to_have_text("Kept")
        expect(one.locator(".bar-note")).to_have_text("Kept")
        one.close()
        two.reload()
        assert ticked(two) == [1, 3, 4, 5]
        two.evaluate(EMPTY)


def test_a_number_with_its_unit_is_read_and_what_is_none_is_missing(
    site: Served, phone: Page
) -> None:
    """45 lbf·ft are 61 N·m (1 lbf·ft = 1.355818 N·m, NIST SP 811): not 45 N·m."""
    begin(site, phone)
    open_step(phone, 16)
    stage = phone.locator(f".screen-step {COOLER}").nth(0)
    field = reading(phone, stage)
    for typed, told in (
        ("9,9 N·m", "9,9 N·m"),
        ("10Nm", "10 N·m"),
        ("7.4 ft-lb", "7.4 lbf·ft"),
        ("45 lbf·ft", "45 lbf·ft ✗ outside"),
    ):
        field.fill(typed)
        expect(stage.locator("summary")).to_have_text(f"Read: {told}")
    record = phone.locator("#record")
    for typed, why in (
        ("-45", "is below 0"),
        ("45 mm", "may stand N·m, lbf·ft or lbf·in"),
        ("ok", "is not one number"),
    ):
        field.fill(typed)
        expect(stage.locator("summary")).to_have_text(re.compile(rf"{typed}\s.*✗ not one number"))
        expect(stage.locator(".reading-note")).to_contain_text(why)
        expect(stage.locator(".stage-tick input")).not_to_be_checked()
        expect(phone.locator(".bar-note")).to_have_text("! 1 not read")
        named = record.locator(".record-names", has_text="Not one number: ")
        assert f"stage 1): “{typed}”" in (named.text_content() or "")
        missing = record.locator(".record-names", has_text="No reading yet: ").text_content() or ""
        assert missing.count("Cooler bracket bolts (step 16)") == 1
    field.fill("10 N·m")
    expect(phone.locator(".bar-note")).to_have_text("Kept")


def test_the_job_of_yesterday_asks_whose_car_it_is(site: Served, phone: Page) -> None:
    begin(site, phone)
    tick(phone, 1, 2, 3)
    phone.get_by_label("Order or number plate").fill("WO 1234")
    phone.evaluate(EARLIER, 20)
    open_step(phone, 4)
    phone.reload()
    expect(phone.locator(".screen-begun")).to_contain_text("WO 1234")
    done = phone.locator(".bar-done")
    title = "Is it still the same car?"
    done.click()
    expect(phone.get_by_role("dialog", name=title)).to_contain_text("WO 1234")
    answer(phone, title, "Go on with this car")
    expect(done.locator("input")).to_be_checked()
    open_step(phone, 5)
    done.click()
    expect(done.locator("input")).to_be_checked()  # asked once
    assert len(jobs(phone)) == 1
    phone.evaluate(EARLIER.replace("job.begun =", "job.sure = job.begun ="), 20)
    phone.reload()
    open_step(phone, 6)
    done.click()
    answer(phone, title, "It is a new car")
    question = phone.get_by_role("dialog", name="Which car is the new one?")
    for option, value in CAR:
        question.get_by_role("group", name=option).get_by_text(value, exact=True).click()
    question.get_by_label("Order or number plate").fill("WO 1300")
    question.get_by_role("button", name="Begin on this car").click()
    expect(phone.locator(".screen-begun")).to_contain_text("WO 1300")
    expect(done.locator("input")).not_to_be_checked()
    phone.goto(site.page("index"))
    entries = phone.locator(".begun-jobs li")
    expect(entries).to_have_count(2)
    entries.filter(has_text="WO 1234").get_by_role("link").click()
    expect(phone.locator(".screen-begun")).to_contain_text("WO 1234")
    assert ticked(phone) == [1, 2, 3, 4, 5]
    assert {each["reference"] for each in jobs(phone)} == {"WO 1234", "WO 1300"}


def test_a_clock_set_back_makes_no_age(site: Served, phone: Page) -> None:
    begin(site, phone)
    tick(phone, 1)
    phone.evaluate(EARLIER, -48)
    phone.goto(site.page("index"))
    entry = phone.locator(".begun-jobs li")
    expect(entry).to_contain_text("later than this device's clock")
    assert "ago" not in entry.inner_text()


def test_a_step_on_the_screen_stays_when_another_tab_changes_the_car(
    site: Served, phone: Page
) -> None:
    begin(site, phone)
    tick(phone, 1)
    only = phone.locator('section.step[data-when*="transmission=automatic"]').first
    number = only.get_attribute("data-step")
    open_step(phone, int(number or 0))
    second = phone.context.new_page()
    second.goto(site.page("kits/tf-220"))
    choose(second, "Transmission", "manual")
    expect(phone.locator(".bar-note")).to_have_text("! Car changed")
    expect(phone.locator(".screen-step")).to_have_attribute("data-step", number or "")
    expect(phone.locator(".screen-note")).to_contain_text("changed elsewhere on this device")
    done = phone.locator(".bar-done")
    done.click()
    title = "Which car is it?"
    expect(phone.get_by_role("dialog", name=title)).to_contain_text("There: transmission manual")
    answer(phone, title, "Not yet")
    expect(done.locator("input")).not_to_be_checked()
    done.click()
    answer(phone, title, "Still the one here")
    expect(done.locator("input")).to_be_checked()
    expect(second.locator(".page-car summary").first).to_contain_text("transmission automatic")
    expect(phone.locator(".screen-note")).to_be_hidden()
    choose(second, "Transmission", "manual")
    done.click()
    answer(phone, title, "The one chosen there")
    expect(phone.locator(".screen-car")).to_contain_text("transmission manual")
    assert len(jobs(phone)) == 1
    second.close()


def test_a_page_for_some_cars_has_to_know_the_car(site: Served, phone: Page) -> None:
    phone.goto(site.page(MANUAL_ONLY))
    phone.get_by_label("Step 1 done:").click()
    question = phone.get_by_role("dialog", name="Which car is it?")
    gearbox = question.get_by_role("group", name="Transmission")
    expect(gearbox.get_by_role("radio")).to_have_count(2)
    for unknown in question.get_by_text("don't know").all():
        unknown.click()
    question.get_by_role("button", name="Begin on this car").click()
    expect(question.get_by_role("alert")).to_contain_text("Not answered: transmission.")
    assert jobs(phone) == []
    gearbox.get_by_text("manual", exact=True).click()
    question.get_by_role("button", name="Begin on this car").click()
    assert ticked(phone) == [1]
    assert json.dumps(jobs(phone)[0]["car"]) == '{"transmission": "manual"}'
    phone.get_by_role("button", name="It is a new car").click()
    new = phone.get_by_role("dialog", name="Which car is the new one?")
    new.get_by_role("group", name="Transmission").get_by_text("automatic", exact=True).click()
    for unknown in new.get_by_text("don't know").all():
        unknown.click()
    new.get_by_role("button", name="Begin on this car").click()
    expect(phone.locator(".wrong-car")).to_be_visible()
    assert [job["car"] for job in jobs(phone)] == [{"transmission": "manual"}]


def test_another_tab_on_a_like_car_takes_nothing_from_this_one(site: Served, phone: Page) -> None:
    begin(site, phone)
    tick(phone, 1, 2)
    second = phone.context.new_page()
    second.goto(site.page(PROCEDURE))
    second.get_by_role("button", name="It is a new car").click()
    question = second.get_by_role("dialog", name="Which car is the new one?")
    for option, value in CAR:
        question.get_by_role("group", name=option).get_by_text(value, exact=True).click()
    question.get_by_label("Order or number plate").fill("WO 22")
    question.get_by_role("button", name="Begin on this car").click()
    tick(second, 1)
    expect(phone.locator(".bar-note")).to_contain_text("Car changed")
    assert ticked(phone) == [1, 2]
    title = "Which car is it?"
    phone.get_by_label("Step 3 done:").click()
    expect(phone.get_by_role("dialog", name=title)).to_contain_text("WO 22")
    answer(phone, title, "Still the one here")
    assert ticked(phone) == [1, 2, 3]
    expect(second.locator(".bar-note")).to_contain_text("Car changed")
    assert ticked(second) == [1]
    second.get_by_label("Step 2 done:").click()
    answer(second, title, "The one there")
    assert ticked(second) == [1, 2, 3]
    kept = {str(job["reference"]): len(job["ticks"]) for job in jobs(phone)}  # type: ignore[arg-type]
    assert kept == {"": 3, "WO 22": 1}
    second.close()
