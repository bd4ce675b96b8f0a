"""The test bed itself: what is served, and that complaints of a page are heard."""

from __future__ import annotations

import gzip
import urllib.request
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from tests.browser.chromium import find_chromium, watched_page
from tests.browser.serving import Served

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Browser, Page


def test_the_number_is_on_the_page_at_both_sizes(site: Served, phone: Page, desk: Page) -> None:
    for page, width in ((phone, 390), (desk, 1280)):
        page.goto(site.page("procedures/fit-tf-220"))
        expect(page.locator(".facts-torque").first).to_contain_text("N·m")
        assert page.evaluate("innerWidth") == width


def test_files_go_out_packed_with_their_type(site: Served, demo_html: Path) -> None:
    url = f"{site.url}_static/bench.css"
    request = urllib.request.Request(url, headers={"Accept-Encoding": "gzip"})  # noqa: S310
    with urllib.request.urlopen(request) as answer:  # noqa: S310
        body = answer.read()
    assert answer.headers["Content-Type"] == "text/css"
    assert gzip.decompress(body) == (demo_html / "_static" / "bench.css").read_bytes()
    assert site.bytes_sent() == len(body)


def test_what_is_unplugged_answers_nothing(site: Served) -> None:
    site.plugged = False
    with pytest.raises(OSError, match=r"without response|reset"):
        urllib.request.urlopen(site.url)  # noqa: S310


@pytest.mark.parametrize("text", ["<script>1</script>", "<p style='color: red'>x</p>"])
def test_a_page_that_breaks_its_policy_fails_its_test(
    browser: Browser, tmp_path: Path, text: str
) -> None:
    policy = "<meta http-equiv='Content-Security-Policy' content=\"default-src 'self'\">"
    (tmp_path / "bad.html").write_text(f"<!DOCTYPE html><head>{policy}</head>{text}", "utf-8")
    served = Served(tmp_path)
    try:
        with (
            pytest.raises(AssertionError, match="Content Security Policy"),
            watched_page(browser, "phone") as page,
        ):
            page.goto(served.page("bad"))
    finally:
        served.close()


def test_a_missing_browser_skips_here_and_fails_in_ci(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", "")
    monkeypatch.delenv("CHROMIUM", raising=False)
    monkeypatch.setenv("CI", "")
    with pytest.raises(pytest.skip.Exception, match="chromium"):
        find_chromium()
    monkeypatch.setenv("CI", "true")
    with pytest.raises(pytest.fail.Exception, match="chromium"):
        find_chromium()
