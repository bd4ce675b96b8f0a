"""Handing a job over by link and by code; what is damaged or foreign is refused as a whole."""

from __future__ import annotations

import io
import json
import random
import re
from typing import TYPE_CHECKING, Any

import zxingcpp
from axe_playwright_python.sync_playwright import Axe
from PIL import Image
from playwright.sync_api import expect

from tests.browser.chromium import watched_page
from tests.browser.test_anyone import ALL, OF_COLOUR
from tests.browser.test_car import choose
from tests.browser.test_follow import as_revision, begin, begin_on_unknown_car, tick, ticked
from tests.browser.test_record import checked, save

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Browser, Page

    from tests.browser.serving import Served

QR_CODES = zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.QRCode)
"""Some patterns of a symbol look like bars to a reader of all kinds."""


def link_of(page: Page) -> str:
    """The link that the page offers."""
    fold = page.locator(".handover-job")
    if fold.get_attribute("open") is None:
        fold.locator("summary").click()
    return page.locator(".handover-link").input_value()


def contents_of(page: Page, link: str) -> list[Any]:
    """What a link holds, as the page's own scripts unpack it."""
    found: list[Any] = page.evaluate(
        """async (link) => {
          const { partIn } = await import("../_static/job/link.js");
          const { unpacked } = await import("../_static/job/packed.js");
          return unpacked(partIn(new URL(link).hash).text);
        }""",
        link,
    )
    return found


def kept(page: Page) -> dict[str, str]:
    """All that the phone has kept."""
    found: dict[str, str] = page.evaluate("({ ...localStorage })")
    return found


def a_reading(page: Page) -> None:
    """Type a reading at step 16."""
    fold = page.locator("#step-16 .joint-reading").first
    fold.locator("summary").click()
    fold.get_by_label("Torque reached").fill("45")
    fold.get_by_label("Initials").fill("ÄB")
    fold.get_by_label("Wrench").select_option("click-100")


def test_a_link_brings_car_ticks_and_readings_to_another_phone(
    site: Served, phone: Page, browser: Browser, tmp_path: Path
) -> None:
    begin(site, phone)
    tick(phone, 1, 2, 3, 4)
    a_reading(phone)
    link = link_of(phone)
    with watched_page(browser, "phone") as other:
        other.goto(link)
        box = other.locator(".job-received")
        expect(box).to_contain_text("transmission automatic, tow eye absent")
        expect(box).to_contain_text("4 ticks and 1 reading")
        assert ticked(other) == []  # nothing happens before the answer
        assert not [key for key in kept(other) if key.startswith("procedures-job:")]
        box.get_by_role("button", name="Take it over").click()
        assert ticked(other) == [1, 2, 3, 4]
        assert "#job=" not in other.url
        expect(other.locator(".car-choice > summary")).to_contain_text("automatic")
        other.reload()
        assert ticked(other) == [1, 2, 3, 4]
        expect(other.locator("#step-16 .joint-reading > summary").first).to_have_text(
            "Read: 45 N·m"
        )
        fold = other.locator("#step-16 .joint-reading").first
        expect(fold.get_by_label("Initials")).to_have_value("ÄB")
        contents = contents_of(other, link_of(other))
        assert contents[:10] == [*contents_of(other, link)[:8], [], []]
        assert [step for step, _ in contents[10]] == [5]
        record = json.loads(save(other, tmp_path).read_text("utf-8"))
        (handed,) = record["handovers"]
        assert handed["step"] == 5
        assert handed["at"] >= record["begun"]


def test_the_receiving_phone_is_asked_before_its_own_job_goes(
    site: Served, phone: Page, browser: Browser
) -> None:
    begin(site, phone)
    tick(phone, 1, 2)
    link = link_of(phone)
    with watched_page(browser, "phone") as other:
        begin(site, other)
        tick(other, 1, 2, 3)
        other.goto(link)
        box = other.locator(".job-received")
        expect(box).to_contain_text("This phone has a job on that car already, with 3 ticks")
        box.get_by_role("button", name="Leave it").click()
        assert ticked(other) == [1, 2, 3]
        other.goto(link)
        box.get_by_role("button", name="Replace mine").click()
        assert ticked(other) == [1, 2]


def test_the_code_on_the_screen_is_the_link(site: Served, phone: Page) -> None:
    begin(site, phone)
    tick(phone, 1, 2, 3)
    for more in (a_reading, lambda page: page.emulate_media(color_scheme="dark")):
        more(phone)
        link = link_of(phone)
        picture = Image.open(io.BytesIO(phone.locator(".qr").screenshot()))
        found = zxingcpp.read_barcodes(picture, QR_CODES)
        assert [code.text for code in found] == [link]


