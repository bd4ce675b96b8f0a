"""Following a procedure: ticks that last, open items, a changed page, failing storage, two tabs."""

from __future__ import annotations

import json
import re
from itertools import pairwise
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from procedures_lib.fronts.site.step_html import open_after
from procedures_lib.judging.checks import check_manual
from procedures_lib.language.entities.work import Procedure
from procedures_lib.language.variants import read_condition
from procedures_lib.manual import Manual
from procedures_lib.manual.names import humanised, name_of
from procedures_lib.walk.walk import walk
from tests.browser.chromium import watched_page
from tests.browser.conftest import PROJECT
from tests.browser.test_car import BLOCKED, PROCEDURE, choose

if TYPE_CHECKING:
    from collections.abc import Callable

    from playwright.sync_api import Browser, Dialog, Page, Route

    from tests.browser.serving import Served

CAR = (("Transmission", "automatic"), ("Tow eye", "absent"), ("Headlamp", "absent"))
WHEN = "transmission=automatic and tow-eye=absent and headlamp-washers=absent"
FULL = """
Storage.prototype.setItem = function () { throw new DOMException("full", "QuotaExceededError"); };
"""
LOCAL_FULL = """
const put = Storage.prototype.setItem;
Storage.prototype.setItem = function (...words) {
  if (this === window.localStorage) throw new DOMException("full", "QuotaExceededError");
  return put.apply(this, words);
};
"""
WAKE = """
window.asked = [];
Object.defineProperty(navigator, "wakeLock", { value: { request: async (kind) => {
  window.asked.push(kind);
  const lock = new EventTarget();
  lock.release = async () => {
    window.asked.push("release");
    lock.dispatchEvent(new Event("release"));
  };
  return lock;
} } });
"""


def begin(site: Served, page: Page) -> None:
    """Open the procedure with a car chosen."""
    page.goto(site.page(PROCEDURE))
    for option, value in CAR:
        choose(page, option, value)


def begin_on_unknown_car(page: Page) -> None:
    """Answer the question for the car: nobody knows, but that it is one of this page's."""
    question = page.get_by_role("dialog", name="Which car is it?")
    for option in question.get_by_role("group").all():
        unknown = option.get_by_text("don't know")
        (unknown if unknown.count() else option.get_by_text("manual", exact=True)).click()
    question.get_by_role("button", name="Begin on this car").click()


def tick(page: Page, *numbers: int) -> None:
    """Tick steps."""
    for number in numbers:
        page.get_by_label(f"Step {number} done:").check()


def unfold(page: Page) -> None:
    """Open what the bar has to say, as a tap on its left part does."""
    page.locator(".bar-state").click()


def ticked(page: Page) -> list[int]:
    """The numbers of the ticked steps."""
    found: list[int] = page.locator(".step:has(.tick :checked)").evaluate_all(
        "all => all.map((one) => Number(one.dataset.step))"
    )
    return found


def steps_of_car(page: Page) -> list[int]:
    """The numbers of the steps that are shown."""
    found: list[int] = page.locator("section.step:not([hidden])").evaluate_all(
        "all => all.map((one) => Number(one.dataset.step))"
    )
    return found


def as_revision(page: Page, change: Callable[[str], str]) -> None:
    """Have the procedure's page arrive changed, as after a new build."""

    def answer(route: Route) -> None:
        response = route.fetch()
        route.fulfill(response=response, body=change(response.text()))

    page.route(re.compile(rf"{PROCEDURE}\.html"), answer)


def test_ticks_are_remembered_and_the_work_goes_on_where_it_stopped(
    site: Served, phone: Page
) -> None:
    begin(site, phone)
    expect(phone.locator(".bar-note")).to_have_text("Not begun")
    tick(phone, 1, 2, 3)
    total = len(steps_of_car(phone))
    expect(phone.locator(".follow-progress")).to_have_text(f"3 of {total} steps")
    phone.reload()
    assert ticked(phone) == [1, 2, 3]
    expect(phone.locator(".job-status")).to_contain_text("last step 3")
    phone.get_by_role("button", name="Go on with step 4").click()
    expect(phone.locator("#step-4")).to_be_in_viewport()
    phone.get_by_label("Step 3 done:").uncheck()
    phone.reload()
    assert ticked(phone) == [1, 2]


def test_the_next_step_is_one_of_this_car(site: Served, phone: Page) -> None:
    begin(site, phone)
    mine = steps_of_car(phone)
    gap = next(n for n, m in pairwise(mine) if m > n + 1)
    tick(phone, *mine[: mine.index(gap) + 1])
    following = mine[mine.index(gap) + 1]
    expect(phone.locator(".follow-next")).to_have_text(f"Go to step {following}")


