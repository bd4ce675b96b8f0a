"""The state of a job: its own car, a changed figure, readings, storage shut, a hand-over."""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from tests.browser.chromium import watched_page
from tests.browser.test_car import BLOCKED, PROCEDURE, choose
from tests.browser.test_follow import as_revision, begin, tick, ticked, unfold
from tests.browser.test_handover import link_of
from tests.browser.test_screen import open_step

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Locator, Page

    from tests.browser.serving import Served

COOLER = ".stages[data-joint=cooler-220-bolts] .stage"
"""The stages of the cooler's bolts in step 16."""


def jobs(page: Page) -> list[dict[str, object]]:
    """The jobs that the phone has kept."""
    found: list[str] = page.evaluate(
        "Object.keys(localStorage).filter((key) => key.startsWith('procedures-job:')).sort()"
        ".map((key) => localStorage.getItem(key))"
    )
    return [json.loads(text) for text in found]


def raised(html: str) -> str:
    """The page as revision D, with 47 N·m in step 16 where revision C has 45."""
    html = html.replace('data-revision="C" data-digest="', 'data-revision="D" data-digest="f')
    html = re.sub(r'(data-step="16" data-key="[^"]*" data-digest=")\w+', r"\g<1>ffffffff", html)
    return html.replace("45\u00a0N·m", "47\u00a0N·m")


def reading(page: Page, stage: Locator) -> Locator:
    """The field of a stage's reading, its fold opened."""
    fold = stage.locator("details")
    if fold.get_attribute("open") is None:
        fold.locator("summary").click()
    return stage.locator("input[inputmode]")


def test_a_begun_job_opens_on_its_own_car_at_its_next_step(site: Served, phone: Page) -> None:
    begin(site, phone)
    tick(phone, 1)
    choose(phone, "Transmission", "manual")
    phone.get_by_label("Step 1 done:").click()
    question = phone.get_by_role("dialog", name="This procedure is begun on another car")
    question.get_by_role("button", name="Begin on this car too").click()
    tick(phone, 2, 3)
    choose(phone, "Transmission", "automatic")
    assert ticked(phone) == [1]
    phone.goto(site.page("index"))
    entry = phone.locator(".begun-jobs li", has_text="transmission manual")
    expect(entry).to_contain_text("3 of ")
    entry.get_by_role("link").click()
    expect(phone.locator(".screen-step")).to_have_attribute("data-step", "4")
    expect(phone.locator(".screen-car")).to_contain_text("transmission manual")
    assert ticked(phone) == [1, 2, 3]
    assert "#begun" not in phone.url
    phone.get_by_role("button", name="Long page").click()
    expect(phone.locator(".follow-progress")).to_contain_text("3 of ")
    bar = phone.locator(".follow-progress").inner_text()
    expect(phone.locator(".car-choice > summary")).to_contain_text("transmission manual")
    phone.goto(site.page("index"))
    expect(entry).to_contain_text(f"{bar} ticked")  # the same count on both
    phone.locator(".begun-jobs li", has_text="transmission automatic").get_by_role("link").click()
    expect(phone.locator(".screen-step")).to_have_attribute("data-step", "2")
    assert ticked(phone) == [1]


def test_nothing_done_to_an_old_figure_stands_under_the_new_one(site: Served, phone: Page) -> None:
    begin(site, phone)
    tick(phone, 1)
    open_step(phone, 16)
    phone.locator(f".screen-step {COOLER}").nth(0).locator(".stage-tick").click()
    reading(phone, phone.locator(f".screen-step {COOLER}").nth(1)).fill("22")
    as_revision(phone, raised)
    phone.reload()
    unfold(phone)
    notice = phone.locator(".job-notice")
    expect(notice).to_contain_text("Stages ticked or read: step 16: look at it again.")
    notice.get_by_role("button", name="Keep its ticks on this revision").click()
    unfold(phone)
    expect(phone.locator(".screen-step .figure").first).to_have_text("47\u00a0N·m")
    expect(phone.locator(".screen-step .stage-done")).to_have_count(0)
    mark = phone.locator(".screen-step .step-again")
    expect(mark).to_contain_text("Done to revision C: ")
    expect(mark).to_contain_text("stage 1, ticked")
    expect(mark).to_contain_text("stage 2, read 22 N·m")
    phone.reload()
    expect(phone.locator(".bar-note")).to_have_text("! Look again: 1")
    unfold(phone)
    expect(phone.locator(".job-notices")).to_contain_text("Done, and changed since:")
    listed = phone.locator(".step-list .step-changed, .contents-steps .step-changed:not([hidden])")
    expect(listed).to_have_text(["changed since revision C"] * 2)
    marked = phone.locator(".step-list a:has(.step-changed)")
    expect(marked).to_have_attribute("href", "#one-step-16")
    unfold(phone)
    mark.get_by_role("button", name="It still holds").click()
    expect(listed).to_have_count(0)
    expect(phone.locator(".screen-step .stage-done")).to_have_count(2)
    expect(mark).to_be_hidden()
    expect(phone.locator(".bar-note")).to_have_text("Kept")


