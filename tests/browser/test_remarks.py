"""Remarks: noted off line at a step, kept, handed over, sent, and read on the writer's screen."""

from __future__ import annotations

import io
import json
from typing import TYPE_CHECKING, Any
from urllib.parse import parse_qs, unquote, urlsplit

import pytest
from axe_playwright_python.sync_playwright import Axe
from PIL import Image
from playwright.sync_api import expect

from tests.browser.chromium import SIZES, watched_page
from tests.browser.test_anyone import ALL, OF_COLOUR
from tests.browser.test_car import BLOCKED, PROCEDURE
from tests.browser.test_follow import LOCAL_FULL, as_revision, begin, steps_of_car, tick
from tests.browser.test_handover import FORGE, contents_of, kept, link_of
from tests.browser.test_record import checked, save

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Browser, Dialog, Download, Locator, Page

    from tests.browser.serving import Served

NO_DATABASE = """
IDBFactory.prototype.open = function () { throw new DOMException("no", "SecurityError"); };
"""
NAMES = """() => new Promise((resolve, reject) => {
  const request = indexedDB.open("procedures-photographs", 1);
  request.onupgradeneeded = () => request.result.createObjectStore("photographs");
  request.onerror = () => reject(request.error);
  request.onsuccess = () => {
    const found = request.result.transaction("photographs").objectStore("photographs").getAllKeys();
    found.onsuccess = () => { request.result.close(); resolve(found.result); };
  };
})"""
SHIFTS = """() => {
  window.shifted = 0;
  new PerformanceObserver((list) => {
    for (const entry of list.getEntries()) window.shifted += entry.value;
  }).observe({ type: "layout-shift" });
}"""
LINE = "The lower left bolt is behind the bracket"


