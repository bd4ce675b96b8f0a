"""The record: readings typed at the step, saved as a file that `procedures record` checks."""

from __future__ import annotations

import io
import json
import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from click.testing import CliRunner
from jsonschema import Draft202012Validator
from playwright.sync_api import expect
from pypdf import PdfReader

from procedures_lib.fronts.cli import main
from tests.browser.chromium import watched_page
from tests.browser.conftest import PROJECT
from tests.browser.test_car import BLOCKED, choose
from tests.browser.test_follow import as_revision, begin, steps_of_car, tick
from tests.browser.world import built_manual

if TYPE_CHECKING:
    from click.testing import Result
    from playwright.sync_api import Browser, Locator, Page

    from tests.browser.serving import Served

WRENCHES = (("click-10", 2, 10), ("click-25", 5, 25), ("click-100", 20, 100))
"""Wrenches of `conf/shop.toml` with their scales in N·m."""


def fields_of(page: Page) -> list[Locator]:
    """The fields of every reading that is shown, their folds opened."""
    for fold in page.locator("details.joint-reading").all():
        if fold.is_visible():
            fold.locator("> summary").click()
    return [field for field in page.locator(".joint-reading fieldset").all() if field.is_visible()]


def asked_for(field: Locator) -> float:
    """The torque in N·m that the legend of a reading names."""
    words = field.locator("legend").inner_text().replace("\N{NO-BREAK SPACE}", " ").split()
    return float(words[words.index("N·m") - 1])


def type_reading(field: Locator, value: str, wrench: str, initials: str = "AB") -> None:
    """Type a reading as a person does."""
    field.get_by_label("Torque reached").fill(value)
    field.get_by_label("Wrench").select_option(wrench)
    field.get_by_label("Initials").fill(initials)


def save(page: Page, folder: Path) -> Path:
    """Press the button, and return the file that arrives."""
    with page.expect_download() as caught:
        page.get_by_role("button", name="Save the record").click()
    path = folder / caught.value.suggested_filename
    caught.value.save_as(path)
    return path


def checked(path: Path, *words: str) -> Result:
    """Run the command on a file, against the project's own manual."""
    return CliRunner().invoke(
        main, ["record", str(path), "--manual", str(PROJECT / "docs"), *words]
    )


def test_a_whole_job_gives_a_record_without_findings(
    site: Served, phone: Page, demo_html: Path, tmp_path: Path
) -> None:
    begin(site, phone)
    fields = fields_of(phone)
    assert len(fields) == 11  # the joints of an automatic without eye and washers
    for field in fields:
        torque = asked_for(field)
        wrench = next(name for name, low, high in WRENCHES if low <= torque <= high)
        type_reading(field, f"{torque:g}", wrench)
    tick(phone, *steps_of_car(phone))
    sheet = phone.locator(".record-sheet")
    expect(sheet).to_contain_text("Every step ticked, every reading taken.")
    phone.get_by_label("Order or number plate").fill("HL 26-118")
    path = save(phone, tmp_path)
    assert path.name == "fit-tf-220-C-HL-26-118.json"
    value = json.loads(path.read_text("utf-8"))
    schema = json.loads((demo_html / "schema" / "record.json").read_text("utf-8"))
    Draft202012Validator(schema).validate(value)
    assert value["car"]["transmission"] == "automatic"
    assert len(value["readings"]) == 11
    result = checked(path)
    assert (result.exit_code, result.output.count("\n")) == (0, 1), result.output
    assert "complete" in result.output


def test_the_field_for_another_tool_begins_empty(site: Served, phone: Page) -> None:
    begin(site, phone)
    field = fields_of(phone)[0]
    expect(field.get_by_label("Another tool")).to_be_hidden()
    type_reading(field, "10", "click-10")
    field.get_by_label("Wrench").select_option("*")
    expect(field.get_by_label("Another tool")).to_be_focused()
    expect(field.get_by_label("Another tool")).to_have_value("")
    field.get_by_label("Another tool").fill("borrowed")
    phone.reload()
    field = fields_of(phone)[0]
    expect(field.get_by_label("Another tool")).to_have_value("borrowed")
    field.get_by_label("Wrench").select_option("click-25")
    expect(field.get_by_label("Another tool")).to_be_hidden()