def test_a_step_done_anew_keeps_what_was_read_before_aside(site: Served, phone: Page) -> None:
    begin(site, phone)
    open_step(phone, 16)
    reading(phone, phone.locator(f".screen-step {COOLER}").nth(1)).fill("22")
    as_revision(phone, raised)
    phone.reload()
    phone.locator(".bar-done").click()  # before the answer: the page asks first
    question = phone.get_by_role("dialog", name="A job was begun with revision C")
    question.get_by_role("button", name="Not yet").click()
    expect(phone.locator(".bar-done input")).not_to_be_checked()
    assert [job["revision"] for job in jobs(phone)] == ["C"]
    phone.locator(".bar-done").click()
    question.get_by_role("button", name="Keep its ticks on this revision").click()
    expect(phone.locator(".bar-done input")).to_be_checked()
    expect(phone.locator(".screen-step .step-again")).to_be_hidden()
    expect(phone.locator(".step-list .step-changed", has_text="changed")).to_have_count(0)
    (job,) = jobs(phone)
    assert job["revision"] == "D"
    assert [each["value"] for each in job["aside"].values()] == ["22"]  # type: ignore[attr-defined]


def test_ticks_on_both_revisions_go_together(site: Served, phone: Page) -> None:
    begin(site, phone)
    tick(phone, 1, 2)
    as_revision(phone, raised)
    phone.reload()
    phone.get_by_label("Step 16 done:").click()
    phone.get_by_role("dialog").get_by_role("button", name="Begin anew beside it").click()
    assert ticked(phone) == [16]
    unfold(phone)
    phone.get_by_role("button", name="Keep its ticks on this revision").click()
    assert ticked(phone) == [1, 2, 16]
    assert len(jobs(phone)) == 1


def test_a_page_changed_in_place_shows_no_old_tick_either(site: Served, phone: Page) -> None:
    begin(site, phone)
    tick(phone, 1, 16)
    as_revision(phone, lambda html: raised(html).replace('revision="D"', 'revision="C"'))
    phone.reload()
    assert ticked(phone) == [1]
    expect(phone.locator("#step-16 .step-again")).to_contain_text("Done before the change: ticked")
    unfold(phone)
    expect(phone.locator(".step-list a", has_text="changed since it was done")).to_have_count(1)
    unfold(phone)
    phone.get_by_label("Step 2 done:").click()
    question = phone.get_by_role("dialog", name="This page was changed")
    expect(question).to_contain_text("Already ticked: step 16: look at it again.")
    question.get_by_role("button", name="Keep my ticks").click()
    assert ticked(phone) == [1, 2]


def test_the_car_is_asked_for_before_a_reading_is_typed(site: Served, phone: Page) -> None:
    phone.goto(site.page(f"{PROCEDURE}#one-step-16"))
    stage = phone.locator(f".screen-step {COOLER}").nth(0)
    field = reading(phone, stage)
    field.click()
    question = phone.get_by_role("dialog", name="Which car is it?")
    question.get_by_role("button", name="Begin on this car").click()
    left = question.get_by_role("alert")
    expect(left).to_contain_text("Not answered: transmission, tow eye")
    assert jobs(phone) == []
    phone.keyboard.press("Escape")
    expect(question).to_have_count(0)
    field.click()
    for group, value in (("Transmission", "manual"), ("Tow eye", "don't know")):
        question.get_by_role("group", name=group).get_by_text(value, exact=True).click()
    question.get_by_role("button", name="Begin on this car").click()
    expect(left).to_contain_text("Not answered: headlamp")
    question.get_by_role("group", name="Headlamp").get_by_text("don't know").click()
    question.get_by_role("button", name="Begin on this car").click()
    expect(field).to_be_focused()
    phone.keyboard.type("10")
    expect(stage.locator("summary")).to_have_text("Read: 10 N·m")
    (job,) = jobs(phone)
    assert job["car"] == {"transmission": "manual"}