def camera(side: int = 2000) -> bytes:
    """A photograph as a phone takes it: lying on its side, with where and by what it was taken."""
    picture = Image.effect_noise((side, side // 2), 15).convert("RGB")
    picture.paste((200, 30, 30), (0, 0, side // 8, side // 8))
    exif = Image.Exif()
    exif[0x0112] = 6  # to be turned by a quarter to the right
    exif[0x010F] = "A maker of cameras"
    exif.get_ifd(0x8825)[1] = "N"
    exif.get_ifd(0x8825)[2] = (51.0, 30.0, 0.0)
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=92, exif=exif)
    return out.getvalue()


def row(page: Page, step: int) -> Locator:
    """The four words of a step."""
    return page.locator(f"#step-{step} .remark-kinds")


def note(page: Page, step: int, kind: str, text: str = "") -> Locator:
    """Tap a word, and write a line if there is one; the sheet is open then."""
    row(page, step).get_by_role("button", name=kind).click()
    sheet = page.get_by_role("dialog")
    if text:
        sheet.get_by_label("In a line").fill(text)
    return sheet


def photograph(sheet: Locator, raw: bytes) -> None:
    """Take a photograph: the camera gives a file."""
    sheet.locator("input[type=file]").set_input_files(
        {"name": "IMG_0001.jpg", "mimeType": "image/jpeg", "buffer": raw}
    )


def remarks_in(page: Page, folder: Path) -> list[dict[str, Any]]:
    """The remarks of the record that the page saves."""
    value = json.loads(save(page, folder).read_text("utf-8"))
    found: list[dict[str, Any]] = value["remarks"]
    return found


def test_from_a_remark_off_line_to_the_writers_screen(
    site: Served, phone: Page, tmp_path: Path
) -> None:
    begin(site, phone)
    tick(phone, 1)
    phone.locator(".remark-sheet").wait_for(state="attached")  # fetched with the first tick
    site.plugged = False
    asked: list[str] = []
    phone.on("request", lambda request: asked.append(request.url))
    row(phone, 16).scroll_into_view_if_needed()
    sheet = note(phone, 16, "Wrong")  # one tap is enough
    expect(sheet).to_contain_text("It stays with the job, and goes into its record.")
    sheet.get_by_label("In a line").fill(LINE)
    photograph(sheet, camera())
    expect(sheet.get_by_label("The photograph of this remark")).to_be_visible()
    sheet.get_by_role("button", name="Done").click()
    note(phone, 2, "Took longer").get_by_role("button", name="Done").click()
    expect(row(phone, 16).get_by_role("button", name="Wrong")).to_have_attribute(
        "aria-pressed", "true"
    )
    listed = phone.locator(".record-remarks li")
    expect(listed.nth(0)).to_contain_text("Step 2, took longer")
    expect(listed.nth(1)).to_contain_text(f"Step 16, wrong: {LINE} (photograph)")
    path = save(phone, tmp_path)
    assert [
        url for url in asked if not url.startswith("blob:") and "/_images/" not in url
    ] == []  # nothing was sent

    seen = tmp_path / "seen"
    seen.mkdir()
    output = checked(path, "--photographs", str(seen)).output
    assert "remark on step 2 (" in output
    assert f"remark on step 16 (Seat the cooler and tighten it down): wrong: {LINE} [" in output
    assert "not-a-photograph" not in output
    assert "camera-data" not in output
    (file,) = seen.iterdir()
    assert file.name.endswith("-step-16-wrong.jpg")
    raw = file.read_bytes()
    assert len(raw) <= 150_000
    with Image.open(io.BytesIO(raw)) as picture:
        assert (picture.format, picture.size, len(picture.getexif())) == ("JPEG", (640, 1280), 0)
        red, green, _ = picture.convert("RGB").getpixel((600, 40))  # type: ignore[misc]
        assert red > 2 * green  # upright: the corner is at the upper right now
    assert b"maker of cameras" not in raw


@pytest.mark.parametrize("size", SIZES)
def test_the_sheet_is_usable_by_anyone_and_nothing_moves(
    site: Served, browser: Browser, size: str
) -> None:
    with watched_page(browser, size) as page:
        begin(site, page)
        row(page, 16).evaluate("e => e.scrollIntoView({ block: 'center' })")
        page.evaluate(SHIFTS)
        place = "e => e.getBoundingClientRect().top"
        before = row(page, 16).evaluate(place)
        sheet = note(page, 16, "Unclear", LINE)
        photograph(sheet, camera(400))
        expect(sheet.get_by_label("The photograph of this remark")).to_be_visible()
        assert page.evaluate("window.shifted") < 0.05
        assert abs(row(page, 16).evaluate(place) - before) < 1
        small = "e => e.offsetParent && getComputedStyle(e).visibility === 'visible'"
        targets = page.locator(
            "dialog :is(button, a, .remark-file, textarea), #step-16 .remark-kind"
        )
        for box in targets.evaluate_all(
            f"all => all.filter({small}).map(e => e.getBoundingClientRect())"
        ):
            assert box["width"] >= 44, box
            assert box["height"] >= 48, box
        assert Axe().run(page, options=ALL).response["violations"] == []
        page.emulate_media(color_scheme="dark")
        assert Axe().run(page, options=OF_COLOUR).response["violations"] == []
        page.keyboard.press("Escape")
        expect(sheet).to_be_hidden()
        expect(row(page, 16).get_by_role("button", name="Unclear")).to_be_focused()
        assert Axe().run(page, context="#step-16", options=OF_COLOUR).response["violations"] == []


def test_a_remark_is_changed_and_withdrawn_until_the_job_is_closed(
    site: Served, phone: Page
) -> None:
    begin(site, phone)
    sheet = note(phone, 3, "Missing", "A clip")
    photograph(sheet, camera(300))
    expect(sheet.locator("canvas")).to_be_visible()
    first = phone.evaluate(NAMES)
    assert len(first) == 1
    photograph(sheet, camera(200))
    expect(sheet.locator("canvas")).to_be_visible()
    replaced = "all.length === 1 && all[0] !== one"
    phone.wait_for_function(
        f"async (one) => {{ const all = await ({NAMES})(); return {replaced}; }}", arg=first[0]
    )
    phone.reload()
    phone.get_by_role("button", name="Change: Step 3, missing").click()
    expect(sheet.get_by_label("In a line")).to_have_value("A clip")
    expect(sheet.locator("canvas")).to_be_visible()
    sheet.get_by_label("In a line").fill("Two clips")
    sheet.get_by_role("button", name="Remove photograph").click()
    expect(sheet.locator("canvas")).to_be_hidden()
    phone.wait_for_function(f"async () => (await ({NAMES})()).length === 0")
    expect(phone.locator(".record-remarks li")).to_contain_text("Step 3, missing: Two clips")
    sheet.get_by_role("button", name="Withdraw it").click()
    expect(sheet).to_be_hidden()
    expect(phone.locator(".record-remarks")).to_be_hidden()

    photograph(note(phone, 4, "Wrong"), camera(300))
    expect(sheet.locator("canvas")).to_be_visible()
    sheet.get_by_role("button", name="Done").click()
    tick(phone, *steps_of_car(phone))
    phone.get_by_role("button", name="Close this job").click()
    phone.get_by_role("button", name="Yes, close it").click()
    expect(row(phone, 4).get_by_role("button", name="Wrong")).to_have_attribute(
        "aria-pressed", "false"
    )
    phone.wait_for_function(f"async () => (await ({NAMES})()).length === 0")


def test_a_photograph_that_no_job_has_is_dropped_after_a_month(site: Served, phone: Page) -> None:
    begin(site, phone)
    tick(phone, 1)
    note(phone, 3, "Wrong")
    put = """async () => {
      const { photographs } = await import("../_static/job/photographs.js");
      const now = Date.now;
      Date.now = () => now() - 31 * 24 * 60 * 60 * 1000;
      const old = [await photographs.keep(new Uint8Array(9)), await photographs.keep(new Uint8Array(9))];
      Date.now = now;
      const key = Object.keys(localStorage).find((each) => each.startsWith("procedures-job:"));
      const job = JSON.parse(localStorage.getItem(key));
      Object.values(job.remarks)[0].picture = old[0];
      localStorage.setItem(key, JSON.stringify(job));
      return [old[0], await photographs.keep(new Uint8Array(9))];
    }"""  # noqa: E501
    left = phone.evaluate(put)
    assert len(phone.evaluate(NAMES)) == 3
    phone.reload()
    phone.wait_for_function(f"async () => (await ({NAMES})()).length === 2")
    assert sorted(phone.evaluate(NAMES)) == sorted(left)


def test_what_a_browser_writes_beside_a_picture_is_left_out(site: Served, phone: Page) -> None:
    """Some browsers write Exif into what they encode: the segment goes, the picture stays."""
    phone.goto(site.page(PROCEDURE))
    script = """async (bytes) => Array.from(
      (await import("../_static/job/jpeg.js")).bare(new Uint8Array(bytes)))"""
    taken = camera(64)
    made = bytes(phone.evaluate(script, list(taken)))
    assert b"Exif" in taken
    assert b"Exif" not in made
    with Image.open(io.BytesIO(taken)) as before, Image.open(io.BytesIO(made)) as after:
        assert (before.tobytes(), len(after.getexif())) == (after.tobytes(), 0)
    for odd in (b"", b"\xff\xd8", b"\xff\xd8\xff\xe1", b"\xff\xd8\xff\xe1\xff\xff", b"text"):
        assert len(bytes(phone.evaluate(script, list(odd)))) <= len(odd)


def test_a_picture_that_is_none_is_said_and_the_remark_stays(site: Served, phone: Page) -> None:
    begin(site, phone)
    sheet = note(phone, 3, "Wrong", "Look")
    for raw in (b"no picture", b"", b"<svg xmlns='http://www.w3.org/2000/svg'/>", camera()[:900]):
        photograph(sheet, raw)
        expect(sheet).to_contain_text("This browser can't read that picture.")
    assert phone.evaluate(NAMES) == []
    expect(phone.locator(".record-remarks li")).to_contain_text("Step 3, wrong: Look")


@pytest.mark.parametrize(
    ("fault", "until"),
    [(LOCAL_FULL, "this tab is closed"), (BLOCKED, "this page is left")],
)
def test_with_storage_full_or_shut_it_is_said_and_the_record_has_everything(
    site: Served, phone: Page, tmp_path: Path, fault: str, until: str
) -> None:
    phone.add_init_script(fault + NO_DATABASE)
    begin(site, phone)
    sheet = note(phone, 3, "Wrong", LINE)
    expect(sheet).to_contain_text(f"This phone does not keep it: it lasts until {until}.")
    photograph(sheet, camera(300))
    expect(sheet.locator("canvas")).to_be_visible()
    expect(sheet).to_contain_text("This phone does not keep the photograph")
    sheet.get_by_role("button", name="Done").click()
    (remark,) = remarks_in(phone, tmp_path)
    assert (remark["step"], remark["kind"], remark["text"]) == (3, "wrong", LINE)
    assert remark["picture"]["type"] == "image/jpeg"
    asked: list[str] = []

    def answer(dialog: Dialog) -> None:
        asked.append(dialog.type)
        dialog.accept()

    phone.on("dialog", answer)
    phone.reload()
    assert asked == ["beforeunload"]  # nobody leaves a photograph unasked


def test_two_tabs_keep_both_their_remarks(site: Served, browser: Browser, tmp_path: Path) -> None:
    with watched_page(browser, "phone") as one:
        begin(site, one)
        two = one.context.new_page()
        two.goto(site.page(PROCEDURE))
        sheet = note(one, 3, "Wrong", "from one")
        other = note(two, 3, "Wrong")
        expect(other.get_by_label("In a line")).to_have_value("from one")
        other.get_by_role("button", name="Done").click()
        photograph(note(two, 4, "Missing", "from two"), camera(300))
        expect(two.get_by_role("dialog").locator("canvas")).to_be_visible()
        sheet.get_by_label("In a line").press_sequentially(", more")
        sheet.get_by_role("button", name="Done").click()
        texts = [(each["step"], each["text"]) for each in remarks_in(one, tmp_path)]
        assert texts == [(3, "from one, more"), (4, "from two")]
        note(one, 4, "Missing")
        expect(sheet.locator("canvas")).to_be_visible()  # the photograph that the other tab took
        two.get_by_role("dialog").get_by_role("button", name="Withdraw it").click()
        expect(sheet).to_be_hidden()
        expect(one.locator(".record-remarks li")).to_have_count(1)


def test_remarks_are_handed_over_and_photographs_stay(
    site: Served, phone: Page, browser: Browser, tmp_path: Path
) -> None:
    begin(site, phone)
    tick(phone, 1, 2)
    sheet = note(phone, 3, "Wrong", "Ölwanne 漢字 “left”")
    photograph(sheet, camera(300))
    expect(sheet.locator("canvas")).to_be_visible()
    sheet.get_by_role("button", name="Done").click()
    note(phone, 16, "Took longer").get_by_role("button", name="Done").click()
    link = link_of(phone)
    expect(phone.locator(".handover-job")).to_contain_text("1 photograph does not fit in a link")
    with watched_page(browser, "phone") as other:
        other.goto(link)
        box = other.locator(".job-received")
        expect(box).to_contain_text("2 ticks and 0 readings, with 2 remarks")
        box.get_by_role("button", name="Take it over").click()
        assert contents_of(other, link_of(other))[:9] == contents_of(other, link)
        before = other.locator(".handover-link").input_value()
        sheet = note(other, 3, "Wrong")
        expect(sheet.get_by_label("In a line")).to_have_value("Ölwanne 漢字 “left”")
        expect(sheet).to_contain_text("This phone does not have it.")
        sheet.get_by_label("In a line").fill("changed here")
        sheet.get_by_role("button", name="Done").click()
        theirs = remarks_in(other, tmp_path)
        assert [each["text"] for each in theirs] == ["changed here", ""]
        assert not any("picture" in each for each in theirs)
        expect(other.locator(".handover-link")).not_to_have_value(before)
        back = link_of(other)
    phone.goto("about:blank")
    phone.goto(back)
    phone.get_by_role("button", name="Replace mine").click()
    first, _ = remarks_in(phone, tmp_path)  # back where it was taken, the photograph is there again
    assert first["text"] == "changed here"
    assert first["picture"]["data"]


REMARKS = [
    '{"a":1}', "null", '"abc"', "[7]", "[null]", "[[]]", '[[99,0,"x",0,""]]', '[[1,4,"x",0,""]]',
    '[[1,"0","x",0,""]]', '[[1,-1,"x",0,""]]', '[[1,0,7,0,""]]', '[[1,0,"x",-1,""]]',
    '[[1,0,"' + "x" * 301 + '",0,""]]', '[[1,0,"x",0,"../x"]]', '[[1,0,"x",0,7]]', '[[1,0,"x",0]]',
    "[" + '[1,0,"",0,""],' * 50 + '[1,0,"",0,""]]',
]  # fmt: skip


def test_a_link_with_forged_remarks_is_never_half_applied(site: Served, phone: Page) -> None:
    begin(site, phone)
    tick(phone, 1)
    before = kept(phone)
    box = phone.locator(".job-received")
    for remarks in REMARKS:
        phone.evaluate(FORGE, f'[P,R,D,{{}},B,"",[[1,0]],[],{remarks}]')
        expect(box, remarks).to_contain_text("Not taken over.")
        box.get_by_role("button", name="Go on").click()
        assert kept(phone) == before
    phone.evaluate(FORGE, '[P,R,D,{},B,"",[[1,0]],[],[[2,3,"so",7,""]]]')
    expect(box).to_contain_text("1 tick and 0 readings, with 1 remark")


def test_on_a_new_revision_a_remark_stays_with_its_step_or_is_kept_aside(
    site: Served, phone: Page, tmp_path: Path
) -> None:
    begin(site, phone)
    note(phone, 2, "Unclear", "which clip").get_by_role("button", name="Done").click()
    note(phone, 3, "Wrong", LINE).get_by_role("button", name="Done").click()
    key = phone.locator("#step-3").get_attribute("data-key")
    as_revision(
        phone,
        lambda html: html.replace('data-revision="C"', 'data-revision="D"').replace(
            f'data-key="{key}"', 'data-key="another-step"'
        ),
    )
    phone.reload()
    phone.locator(".bar-state").click()
    phone.get_by_role("button", name="Keep its ticks on this revision").click()
    phone.locator(".bar-state").click()
    listed = phone.locator(".record-remarks li")
    expect(listed.nth(0)).to_contain_text("Step 2, unclear: which clip")
    expect(listed.nth(1)).to_contain_text(f"A step that is gone, wrong: {LINE}")
    value = json.loads(save(phone, tmp_path).read_text("utf-8"))
    assert [each["text"] for each in value["remarks"]] == ["which clip"]
    (aside,) = value["set_aside"]
    assert (aside["key"], aside["kind"], aside["text"]) == (f"{key}|wrong", "wrong", LINE)
    phone.get_by_role("button", name="Change: A step that is gone").click()
    phone.get_by_role("button", name="Withdraw it").click()
    expect(listed).to_have_count(1)


HOSTILE = '&cc=x@y.example"><img src=x onerror=alert(1)></script>\u202e\r\nBcc: a@b.example ={body}'


def test_it_is_sent_as_the_shop_says_and_only_when_pressed(
    site: Served, phone: Page, tmp_path: Path
) -> None:
    begin(site, phone)
    tick(phone, 1)
    phone.get_by_label("Order or number plate").fill("HL 26-118")
    phone.on("dialog", lambda _: pytest.fail("a script of the text ran"))
    sheet = note(phone, 16, "Wrong", HOSTILE)
    assert phone.locator("dialog img, .record-remarks img").count() == 0
    mail = urlsplit(sheet.get_by_role("link", name="Mail it").get_attribute("href") or "")
    assert (mail.scheme, mail.path) == ("mailto", "workshop@manual.example")
    fields = parse_qs(mail.query, strict_parsing=True)
    assert fields.keys() == {"subject", "body"}
    assert fields["subject"][0].startswith("Wrong: step 16 of Fit the TF-220 charge-air cooler")
    link = sheet.get_by_role("link", name="Open an issue")
    issue = urlsplit(link.get_attribute("href") or "")
    assert (issue.scheme, issue.netloc, issue.fragment) == ("https", "issues.manual.example", "")
    told = parse_qs(issue.query, strict_parsing=True)
    assert told.keys() == {"title", "body"}
    assert "noreferrer" in (link.get_attribute("rel") or "")
    typed = HOSTILE.replace("\r\n", "\n")
    for body in (fields["body"][0].replace("\r\n", "\n"), told["body"][0]):
        assert f"Wrong: {typed}\n" in body
        assert "Car: transmission automatic" in body
        assert f"{site.page(PROCEDURE)}#step-16" in body
        assert "HL 26-118" not in body  # whose car it is stays here

    photograph(sheet, camera(300))
    expect(sheet.locator("canvas")).to_be_visible()
    saved: list[Download] = []

    def arrived(download: Download) -> None:
        saved.append(download)

    phone.on("download", arrived)
    with phone.expect_download(lambda download: download.suggested_filename.endswith(".jpg")):
        sheet.get_by_role("button", name="Share it").click()  # without a share sheet: two files
    names = [download.suggested_filename for download in saved]
    assert names == ["remark-fit-tf-220-step-16-wrong.txt", "remark-fit-tf-220-step-16-wrong.jpg"]
    saved[0].save_as(tmp_path / "remark.txt")
    assert typed in (tmp_path / "remark.txt").read_text("utf-8").replace("\r\n", "\n")


def test_the_share_sheet_of_the_phone_gets_text_and_photograph(site: Served, phone: Page) -> None:
    phone.add_init_script("""
      navigator.canShare = () => true;
      navigator.share = async (what) => { window.shared = { ...what, files: what.files.map((f) => f.name) }; };
    """)  # noqa: E501
    begin(site, phone)
    sheet = note(phone, 16, "Wrong", LINE)
    photograph(sheet, camera(300))
    expect(sheet.locator("canvas")).to_be_visible()
    sheet.get_by_role("button", name="Share it").click()
    shared = phone.evaluate("window.shared")
    assert LINE in shared["text"]
    assert shared["files"] == ["remark-fit-tf-220-step-16-wrong.jpg"]


WAYS = [
    {"mail": "a@b.example?bcc=x@y.example", "issue": "http://a.example/?{title}{body}"},
    {"mail": "javascript:alert(1)", "issue": "javascript:alert('?{title}{body}')"},
    {"mail": ["a@b.example"], "issue": "https://{title}.example/?{title}{body}", "share": "yes"},
    {"issue": "https://x@evil.example/?{title}{body}"},
    {"issue": "https://a.example/?{title}"},
    {"issue": "data:text/html,?{title}{body}"},
    [], "x", None,
]  # fmt: skip


def test_other_addresses_than_https_and_mail_are_not_offered(site: Served, phone: Page) -> None:
    phone.goto(site.page(PROCEDURE))
    ways = """async (text) => (await import("../_static/job/sending.js")).waysOf(text)"""
    for each in [json.dumps(way) for way in WAYS] + ["{", ""]:
        assert phone.evaluate(ways, each) == {"mail": "", "issue": "", "share": False}, each
    good = {
        "mail": "a.b@c.example", "issue": "https://a.example:8443/new?t={title}&b={body}",
        "share": True,
    }  # fmt: skip
    assert phone.evaluate(ways, json.dumps(good)) == good


def test_without_ways_nothing_is_offered(site: Served, phone: Page) -> None:
    as_revision(phone, lambda html: html.replace(" data-remark-ways=", " data-of-nobody="))
    begin(site, phone)
    sheet = note(phone, 3, "Wrong")
    expect(sheet.get_by_role("button", name="Done")).to_be_visible()
    assert sheet.get_by_role("link").count() == 0
    expect(sheet.get_by_role("button", name="Share it")).to_have_count(0)


def test_a_job_has_as_many_remarks_as_a_record_and_older_jobs_have_none(
    site: Served, phone: Page
) -> None:
    begin(site, phone)
    tick(phone, 1)
    change = """(text) => {
      const key = Object.keys(localStorage).find((each) => each.startsWith("procedures-job:"));
      const job = JSON.parse(localStorage.getItem(key));
      job.remarks = JSON.parse(text);
      localStorage.setItem(key, JSON.stringify(job));
    }"""
    one = {"step": "check-in", "kind": "wrong", "text": "", "at": "", "picture": ""}
    full = {f"step-{n}|wrong": {**one, "step": f"step-{n}"} for n in range(50)}
    phone.evaluate(change, json.dumps(full))
    phone.reload()
    note(phone, 3, "Wrong")
    sheet = phone.get_by_role("dialog")
    expect(sheet).to_contain_text("This job has 50 remarks: a record holds no more.")
    expect(sheet.get_by_label("In a line")).to_be_hidden()
    sheet.get_by_role("button", name="Done").click()
    phone.evaluate(change, json.dumps({"a|wrong": {**one, "picture": "n0"}} | {
        f"b{n}|wrong": {**one, "picture": f"n{n}"} for n in range(29)}))  # fmt: skip
    phone.reload()
    sheet = note(phone, 3, "Wrong")
    photograph(sheet, camera(200))
    expect(sheet).to_contain_text("This job has 30 photographs: a record holds no more.")
    phone.evaluate(change.replace("job.remarks = JSON.parse(text)", "delete job.remarks"), "")
    phone.reload()
    expect(phone.get_by_label("Step 1 done:")).to_be_checked()  # a job from before remarks
    expect(phone.locator(".record-remarks")).to_be_hidden()


def test_remarks_are_printed_with_the_record_and_their_words_are_not(
    site: Served, phone: Page
) -> None:
    begin(site, phone)
    note(phone, 3, "Wrong", LINE).get_by_role("button", name="Done").click()
    phone.emulate_media(media="print")
    expect(phone.locator(".record-remarks li")).to_contain_text(LINE)
    expect(row(phone, 3)).not_to_be_visible()
    assert unquote(phone.url).endswith("fit-tf-220.html")