def test_what_is_missing_or_wrong_is_found_in_the_saved_file(
    site: Served, phone: Page, tmp_path: Path
) -> None:
    begin(site, phone)
    fields = fields_of(phone)
    type_reading(fields[0], "89", "click-100", "")
    fields[1].get_by_label("Torque reached").fill("45")
    fields[1].get_by_label("Wrench").select_option("*")
    fields[1].get_by_label("Another tool").fill("borrowed")
    tick(phone, 1)
    result = checked(save(phone, tmp_path), "--json")
    assert result.exit_code == 1
    found = {(f["path"], f["check"]) for f in json.loads(result.output)["findings"]}
    assert {
        ("$.readings[0].value", "out-of-tolerance"),
        ("$.readings[0].initials", "no-initials"),
        ("$.readings[1].wrench", "unknown-wrench"),
        ("$.steps", "step-not-ticked"),
        ("$.readings", "joint-not-recorded"),
    } <= found


def test_a_number_far_off_is_asked_about_at_once(site: Served, phone: Page) -> None:
    begin(site, phone)
    fold = phone.locator("#step-16 .joint-reading").first
    fold.locator("> summary").click()
    value, note = fold.get_by_label("Torque reached"), fold.locator(".reading-note")
    value.fill("33")
    expect(note).to_contain_text("Is 33 N·m what was read?")
    fold.get_by_label("Unit").select_option("lbf·ft")
    expect(note).to_have_text("")
    value.fill("33,5")
    expect(note).to_have_text("")
    value.fill("thirty")
    expect(note).to_contain_text("not one number")
    expect(fold.locator("> summary")).to_have_text("Read: thirty lbf·ft ✗ not one number")


def test_readings_are_kept_and_the_initials_offered_again(site: Served, phone: Page) -> None:
    begin(site, phone)
    fields = fields_of(phone)
    type_reading(fields[0], "4", "click-10", "ÖZ")
    fields[1].get_by_label("Torque reached").fill("45")
    expect(fields[1].get_by_label("Initials")).to_have_value("ÖZ")
    assert fields[1].get_by_label("Time").input_value()
    assert fields[1].get_by_label("Wrench").input_value() == ""  # never guessed
    phone.reload()
    again = fields_of(phone)
    expect(again[0].get_by_label("Torque reached")).to_have_value("4")
    expect(again[0].get_by_label("Wrench")).to_have_value("click-10")
    expect(again[1].get_by_label("Torque reached")).to_have_value("45")


def test_typing_goes_on_while_another_tab_ticks(site: Served, browser: Browser) -> None:
    with watched_page(browser, "phone") as one:
        begin(site, one)
        two = one.context.new_page()
        two.goto(one.url)
        value = fields_of(one)[0].get_by_label("Torque reached")
        value.press_sequentially("3.")
        tick(two, 2)
        expect(one.get_by_label("Step 2 done:")).to_be_checked()
        value.press_sequentially("9")
        expect(value).to_have_value("3.9")
        expect(two.locator(".joint-reading > summary").first).to_have_text("Read: 3.9 N·m")


def test_without_storage_nothing_typed_is_lost(site: Served, phone: Page, tmp_path: Path) -> None:
    phone.add_init_script(BLOCKED)
    begin(site, phone)
    type_reading(fields_of(phone)[0], "4", "click-10")
    tick(phone, 1)
    value = json.loads(save(phone, tmp_path).read_text("utf-8"))
    assert [reading["value"] for reading in value["readings"]] == ["4"]
    assert [step["number"] for step in value["steps"]] == [1]


def test_the_record_is_printed_with_its_readings(site: Served, phone: Page) -> None:
    begin(site, phone)
    type_reading(fields_of(phone)[0], "4", "click-10")
    phone.emulate_media(media="print")
    row = phone.locator(".record-table tbody tr")
    expect(row).to_contain_text("4 N·m")
    expect(row).to_contain_text("click-10")
    expect(row).to_be_visible()
    expect(phone.locator(".follow-bar")).not_to_be_visible()
    expect(phone.locator(".joint-reading").first).not_to_be_visible()


HOSTILE = '"><img src=x onerror=alert(1)></script><script>alert(1)</script>\u202e'


def test_hostile_text_stays_text(site: Served, phone: Page, tmp_path: Path) -> None:
    begin(site, phone)
    phone.on("dialog", lambda _: pytest.fail("a script of the text ran"))
    type_reading(fields_of(phone)[0], HOSTILE[:20], "*", HOSTILE[:40])
    phone.get_by_label("Another tool").locator("visible=true").fill(HOSTILE[:100])
    phone.get_by_label("Order or number plate").fill(HOSTILE)
    phone.reload()
    phone.locator(".handover-job > summary").click()
    assert phone.locator(".record-sheet img, .joint-reading img, .record-sheet script").count() == 0
    path = save(phone, tmp_path)
    value: dict[str, Any] = json.loads(path.read_text("utf-8"))
    assert value["reference"] == HOSTILE
    assert value["readings"][0]["wrench"] == HOSTILE[:100]
    assert path.parent == tmp_path
    assert checked(path).exit_code == 1


