"""What programs read, as the browser has it: data in the head, and files behind quiet links."""

from __future__ import annotations

import csv
import io
import json
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

if TYPE_CHECKING:
    from playwright.sync_api import Page

    from tests.browser.serving import Served


def test_the_policy_lets_the_data_stand_and_nothing_runs_it(site: Served, phone: Page) -> None:
    phone.goto(site.page("procedures/fit-tf-220"))
    data = phone.locator('script[type="application/ld+json"]')
    expect(data).to_have_count(1)
    value = json.loads(data.text_content() or "")
    assert value["@type"] == "HowTo"
    anchors = [step["url"] for step in value["step"]]
    assert len(anchors) == 30
    for anchor in anchors:
        expect(phone.locator(anchor)).to_have_count(1)


@pytest.mark.parametrize(
    ("what", "first"),
    [("torque", "Battery negative clamp nut"), ("parts", "Charge-air cooler TF-220")],
)
def test_a_tap_on_the_link_below_a_table_saves_it(
    site: Served, phone: Page, what: str, first: str
) -> None:
    phone.goto(site.page("procedures/fit-tf-220"))
    phone.evaluate("document.querySelectorAll('main details').forEach(e => e.open = true)")
    link = phone.locator(f'a[href$="-{what}.csv"]')
    expect(link).to_have_text("This table as CSV")
    box = link.bounding_box()
    assert box is not None
    assert box["height"] >= 44
    with phone.expect_download() as download:
        link.click()
    text = download.value.path().read_text("utf-8")
    assert download.value.suggested_filename == f"fit-tf-220-{what}.csv"
    assert next(iter(csv.reader(io.StringIO(text))))[-1] == "when"
    assert first in text


def test_the_json_is_where_the_head_says(site: Served, desk: Page) -> None:
    desk.goto(site.page("procedures/fit-tf-220"))
    link = desk.locator('link[rel="alternate"][type="application/json"]')
    address = link.evaluate("link => link.href")
    value = desk.request.get(address).json()
    assert (value["procedure"], value["revision"]) == ("fit-tf-220", "C")
    assert desk.request.get(f"{site.url}schema/procedure-export.json").ok