def test_what_is_in_a_field_stays_while_the_car_is_asked_for(site: Served, phone: Page) -> None:
    phone.goto(site.page(f"{PROCEDURE}#one-step-16"))
    stage = phone.locator(f".screen-step {COOLER}").nth(0)
    field = reading(phone, stage)
    field.evaluate(
        "one => { one.value = '45'; one.dispatchEvent(new Event('input', { bubbles: true })); }"
    )
    question = phone.get_by_role("dialog", name="Which car is it?")
    question.get_by_role("button", name="Not yet").click()
    expect(field).to_have_value("45")
    expect(stage.locator(".reading-note")).to_contain_text("Not kept yet")
    assert jobs(phone) == []


def test_a_tick_that_came_with_a_reading_goes_with_it(site: Served, phone: Page) -> None:
    begin(site, phone)
    open_step(phone, 16)
    one, two = (phone.locator(f".screen-step {COOLER}").nth(n) for n in (0, 1))
    done = re.compile("stage-done")
    field = reading(phone, one)
    field.fill("10")
    expect(one).to_have_class(done)
    field.fill("abc")
    expect(one).not_to_have_class(done)
    expect(one.locator("summary")).to_have_text("Read: abc N·m ✗ not one number")
    field.fill("10")
    expect(one).to_have_class(done)
    field.fill("")
    expect(one).not_to_have_class(done)
    two.locator(".stage-tick").click()
    field = reading(phone, two)
    field.fill("22")
    field.fill("")
    expect(two).to_have_class(done)  # ticked by hand
    phone.reload()
    expect(one).not_to_have_class(done)
    expect(two).to_have_class(done)


def test_a_reading_outside_is_marked_at_once_and_after_a_reload(site: Served, phone: Page) -> None:
    begin(site, phone)
    open_step(phone, 16)
    stage = phone.locator(f".screen-step {COOLER}").nth(0)
    reading(phone, stage).fill("398")
    for _ in range(2):
        expect(stage).to_have_class(re.compile("stage-outside"))
        expect(stage.locator(".stage-time")).to_contain_text("✗")
        expect(stage.locator("summary")).to_have_text("Read: 398 N·m ✗ outside")
        reading(phone, stage)
        expect(stage.locator(".reading-note")).to_contain_text("Is 398 N·m what was read?")
        phone.reload()
    phone.get_by_role("button", name="Long page").click()
    fold = phone.locator("#step-16 .joint-reading", has_text="398")
    expect(fold.locator("> summary")).to_have_text("Read: 398 N·m ✗ outside")
    fold.locator("> summary").click()
    expect(fold.locator(".reading-note").first).to_contain_text("Is 398 N·m what was read?")


TAB_ALONE = """
Object.defineProperty(window, "localStorage", { get() { throw new DOMException("no"); } });
"""
"""A browser that keeps what the tab has, and no longer than the tab."""


@pytest.mark.parametrize("shut", [BLOCKED, TAB_ALONE])
def test_storage_that_keeps_nothing_is_told_before_the_first_tick(
    site: Served, phone: Page, shut: str
) -> None:
    phone.add_init_script(shut)
    begin(site, phone)
    expect(phone.locator(".bar-note")).to_have_text("! Not kept")
    unfold(phone)
    expect(phone.locator(".job-notice")).to_contain_text("This phone will not keep the job.")
    tick(phone, 1)
    expect(phone.locator(".bar-note")).to_have_text("! Not kept")
    expect(phone.locator(".job-notice")).to_contain_text("This phone does not keep the job.")