def test_what_is_open_is_what_the_walk_says_for_this_car(site: Served, phone: Page) -> None:
    """Each list against the library's own walk of the page, after every fourth step."""
    manual = Manual.read(PROJECT / "docs")
    assert not [f for f in check_manual(manual, ["procedures/fit-tf-220.md"]) if f.level == "error"]
    head = manual.head(Procedure, "fit-tf-220")
    assert head is not None
    plan = manual.plan(head)
    walked = walk(plan, manual)
    begin(site, phone)
    phone.locator(".follow-toggle").evaluate("one => one.click()")
    some = 0
    for place, number in enumerate(steps_of_car(phone)):
        tick(phone, number)
        if place % 4:
            continue
        items = open_after(walked, number, read_condition(WHEN))
        names = []
        for item in items:
            entity = plan.scope.get(item.thing)
            names.append(
                (name_of(entity, plan.scope) if entity else humanised(item.thing), item.how)
            )
        shown = phone.locator(".follow-open li").all_inner_texts()
        assert len(shown) == len(names), number
        assert all(
            t.startswith(f"{name}: {how}") for t, (name, how) in zip(shown, names, strict=True)
        )
        expect(phone.locator(".follow-toggle")).to_have_text(f"Open: {len(names)}")
        some += len(names)
    assert some > 20


def test_steps_left_out_are_named_beside_what_is_open(site: Served, phone: Page) -> None:
    begin(site, phone)
    tick(phone, 1, 4)
    phone.locator(".follow-toggle").click()
    expect(phone.locator(".follow-skipped")).to_have_text(
        "Steps 2, 3 without a tick: this list takes them as done."
    )


def test_the_screen_is_kept_on_while_there_is_work(site: Served, phone: Page) -> None:
    phone.add_init_script(WAKE)
    begin(site, phone)
    assert phone.evaluate("asked") == []
    tick(phone, 1)
    expect(phone.locator(".job-screen")).to_have_text(
        "The screen stays on while this page is open."
    )
    assert phone.evaluate("asked") == ["screen"]
    tick(phone, *steps_of_car(phone)[1:])
    assert phone.evaluate("asked") == ["screen", "release"]
    expect(phone.locator(".job-screen")).to_have_text("")


def test_a_new_revision_is_told_and_the_ticks_are_kept_if_wanted(site: Served, phone: Page) -> None:
    begin(site, phone)
    tick(phone, 1, 2, 4)

    def newer(html: str) -> str:
        html = html.replace('data-revision="C" data-digest="', 'data-revision="D" data-digest="f')
        html = re.sub(r'(data-step="2" data-key="[^"]*" data-digest=")\w+', r"\g<1>ffffffff", html)
        return re.sub(r'(data-step="4" data-key=")[^"]*', r"\g<1>quite-new", html)

    as_revision(phone, newer)
    phone.reload()
    unfold(phone)
    notice = phone.locator(".job-notice")
    expect(notice).to_contain_text("begun with revision C; this page has revision D")
    expect(notice).to_contain_text("Changed: step 2. New: step 4. Gone: 1 step.")
    expect(notice).to_contain_text("Already ticked: step 2: look at it again.")
    assert ticked(phone) == []  # nothing is taken over before the answer
    notice.get_by_role("button", name="Keep its ticks on this revision").click()
    assert ticked(phone) == [1]
    expect(notice).to_contain_text("Done to revision C: ticked")
    phone.locator("#step-2").get_by_role("button", name="It still holds").click()
    assert ticked(phone) == [1, 2]
    expect(notice).to_have_count(0)
    phone.reload()
    assert ticked(phone) == [1, 2]


def test_a_page_changed_without_a_new_revision_is_told_too(site: Served, phone: Page) -> None:
    begin(site, phone)
    tick(phone, 1, 2)
    as_revision(phone, lambda html: re.sub(
        r'(data-revision="C" data-digest=")\w+', r"\g<1>0000000000000000", html))  # fmt: skip
    phone.reload()
    unfold(phone)
    notice = phone.locator(".job-notice")
    expect(notice).to_contain_text("was changed since the job was begun")
    expect(notice).to_contain_text("No step says anything else")
    assert ticked(phone) == [1, 2]
    notice.get_by_role("button", name="Keep my ticks").click()
    expect(notice).to_have_count(0)
    assert ticked(phone) == [1, 2]