def test_five_hundred_steps_and_very_long_names(browser: Browser, tmp_path: Path) -> None:
    with built_manual(tmp_path, steps=500) as served, watched_page(browser, "phone") as page:
        page.goto(served.page("long"))
        wide = "document.documentElement.scrollWidth <= innerWidth"
        assert page.evaluate(wide)
        tick(page, *range(1, 500, 50))
        expect(page.locator(".follow-progress")).to_have_text("10 of 500 steps")
        page.get_by_role("button", name="Go to step 452").click()
        expect(page.locator("#step-452")).to_be_in_viewport()
        fields = page.locator("#step-500 .joint-reading")
        fields.locator("> summary").click()
        fields.get_by_label("Torque reached").fill("10")
        page.locator(".follow-toggle").click()
        page.locator(".handover-job > summary").click()
        expect(page.locator(".qr")).to_be_visible(timeout=30_000)
        page.reload()
        expect(page.locator(".follow-progress")).to_have_text("10 of 500 steps")
        expect(fields.locator("> summary")).to_have_text("Read: 10 N·m")
        assert page.evaluate(wide)
        value = json.loads(save(page, tmp_path).read_text("utf-8"))
        assert len(value["steps"]) == 10


def test_the_record_names_what_is_outside_and_what_is_missing(site: Served, phone: Page) -> None:
    begin(site, phone)
    fields = fields_of(phone)
    type_reading(fields[0], "89", "click-100")
    sheet = phone.locator(".record-sheet")
    named = sheet.locator(".record-names")
    expect(named.first).to_contain_text("Outside what is asked for: ")
    expect(named.first).to_contain_text("89 N·m, asked for ")
    expect(named.last).to_contain_text("No reading yet: ")
    expect(sheet.locator("tr.outside")).to_contain_text("✗ outside")
    name = sheet.locator("tr.outside th").inner_text()
    expect(named.first).to_contain_text(name)
    type_reading(fields[1], "thirty", "click-100")
    expect(sheet.locator("tr.outside").last).to_contain_text("✗ not one number")


CARD_LINK = (
    '<main><p class="print-card"><a href="fit-tf-220.pdf" data-card-options="transmission tow-eye">'
    'Card</a> <span class="on-paper">On paper: <strong>fit-tf-220.pdf</strong></span></p>'
)
"""What stands at the head of a procedure on a site with cards."""


def printed_lines(page: Page) -> tuple[int, list[str]]:
    """The browser's own print on A4: how many pages, and their text, read by another program."""
    printed = PdfReader(io.BytesIO(page.pdf(format="A4", prefer_css_page_size=True)))
    texts = [page.extract_text() for page in printed.pages]
    return len(texts), [line.strip() for text in texts for line in text.splitlines()]


BROKEN = re.compile(r"^(?:N?·m|mm|min|lbf·(?:ft|in)|bar|kPa)\b|\b(?:N·?|lbf·?)$")
"""A line that begins or ends amid a unit, or between a number and its unit."""


HEADS = {"N·m", "lbf·ft", "lbf·in"}
"""Heads of columns: units that stand by themselves."""


def test_a_procedure_prints_short_with_every_step_and_no_unit_broken(
    site: Served, desk: Page
) -> None:
    as_revision(desk, lambda html: re.sub("<main[^>]*>", CARD_LINK, html, count=1))
    desk.goto(site.page("procedures/fit-tf-220"))
    desk.emulate_media(media="print")
    for step in desk.locator("section.step:not([hidden])").all():
        expect(step.locator(".step-title")).to_be_visible()
        for line in step.locator(".step-do > li:not([hidden])").all():
            expect(line).to_be_visible()
    expect(desk.locator(".facts-torque")).not_to_be_visible()
    pages, lines = printed_lines(desk)
    assert pages <= 9
    assert any("fit-tf-220.pdf" in line for line in lines[:8]), lines[:20]
    assert sum("N·m" in line for line in lines) > 8
    assert [line for line in lines if BROKEN.search(line)] == []


