"""WCAG 2.2 AA as axe judges it, on every kind of page, light and dark, on the phone and the desk.

Source: axe-core, the rules tagged wcag2a to wcag22aa and best-practice, as PyPI's
axe-playwright-python ships them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from axe_playwright_python.sync_playwright import Axe

from tests.browser.chromium import SIZES, watched_page
from tests.browser.kinds import KINDS

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

    from tests.browser.serving import Served

TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
ALL: dict[str, Any] = {
    "runOnly": {"type": "tag", "values": TAGS},
    "resultTypes": ["violations"],
}
OF_COLOUR: dict[str, Any] = {
    "runOnly": {"type": "rule", "values": ["color-contrast", "link-in-text-block"]},
    "resultTypes": ["violations"],
}
"""Dark differs in its colours only."""
RUN = "options => axe.run(document, options).then(found => found.violations)"
COLOURED = """() => {
    const media = matchMedia("(prefers-color-scheme: dark)").matches ? "screen" : "not all";
    const style = document.querySelector("link[href*=pygments_dark]");
    return !style || style.media === media && style.sheet?.media.mediaText === media;
}"""
"""The page has heard of the device's colours, and the style of its code is there."""
UNFOLD = "document.querySelectorAll('main details, .this-phone').forEach(e => e.open = true)"


def violations(page: Page, options: dict[str, Any]) -> list[str]:
    """What axe finds on a page with everything unfolded: rule, number of places, the first one."""
    page.evaluate(UNFOLD)
    page.wait_for_function(COLOURED)
    return judged(page, options)


def judged(page: Page, options: dict[str, Any]) -> list[str]:
    """What axe finds on a page as it stands."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(Axe().axe_script)
    found = page.evaluate(RUN, options)
    return [f"{v['id']} × {len(v['nodes'])}: {v['nodes'][0]['html'][:200]}" for v in found]


@pytest.mark.parametrize("size", SIZES)
def test_axe_finds_nothing(site: Served, browser: Browser, size: str) -> None:
    found = {}
    with watched_page(browser, size) as page:
        for kind, name in KINDS.items():
            page.emulate_media(color_scheme="light")
            page.goto(site.page(name))
            found[kind] = violations(page, ALL)
            if size == "phone":  # the colours are the same at the desk
                page.emulate_media(color_scheme="dark")
                found[kind] += violations(page, OF_COLOUR)
    assert {kind: told for kind, told in found.items() if told} == {}


@pytest.mark.parametrize("size", SIZES)
def test_who_has_signed_in_can_read_it_and_go_on(site: Served, browser: Browser, size: str) -> None:
    with watched_page(browser, size) as page:
        for scheme in ("light", "dark"):
            page.emulate_media(color_scheme=scheme)
            page.goto(site.page("_static/sign-in"))
            assert judged(page, ALL) == [], scheme
        page.evaluate("localStorage.setItem('procedures-display', '{\"colours\": \"light\"}')")
        page.reload()
        assert page.evaluate("getComputedStyle(document.documentElement).colorScheme") == "light"
        link = page.get_by_role("link", name="To the first page")
        box = link.bounding_box()
        assert box is not None
        assert box["height"] >= 48
        assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0
        link.click()
        page.wait_for_url("**/index.html")


def test_axe_would_find_something(site: Served, phone: Page) -> None:
    phone.goto(site.page("index"))
    phone.evaluate("document.querySelector('html').removeAttribute('lang')")
    assert any(told.startswith("html-has-lang") for told in violations(phone, ALL))
