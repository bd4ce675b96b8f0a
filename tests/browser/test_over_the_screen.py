"""Over a step: stages left, the way back, keys, large text, what is of the car alone."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import pytest
from playwright.sync_api import expect

from tests.browser.test_car import choose
from tests.browser.test_follow import begin
from tests.browser.test_record import save
from tests.browser.test_screen import open_step

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Page

    from tests.browser.serving import Served

MANUAL = (("Transmission", "manual"), ("Tow eye", "absent"), ("Headlamp", "absent"))
BAR = (".bar-state", ".follow-toggle", ".bar-find", ".bar-done", ".bar-back", ".bar-forward")


def test_done_over_a_stage_without_a_tick_is_told(
    site: Served, phone: Page, tmp_path: Path
) -> None:
    phone.goto(site.page("procedures/fit-tf-180"))
    for option, value in (*MANUAL, ("Start stop", "absent")):
        choose(phone, option, value)
    open_step(phone, 20)
    stages = phone.locator(".screen-step .stage-tick input")
    assert stages.count() == 3
    for n in (0, 1):
        stages.nth(n).click()
        phone.wait_for_timeout(450)  # quicker taps count as one
    phone.locator(".bar-done").click()
    phone.locator(".bar-state").click()
    row = phone.locator("#follow-sheet .step-list a[aria-current]")
    expect(row).to_contain_text("1 stage without a tick")
    expect(row.locator(".step-list-done")).to_have_text("done")
    phone.keyboard.press("Escape")
    phone.get_by_role("button", name="Long page").click()
    record = phone.locator("#record")
    expect(record).to_contain_text("1 stage of done steps without a tick")
    named = record.locator(".record-names", has_text="Done, with a stage without a tick: ")
    expect(named).to_contain_text("step 20, stage 3, ")
    expect(named).to_contain_text("30°")
    saved = json.loads(save(phone, tmp_path).read_text("utf-8"))
    assert [(each["step"], each["stage"]) for each in saved["stages_left"]] == [(20, 3)]
    assert [each["stage"] for each in saved["stages"] if each["step"] == 20] == [1, 2]
    phone.locator(".handover-job > summary").click()
    told = phone.locator(".handover-job")
    expect(told).to_contain_text("Done, with a stage without a tick: step 20.")
    open_step(phone, 20)
    stages.nth(2).click()
    phone.get_by_role("button", name="Long page").click()
    expect(record).not_to_contain_text("stage without a tick")
    expect(told).not_to_contain_text("stage without a tick")


def test_keys_and_the_way_back_keep_the_step(site: Served, phone: Page) -> None:
    begin(site, phone)
    open_step(phone, 2)
    phone.locator(".bar-forward").focus()
    phone.keyboard.press("Enter")
    expect(phone.locator("#step-3")).to_have_class("step screen-step")
    expect(phone.locator("#step-3 .step-title")).to_be_focused()
    phone.keyboard.press("Enter")
    phone.wait_for_timeout(100)
    assert phone.url.endswith("#one-step-3")
    for opener, over in ((".bar-find", ".find-near"), (".bar-state", "#follow-sheet")):
        phone.locator(opener).click()
        expect(phone.locator(over)).to_be_visible()
        phone.go_back()
        expect(phone.locator(over)).not_to_be_visible()
        assert phone.url.endswith("#one-step-3")
        expect(phone.locator("#step-3 .step-title")).to_be_visible()
    phone.locator(".bar-state").click()
    phone.locator(".bar-forward").click()  # no way back: the sheet is no hindrance
    expect(phone.locator("#step-4 .step-title")).to_be_visible()
    phone.locator(".bar-state").click()
    phone.go_back()
    expect(phone.locator("#step-3 .step-title")).to_be_visible()
    phone.go_back()
    expect(phone.locator("#step-2 .step-title")).to_be_visible()


def test_the_way_back_closes_the_question_of_the_car(site: Served, phone: Page) -> None:
    phone.goto(site.page("procedures/fit-tf-220"))
    open_step(phone, 1)
    open_step(phone, 2)
    phone.locator(".bar-done").click()
    question = phone.locator("dialog.car-question")
    expect(question).to_be_visible()
    phone.go_back()
    expect(question).to_have_count(0)
    assert phone.url.endswith("#one-step-2")
    expect(phone.locator("#step-2 .step-title")).to_be_visible()
    expect(phone.locator(".bar-done input")).not_to_be_checked()
    phone.go_back()
    expect(phone.locator("#step-1 .step-title")).to_be_visible()


@pytest.mark.parametrize(("width", "height"), [(844, 390), (667, 375)])
def test_large_text_on_the_side_leaves_every_way_in_reach(
    site: Served, phone: Page, width: int, height: int
) -> None:
    """WCAG 2.2, 1.4.4: 200 % of text without loss of function."""
    phone.set_viewport_size({"width": width, "height": height})
    begin(site, phone)
    open_step(phone, 16)
    for text in (100, 150, 175, 200):
        phone.evaluate("text => { document.documentElement.style.fontSize = `${text}%`; }", text)
        boxes: dict[str, Any] = {css: phone.locator(css).bounding_box() or {} for css in BAR}
        for css, box in boxes.items():
            assert box["y"] >= 0, (css, text)
            assert box["y"] + box["height"] <= height, (css, text)
            assert min(box["width"], box["height"]) >= 47.5, (css, text)
        assert boxes[".bar-done"]["y"] >= boxes[".bar-find"]["y"] + boxes[".bar-find"]["height"]
        top: Any = phone.locator(".screen-top > button").bounding_box() or {}
        assert top["y"] + top["height"] <= boxes[".bar-state"]["y"]


def test_kits_and_jobs_of_other_cars_are_put_away(site: Served, phone: Page) -> None:
    phone.goto(site.page("procedures/fit-tf-180"))
    choose(phone, "Transmission", "automatic")
    for place in ("kits/tf-180#definition-flywheel-180-bolts", "jobs/finch-clutch-and-cooler"):
        phone.goto(site.page(place))
        banner = phone.locator(".wrong-car")
        expect(banner).to_be_in_viewport()
        tables = phone.locator("main table")
        assert tables.count() > 0
        assert tables.filter(visible=True).count() == 0, place
        banner.get_by_role("button", name="Read it all the same").click()
        assert tables.filter(visible=True).count() > 0, place


def test_tools_and_sums_are_those_of_the_car(site: Served, phone: Page) -> None:
    """The figures are those of the card of this car."""
    phone.goto(site.page("procedures/fit-tf-220"))
    tools = phone.locator(".facts-tools tr[id]")
    sums = phone.locator("[data-sum]")
    assert sums.all_inner_texts() == ["30", "5\u00a0h 33\u00a0min", "2"]
    socket = tools.filter(has_text="24 mm socket")
    assert socket.evaluate("one => one.hidden") is False
    steps = phone.locator("#tool-10-mm-socket td[data-label=Steps]")
    before = steps.text_content()
    for option, value in (MANUAL[1], MANUAL[2], ("Transmission", "automatic")):
        choose(phone, option, value)
    expect(sums).to_have_text(["26", "5 h 18 min", "2"])
    assert socket.evaluate("one => one.hidden") is True
    listed = (steps.text_content() or "").split(", ")
    hidden = phone.locator("section.step[hidden]").evaluate_all(
        "all => all.map(s => s.dataset.step)"
    )
    assert set(listed).isdisjoint(hidden)
    shown = phone.locator(".facts-tools tr[id]:not([hidden]) td[data-label=Steps] a")
    assert set(shown.all_text_contents()).isdisjoint(hidden)
    phone.locator(".car-away").get_by_role("button", name="Show all").click()
    expect(sums).to_have_text(["30", "5\u00a0h 33\u00a0min", "2"])
    assert steps.text_content() == before