def test_without_a_card_the_print_has_the_lists(site: Served, desk: Page) -> None:
    desk.goto(site.page("procedures/fit-tf-220"))
    desk.emulate_media(media="print")
    for name in (".facts-torque", ".facts-tools", ".facts-parts", ".handover"):
        expect(desk.locator(name).first).to_be_visible()
    for name in (".double-entry", ".open-after"):
        expect(desk.locator(name).first).not_to_be_visible()
    _, lines = printed_lines(desk)
    assert any(re.search(r"\d\sN·m .*\d\slbf·ft .*\d\slbf·in\b", line) for line in lines)
    assert [line for line in lines if BROKEN.search(line) and line not in HEADS] == []


def test_the_card_to_print_is_that_of_the_car(site: Served, phone: Page) -> None:
    as_revision(phone, lambda html: re.sub("<main[^>]*>", CARD_LINK, html, count=1))
    phone.goto(site.page("procedures/fit-tf-220"))
    link = phone.locator("a[data-card-options]")
    expect(link).to_have_attribute("href", "fit-tf-220.pdf")
    expect(link).to_have_text("Job card to print, for every car")
    choose(phone, "Transmission", "manual")
    expect(link).to_have_attribute("href", "fit-tf-220.pdf")
    choose(phone, "Tow eye", "fitted")
    card = "fit-tf-220--for--transmission-manual--tow-eye-fitted.pdf"
    expect(link).to_have_attribute("href", card)
    expect(link).to_contain_text("manual")
    first = phone.locator(".record-sheet > .as-button")
    expect(first).to_have_text("Print the job card")
    expect(first).to_have_attribute("href", re.compile(f"/procedures/{card}$"))
    phone.emulate_media(media="print")
    expect(link).not_to_be_visible()
    written = phone.locator(".print-card strong")
    expect(written).to_be_visible()
    expect(written).to_have_text(re.compile(f"^http://.*/procedures/{card}$"))


def test_the_record_prints_alone(site: Served, phone: Page) -> None:
    begin(site, phone)
    type_reading(fields_of(phone)[0], "4", "click-10")
    phone.evaluate("window.print = () => {}")
    phone.emulate_media(media="print")
    phone.evaluate(
        "[...document.querySelectorAll('.record-sheet button')]"
        ".find(({ textContent }) => textContent === 'Print the record').click()"
    )
    expect(phone.locator(".record-table tbody tr")).to_be_visible()
    expect(phone.locator("section.step").first).not_to_be_visible()
    phone.evaluate("dispatchEvent(new Event('afterprint'))")
    expect(phone.locator("section.step").first).to_be_visible()


def pdf_of(page: Page) -> list[str]:
    """The text of each printed sheet, in one line."""
    printed = PdfReader(io.BytesIO(page.pdf(format="A4", prefer_css_page_size=True)))
    return [" ".join(sheet.extract_text().split()) for sheet in printed.pages]


def test_every_sheet_of_a_record_says_whose_it_is(site: Served, phone: Page) -> None:
    begin(site, phone)
    tick(phone, 1)
    phone.get_by_label("Order or number plate").fill('HL "26" 118')
    title = phone.locator("h1").first.inner_text().rstrip("#").strip()
    phone.evaluate("document.documentElement.dataset.print = 'record'")
    first = pdf_of(phone)[0]
    for said in (title, "Revision C", "Tarrow Finch", "transmission automatic", 'HL "26" 118'):
        assert said in first
    assert re.search(r"Begun 20\d\d-\d\d-\d\d \d\d:\d\d UTC[+-]\d\d:\d\d", first)
    phone.evaluate("delete document.documentElement.dataset.print")
    sheets = pdf_of(phone)
    assert len(sheets) > 2
    for number, sheet in enumerate(sheets, start=1):
        assert "revision C, Tarrow Finch" in sheet
        assert f"{number} / {len(sheets)}" in sheet


def test_one_step_prints_as_the_long_page(site: Served, phone: Page) -> None:
    begin(site, phone)
    long = pdf_of(phone)
    phone.goto(site.page("procedures/fit-tf-220") + "#one-step-16")
    expect(phone.locator("body.one-step")).to_be_attached()
    printed = pdf_of(phone)
    assert printed == long
    assert "Revision C" in printed[0]
    expect(phone.locator("#step-16.screen-step .screen-work .stage").first).to_be_visible()


def test_the_customers_sheet_has_the_calibration_of_the_car(site: Served, desk: Page) -> None:
    desk.goto(site.page("procedures/fit-tf-220"))
    choose(desk, "Transmission", "manual")
    desk.emulate_media(media="print")
    sheet = desk.locator(".handover")
    expect(sheet.get_by_text("FC-2201")).to_be_visible()
    expect(sheet.get_by_text("FC-2202")).not_to_be_visible()
    expect(sheet).to_contain_text("not on your car")