def test_another_car_is_another_job_unless_it_is_the_same(site: Served, phone: Page) -> None:
    begin(site, phone)
    tick(phone, 1, 2)
    choose(phone, "Tow eye", "fitted")
    assert ticked(phone) == []
    notice = phone.locator(".job-notice")
    expect(notice).to_contain_text("There is a job on another car.")
    unfold(phone)
    notice.get_by_role("button", name="It is this car").click()
    unfold(phone)
    assert ticked(phone) == [1, 2]
    choose(phone, "Tow eye", "absent")
    assert ticked(phone) == []
    unfold(phone)
    phone.locator(".job-notice").get_by_role("button", name="Go to that car").click()
    assert ticked(phone) == [1, 2]


def test_begin_anew_asks_first(site: Served, phone: Page) -> None:
    begin(site, phone)
    tick(phone, 1)
    phone.get_by_role("button", name="Begin anew").click()
    phone.get_by_role("button", name="Keep it").click()
    assert ticked(phone) == [1]
    phone.get_by_role("button", name="Begin anew").click()
    phone.get_by_role("button", name="Yes, begin anew").click()
    assert ticked(phone) == []
    expect(phone.locator(".bar-note")).to_have_text("Not begun")


def test_a_finished_job_is_closed(site: Served, phone: Page) -> None:
    begin(site, phone)
    tick(phone, *steps_of_car(phone))
    expect(phone.get_by_role("button", name="Begin anew")).to_have_count(0)
    phone.get_by_role("button", name="Close this job").click()
    expect(phone.locator(".job-ask")).to_contain_text("save or print its record first")
    phone.get_by_role("button", name="Yes, close it").click()
    assert ticked(phone) == []
    assert not phone.evaluate(
        "Object.keys(localStorage).some((key) => key.startsWith('procedures-job:'))"
    )


@pytest.mark.parametrize(
    ("fault", "until", "survives"),
    [
        (LOCAL_FULL, "this tab is closed", True),
        (FULL, "this page is left", False),
        (BLOCKED, "this page is left", False),
    ],
)
def test_with_storage_full_or_blocked_work_goes_on_and_it_is_said(
    site: Served, phone: Page, fault: str, until: str, survives: bool
) -> None:
    phone.add_init_script(fault)
    begin(site, phone)
    tick(phone, 1, 2)
    expect(phone.locator(".job-notice")).to_contain_text("does not keep the job")
    expect(phone.locator(".job-notice")).to_contain_text(until)
    assert ticked(phone) == [1, 2]
    asked: list[str] = []

    def answer(dialog: Dialog) -> None:
        asked.append(dialog.type)
        dialog.accept()

    phone.on("dialog", answer)
    phone.reload()
    assert ticked(phone) == ([1, 2] if survives else [])
    assert asked == ([] if survives else ["beforeunload"])  # nobody leaves unasked


def test_two_tabs_keep_both_their_ticks(site: Served, browser: Browser) -> None:
    with watched_page(browser, "phone") as one:
        begin(site, one)
        two = one.context.new_page()
        two.goto(site.page(PROCEDURE))
        tick(one, 1)
        expect(two.get_by_label("Step 1 done:")).to_be_checked()
        tick(two, 2)
        tick(one, 3)
        expect(one.get_by_label("Step 2 done:")).to_be_checked()
        expect(two.get_by_label("Step 3 done:")).to_be_checked()
        one.reload()
        assert ticked(one) == [1, 2, 3]


@pytest.mark.parametrize(
    "kept", ["{", "[]", '{"format": 9}', '{"format": 1, "ticks": {"a": 1}}', "x" * 5000]
)
def test_a_kept_job_that_can_not_be_read_stops_nothing(
    site: Served, phone: Page, kept: str
) -> None:
    begin(site, phone)
    tick(phone, 1)
    phone.evaluate(
        "text => { for (const key of Object.keys(localStorage))"
        " if (key.startsWith('procedures-job:')) localStorage.setItem(key, text); }",
        kept,
    )
    phone.reload()
    assert ticked(phone) == []
    tick(phone, 2)
    phone.reload()
    assert ticked(phone) == [2]


def test_jobs_are_kept_by_procedure_revision_and_car(site: Served, phone: Page) -> None:
    begin(site, phone)
    tick(phone, 1)
    keys = phone.evaluate(
        "Object.keys(localStorage).filter((key) => key.startsWith('procedures-job:'))"
    )
    car = "headlamp-washers=absent,tow-eye=absent,transmission=automatic"
    assert keys == [f"procedures-job:fit-tf-220:C:{car}"]
    job = json.loads(phone.evaluate("key => localStorage.getItem(key)", keys[0]))
    assert list(job["ticks"]) == ["check-in"]


def test_without_scripts_the_page_reads_as_before(site: Served, browser: Browser) -> None:
    with watched_page(browser, "phone", java_script_enabled=False) as page:
        page.goto(site.page(PROCEDURE))
        expect(page.locator("section.step").first).to_be_visible()
        assert page.locator(".tick, .follow-bar").count() == 0