def test_a_damaged_link_is_refused_and_changes_nothing(site: Served, phone: Page) -> None:
    begin(site, phone)
    tick(phone, 1, 2)
    a_reading(phone)
    link = link_of(phone)
    before = kept(phone)
    address, _, fragment = link.partition("#job=")
    chance = random.Random(3)  # noqa: S311
    signs = "ABCDEFabcdef0123456789-_"
    damaged = [
        fragment[:-1],
        fragment[: len(fragment) // 2],
        fragment[2:],
        f"{fragment}0",
        "",
        "1..0",
    ]
    for _ in range(60):
        at = chance.randrange(len(fragment))
        damaged.append(fragment[:at] + chance.choice(signs) + fragment[at + 1 :])
    phone.goto("about:blank")
    phone.goto(address)
    for text in damaged:
        if text == fragment:
            continue
        phone.evaluate("text => { location.hash = `#job=${text}`; }", text)
        box = phone.locator(".job-received")
        expect(box).to_contain_text("Not taken over.")
        assert box.get_by_role("button").all_inner_texts() == ["Go on"]
        box.get_by_role("button").click()
    assert kept(phone) == before
    assert ticked(phone) == [1, 2]


PAYLOADS = [
    "null", "{}", "[]", '["fit-tf-220"]', "[1,2,3,4,5,6,7,8]",
    '[P,R,D,{"transmission":"steam"},B,"",[],[]]', '[P,R,D,{"__proto__":"x"},B,"",[],[]]',
    '[P,R,D,{},B,"",[[99,0]],[]]', '[P,R,D,{},B,"",[[0,0]],[]]', '[P,R,D,{},B,"",[[1,-1]],[]]',
    '[P,R,D,{},B,"",[[1,1e99]],[]]', '[P,R,D,{},"soon","",[],[]]', "[P,R,D,{},B,7,[],[]]",
    '[P,R,D,{},2026,"",[],[]]',
    '[P,R,D,{},B,"",[],[[99,"1","N·m","","",0]]]', '[P,R,D,{},B,"",[],[[0,1,"N·m","","",0]]]',
    '[P,R,D,null,B,"",[],[]]', '[P,R,D,{},B,"",{},[]]',
    '[P,R,D,{},B,"",[],[],[],[],[],[],[[0]]]', '[P,R,D,{},B,"",[],[],[],[],[],7]',
    '[P,R,D,{},B,"",[],[],[],[],[],[[[99,"C",0]],[]]]',
    '[P,R,D,{},B,"",[],[],[],[],[],[[[1,3,0]],[]]]',
    '[P,R,D,{},B,"",[],[],[],[],[],[[[1,"C","x"]],[]]]',
    '[P,R,D,{},B,"",[],[],[],[],[],[[],[[1,"bolts",1,"5","N·m","","",0]]]]',
    '[P,R,D,{},B,"",[],[],[],[],[],[[[1,"C",""]],[[1,"a|b",1,"5","N·m","","",0]]]]',
    '[P,R,D,{},B,"",[],[],[],[],[],[[[1,"C",""]],[[1,"bolts",0,"5","N·m","","",0]]]]',
]  # fmt: skip


FORGE = """async (payload) => {
  const { checksum } = await import("../_static/job/link.js");
  const { procedure, revision, digest } = document.querySelector(".page-car").dataset;
  const own = JSON.stringify([procedure, revision, digest]).slice(1, -1);
  const text = payload.replace("P,R,D", own).replace(",B,", ',"2026-11-25T14:00:00Z",');
  const bytes = String.fromCharCode(...new TextEncoder().encode(text));
  const packed = btoa(bytes).replaceAll("+", "-").replaceAll("/", "_").replace(/=+$/, "");
  location.hash = `#job=1.${packed}.${checksum(`1.${packed}`)}`;
}"""


def test_a_forged_link_is_never_half_applied(site: Served, phone: Page) -> None:
    """Links whose check is right and whose content is not."""
    begin(site, phone)
    tick(phone, 1)
    before = kept(phone)
    box = phone.locator(".job-received")
    for payload in PAYLOADS:
        phone.evaluate(FORGE, payload)
        expect(box, payload).to_contain_text("Not taken over.")
        box.get_by_role("button", name="Go on").click()
        assert kept(phone) == before
    assert ticked(phone) == [1]
    phone.evaluate(FORGE, '[P,R,D,{},B,"",[[1,0],[2,5]],[]]')  # the forge can make a good one
    expect(box).to_contain_text("2 ticks and 0 readings")


def test_a_link_of_another_procedure_revision_or_version_says_so(site: Served, phone: Page) -> None:
    begin(site, phone)
    tick(phone, 1)
    link = link_of(phone)
    fragment = link.partition("#")[2]
    phone.goto(f"{site.page('procedures/fit-tf-140')}#{fragment}")
    box = phone.locator(".job-received")
    expect(box).to_contain_text("for another procedure, fit-tf-220")
    as_revision(phone, lambda html: html.replace('data-revision="C"', 'data-revision="D"'))
    phone.goto(link)
    expect(box).to_contain_text("made on revision C, and this page has D")
    assert ticked(phone) == []
    phone.goto("about:blank")
    phone.goto(link.replace("#job=3.", "#job=4."))
    expect(box).to_contain_text("another version of the manual")


def test_a_link_follows_the_job(site: Served, phone: Page) -> None:
    begin(site, phone)
    tick(phone, 1)
    first = link_of(phone)
    tick(phone, 2)
    expect(phone.locator(".handover-link")).not_to_have_value(first)
    choose(phone, "Tow eye", "fitted")
    expect(phone.locator(".handover-job")).not_to_be_visible()  # no job on that car


OURS = ".page-car, .job-panel, .job-received, .follow-bar, .record-sheet, #step-1, #step-16"
"""What a job adds to the page, and two steps with all that stands at them."""


def test_a_job_under_way_is_usable_by_anyone(site: Served, phone: Page) -> None:
    """WCAG 2.2 AA as axe judges it, with all that a job shows unfolded, light and dark."""
    begin(site, phone)
    phone.get_by_role("button", name="Show all").click()
    tick(phone, 1, 2, 4)
    a_reading(phone)
    choose(phone, "Tow eye", "fitted")  # another car: the notice about the first
    phone.get_by_label("Step 1 done:").click()
    phone.get_by_role("button", name="Begin on this car too").click()
    phone.locator(".follow-toggle").click()
    phone.evaluate("text => { location.hash = text; }", f"{link_of(phone).partition('#')[2]}x")
    expect(phone.locator(".job-received")).to_contain_text("Not taken over.")
    expect(phone.locator(".job-notice")).to_have_count(2)
    assert Axe().run(phone, context=OURS, options=ALL).response["violations"] == []
    phone.emulate_media(color_scheme="dark")
    assert Axe().run(phone, context=OURS, options=OF_COLOUR).response["violations"] == []


def test_a_job_in_several_codes_waits_for_all_of_them(
    site: Served, phone: Page, browser: Browser
) -> None:
    begin(site, phone)
    tick(phone, 1, 2, 3)
    a_reading(phone)
    whole = link_of(phone)
    parts = phone.evaluate(
        """async (link) => {
          const { fragmentsOf, partIn } = await import("../_static/job/link.js");
          return fragmentsOf(partIn(new URL(link).hash).text, 3);
        }""",
        whole,
    )
    with watched_page(browser, "phone") as other:
        box = other.locator(".job-received")
        for n, missing in ((2, "1 and 2"), (0, "2")):  # the camera opens the page for each
            other.goto("about:blank")
            other.goto(site.page("procedures/fit-tf-220") + parts[n])
            expect(box).to_contain_text(f"Code {n + 1} of 3 is here. Scan code {missing} too")
            assert not [key for key in kept(other) if key.startswith("procedures-job:")]
        other.goto("about:blank")
        other.goto(site.page("procedures/fit-tf-220") + parts[1])
        expect(box).to_contain_text("3 ticks and 1 reading")
        box.get_by_role("button", name="Take it over").click()
        assert ticked(other) == [1, 2, 3]
        assert not [key for key in kept(other) if key.startswith("procedures-handover:")]
        assert contents_of(other, link_of(other))[:8] == contents_of(other, whole)[:8]


def test_a_technician_who_takes_over_sees_the_stages_that_are_done(
    site: Served, phone: Page, browser: Browser, tmp_path: Path
) -> None:
    """By hand and with a wrench, in one code; from there into the record and its check."""
    phone.goto(f"{site.page('procedures/fit-tf-180')}#one-step-20")
    stages = phone.locator(".screen-step .stage")
    expect(stages.locator(".figure").first).to_have_text("hand")
    stages.nth(0).locator(".stage-tick").click()
    begin_on_unknown_car(phone)
    stages.nth(1).locator(".stage-tick").click()
    phone.locator(".bar-state").click()
    expect(phone.locator(".step-list [aria-current]")).to_contain_text("2 of 3 stages")
    phone.locator(".bar-state").click()
    phone.evaluate("location.hash = '#step-20'")
    link = link_of(phone)
    with watched_page(browser, "phone") as other:
        other.goto(link)
        box = other.locator(".job-received")
        expect(box).to_contain_text("0 ticks and 0 readings, with 2 stages ticked")
        box.get_by_role("button", name="Take it over").click()
        step = other.locator("#step-20")
        expect(step.locator(".stages-ticked")).to_contain_text("stage 1, hand (")
        expect(step.locator(".joint-reading > summary")).to_have_text("Reading; stage 2 ticked")
        expect(other.locator(".record-sheet")).to_contain_text("Ticked without a reading:")
        assert contents_of(other, link_of(other))[:10] == contents_of(other, link)
        saved = save(other, tmp_path)
        other.evaluate("location.hash = '#one-step-20'")
        expect(other.locator(".screen-step .stage-done")).to_have_count(2)
    record = json.loads(saved.read_text("utf-8"))
    assert [(each["step"], each["stage"]) for each in record["stages"]] == [(20, 1), (20, 2)]
    said = checked(saved).output
    assert re.search(r"stage 2 in step 20: it was ticked, and no number typed", said)
    assert re.search(r"stage 3 in step 20: nothing was recorded", said)