def test_a_job_of_another_car_is_named_and_offered_with_equal_times(
    site: Served, phone: Page, browser: Browser
) -> None:
    phone.goto(site.page("procedures/fit-tf-180"))
    choose(phone, "Transmission", "manual")
    phone.get_by_label("Step 1 done:").click()
    question = phone.get_by_role("dialog", name="Which car is it?")
    for unknown in question.get_by_text("don't know").all():
        unknown.click()
    question.get_by_role("button", name="Begin on this car").click()
    tick(phone, 2)
    shifted = "00:01:07"
    phone.evaluate(
        """() => {
          const key = Object.keys(localStorage).find((key) => key.startsWith("procedures-job:"));
          const job = JSON.parse(localStorage.getItem(key));
          job.ticks = Object.fromEntries(Object.keys(job.ticks).map((step, n) =>
            [step, job.begun.replace(/T..:..:../, `T0${n}:01:07`)]));
          localStorage.setItem(key, JSON.stringify(job));
        }"""
    )
    phone.reload()
    (sent,) = jobs(phone)
    assert shifted in str(sent["ticks"])
    link = link_of(phone)
    with watched_page(browser, "phone") as other:
        other.goto(site.page("procedures/fit-tf-180"))
        choose(other, "Transmission", "automatic")
        expect(other.locator(".wrong-car")).to_be_visible()
        other.goto(link)
        box = other.locator(".job-received")
        expect(box).to_be_visible()
        expect(box).to_contain_text("TF-180")
        expect(box).to_contain_text("transmission manual")
        expect(box).to_contain_text("This phone is set to transmission automatic")
        box.get_by_role("button", name="Take it over").click()
        expect(other.locator(".wrong-car")).to_have_count(0)
        expect(other.locator(".car-choice > summary")).to_contain_text("transmission manual")
        assert ticked(other) == [1, 2]
        (got,) = jobs(other)
        assert got["ticks"] == sent["ticks"]


def test_two_tabs_of_one_job_take_nothing_from_each_other(site: Served, browser: Browser) -> None:
    with watched_page(browser, "phone") as one:
        begin(site, one)
        two = one.context.new_page()
        two.goto(site.page(PROCEDURE))
        for page in (one, two):
            open_step(page, 16)
        stages = [page.locator(f".screen-step {COOLER}") for page in (one, two)]
        stages[0].nth(0).locator(".stage-tick").click()
        expect(stages[1].nth(0)).to_have_class(re.compile("stage-done"))
        reading(two, stages[1].nth(1)).press_sequentially("22")
        expect(stages[0].nth(1).locator("summary")).to_have_text("Read: 22 N·m")
        one.locator(".bar-done").click()
        expect(two.locator(".bar-done input")).to_be_checked()
        one.reload()
        expect(one.locator(".screen-step .stage-done")).to_have_count(2)
        expect(one.locator(".bar-done input")).to_be_checked()


def test_what_was_done_before_a_change_is_handed_over_as_such(
    site: Served, phone: Page, browser: Browser
) -> None:
    """Two phones, both with the newer page: nothing arrives as ticked under the new figure."""
    begin(site, phone)
    tick(phone, 1, 3, 16)
    open_step(phone, 16)
    phone.locator(f".screen-step {COOLER}").nth(0).locator(".stage-tick").click()
    reading(phone, phone.locator(f".screen-step {COOLER}").nth(1)).fill("22")
    as_revision(phone, raised)
    phone.goto(site.page(PROCEDURE))
    phone.reload()
    unfold(phone)
    phone.get_by_role("button", name="Keep its ticks on this revision").click()
    unfold(phone)
    link = link_of(phone)
    expect(phone.locator(".handover-job")).to_contain_text("asks at step 16 too")
    (sent,) = jobs(phone)
    with watched_page(browser, "phone") as other:
        as_revision(other, raised)
        other.goto(link)
        box = other.locator(".job-received")
        expect(box).to_contain_text("2 ticks and 0 readings, with 1 step done before a change")
        box.get_by_role("button", name="Take it over").click()
        assert ticked(other) == [1, 3]
        (got,) = jobs(other)
        assert [got[key] for key in ("ticks", "before")] == [
            sent[key] for key in ("ticks", "before")
        ]
        expect(other.locator(".bar-note")).to_have_text("! Look again: 1")
        open_step(other, 16)
        expect(other.locator(".screen-step .figure").first).to_have_text("47\u00a0N·m")
        expect(other.locator(".screen-step .stage-done")).to_have_count(0)
        mark = other.locator(".screen-step .step-again")
        expect(mark).to_contain_text("Done to revision C: ticked ")
        expect(mark).to_contain_text("stage 1, ticked")
        expect(mark).to_contain_text("stage 2, read 22 N·m")
        mark.get_by_role("button", name="It still holds").click()
        expect(other.locator(".screen-step .stage-done")).to_have_count(2)
        expect(other.locator(".bar-note")).to_have_text("1 without a tick")
