"""Pictures as a technician sees them: marks at their bolts, words that can be read, joints opened.

A small site of its own, so that where a mark has to stand is known.
"""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect
from pypdf import PdfReader

from tests.browser.chromium import watched_page
from tests.browser.serving import Served
from tests.browser.test_anyone import ALL, OF_COLOUR, violations
from tests.browser.test_car import choose
from tests.manual.pictures import ground, saved
from tests.site.building import CONF, SmallManual

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from playwright.sync_api import Browser, Page

SIZE = 1600, 1200
POINTS = {"1": (400, 600), "2": (1200, 300)}
PICTURE = """
```{picture} cover-from-above
file: pictures/above.jpg
seen: from above, front of the car up
shows:
  cover-bolts: {left: [400, 600], right: [1200, 300]}
```
"""
WORDS = (
    "View, from above, front of the car up; shows cover bolts 1 and 2 in the order of tightening"
    " 1 left, 2 right."
)
TWO = """
```{picture} cover-and-others
file: pictures/above.jpg
seen: from above, front of the car up
shows:
  cover-bolts: {left: [400, 600], right: [1200, 300]}
  other-bolts: [20, 20]
```
"""
LABEL = "figure.picture[data-picture='cover-from-above'] .picture-layer > svg:visible text"
RINGS = """svg => {
  const to = svg.getScreenCTM(), rings = [...svg.querySelectorAll("path:not(.halo, .hit)")];
  return rings.map(path => {
    const [, x, y] = /M([\\d.]+) ([\\d.]+)a/.exec(path.getAttribute("d")).map(Number);
    const at = new DOMPoint(x + 9, y).matrixTransform(to);
    const text = path.nextElementSibling.nextElementSibling;
    return [text.textContent, at.x, at.y, parseFloat(getComputedStyle(text).fontSize) * to.a];
  });
}"""
"""Of each mark its label, where the middle of its ring is seen, and how large its label is."""
CROWDED = """
```{picture} crowded
file: pictures/above.jpg
seen: from above
shows:
  cover-bolts: {left: [800, 600], right: [840, 640]}
  other-bolts: [820, 560]
  cover: [860, 580]
```
"""


@pytest.fixture(scope="module")
def small(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    made = SmallManual(
        tmp_path_factory.mktemp("pictures") / "m", CONF.replace('"basic"', '"bench"')
    )
    saved(made.root / "docs" / "pictures" / "above.jpg", ground(SIZE))
    made.change("hatch.md", "condition: dry, source: s", "condition: dry, source: s, "
                "when: transmission=manual")  # fmt: skip
    made.change("hatch.md", "```{parts}", f"{PICTURE}{TWO}{CROWDED}\n```{{parts}}")
    made.change("lift-cover.md", "drawn.\n", "drawn.\n\n```{picture} cover-from-above\n```\n")
    built = made.build()
    assert built.warnings == ""
    served = Served(built.html)
    yield served
    served.close()


def in_sight(page: Page) -> None:
    """Scroll to each picture and wait until it is there."""
    for image in page.locator("figure.picture img").all():
        image.scroll_into_view_if_needed()
        expect(image).to_have_js_property("complete", True)
        assert image.evaluate("image => image.naturalWidth") > 0


@pytest.mark.parametrize("size", ["phone", "desk"])
def test_marks_stand_at_their_points_as_large_on_any_screen(
    small: Served, browser: Browser, size: str
) -> None:
    with watched_page(browser, size) as page:
        page.goto(small.page("lift-cover"))
        in_sight(page)
        image = page.locator("figure.picture img").bounding_box()
        assert image is not None
        assert image["height"] / image["width"] == pytest.approx(SIZE[1] / SIZE[0], abs=0.005)
        marks = page.locator("figure.picture .picture-layer > svg:visible").evaluate(RINGS)
        for label, x, y, high in marks:
            across, down = POINTS[label]
            assert x == pytest.approx(image["x"] + across / SIZE[0] * image["width"], abs=1.5)
            assert y == pytest.approx(image["y"] + down / SIZE[1] * image["height"], abs=1.5)
            assert 16 <= high <= 24
        assert len(marks) == 2
        width = page.evaluate("document.documentElement.scrollWidth - innerWidth")
        assert width <= 0


def test_a_phone_loads_the_small_file_and_the_picture_moves_nothing(
    small: Served, browser: Browser
) -> None:
    with watched_page(browser, "phone") as page:
        page.goto(small.page("lift-cover"))
        before = page.locator("figure.picture .picture-frame").bounding_box()
        in_sight(page)
        after = page.locator("figure.picture .picture-frame").bounding_box()
        assert before is not None
        assert after is not None
        assert before["height"] == after["height"]
        source = page.locator("figure.picture img").evaluate("image => image.currentSrc")
        assert source.endswith("-780.webp")


def test_a_thumb_on_a_mark_or_on_its_line_opens_the_joint(small: Served, browser: Browser) -> None:
    with watched_page(browser, "phone") as page:
        page.goto(small.page("lift-cover"))
        in_sight(page)
        box = page.locator(LABEL).first.bounding_box()
        assert box is not None
        page.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        page.wait_for_url("**#fastener-cover-bolts")
        page.goto(small.page("lift-cover"))
        line = page.locator("figure.picture .picture-things a").first
        box = line.bounding_box()
        assert box is not None
        assert box["height"] >= 48
        line.tap()
        page.wait_for_url("**#fastener-cover-bolts")


def test_of_points_that_lie_close_each_opens_its_own(small: Served, browser: Browser) -> None:
    with watched_page(browser, "phone") as page:
        page.goto(small.page("hatch"))
        figure = page.locator("figure.picture[data-picture='crowded']")
        figure.scroll_into_view_if_needed()
        in_sight(page)
        for layer in figure.locator(".picture-layer").all():
            thing = layer.get_attribute("data-thing") or ""
            svg = layer.locator("svg:visible")
            targets = svg.locator("rect").evaluate_all(
                "(labels) => labels.map(each => each.getBoundingClientRect()).map(box => "
                "[box.x + box.width / 2, box.y + box.height / 2])"
            )
            rings = [(x, y) for _, x, y, _ in svg.evaluate(RINGS)]
            for x, y in [*targets, *rings]:
                address = page.evaluate(
                    "([x, y]) => document.elementFromPoint(x, y)?.closest('a')"
                    "?.getAttribute('href') ?? ''", [x, y])  # fmt: skip
                assert address.endswith(f"-{thing}"), f"{thing} at {x}, {y}: {address}"


def test_a_target_is_44_pixels_where_nothing_else_is_near(small: Served, browser: Browser) -> None:
    with watched_page(browser, "phone") as page:
        page.goto(small.page("lift-cover"))
        in_sight(page)
        for label, x, y, _ in page.locator("figure.picture .picture-layer > svg:visible").evaluate(
            RINGS
        ):
            for dx, dy in ((-21, 0), (21, 0), (0, -21), (0, 21), (-20, 20)):
                address = page.evaluate(
                    "([x, y]) => document.elementFromPoint(x, y)?.closest('a')"
                    "?.getAttribute('href') ?? ''", [x + dx, y + dy])  # fmt: skip
                assert address.endswith("#fastener-cover-bolts"), f"{label} {dx} {dy}"


def test_the_keyboard_comes_to_each_thing_once_and_by_its_name(
    small: Served, browser: Browser
) -> None:
    with watched_page(browser, "desk") as page:
        page.goto(small.page("lift-cover"))
        in_sight(page)
        line = page.get_by_role("link", name="1 and 2 2 × Cover bolts")
        line.focus()
        page.keyboard.press("Shift+Tab")
        assert page.evaluate("document.activeElement.closest('.picture-layer')") is None
        page.keyboard.press("Tab")
        page.keyboard.press("Enter")
        page.wait_for_url("**#fastener-cover-bolts")


def test_a_car_without_the_thing_has_no_mark_of_it(small: Served, browser: Browser) -> None:
    with watched_page(browser, "phone") as page:
        page.goto(small.page("hatch"))
        figure = page.locator("figure.picture[data-picture='cover-and-others']")
        expect(figure.locator(".picture-layer:visible")).to_have_count(2)
        choose(page, "Transmission", "automatic")
        expect(figure.locator(".picture-layer:visible")).to_have_count(1)
        expect(figure.locator(".picture-things > li:visible")).to_have_count(1)
        expect(figure.locator(".picture-layer:visible text").first).to_have_text("A1")


def test_all_is_there_without_a_script(small: Served, browser: Browser) -> None:
    with watched_page(browser, "phone", java_script_enabled=False) as page:
        page.goto(small.page("lift-cover"))
        figure = page.locator("figure.picture")
        expect(figure).to_contain_text("2 × Cover bolts")
        expect(figure).to_contain_text("10\u00a0N·m")
        expect(page.locator(LABEL)).to_have_count(2)
        expect(figure.locator("img")).to_have_attribute("alt", WORDS)


@pytest.mark.parametrize("size", ["phone", "desk"])
def test_axe_finds_nothing_on_a_page_with_pictures(
    small: Served, browser: Browser, size: str
) -> None:
    with watched_page(browser, size) as page:
        for name in ("hatch", "lift-cover"):
            page.goto(small.page(name))
            in_sight(page)
            assert violations(page, ALL) == []
            page.emulate_media(color_scheme="dark")
            assert violations(page, OF_COLOUR) == []
            page.emulate_media(color_scheme="light")


def test_the_browsers_print_has_the_picture_and_its_words(
    small: Served, browser: Browser, tmp_path: Path
) -> None:
    with watched_page(browser, "desk") as page:
        page.goto(small.page("lift-cover"))
        written = page.pdf(format="A4", path=str(tmp_path / "page.pdf"))
    reader = PdfReader(io.BytesIO(written))
    [sheet] = [each for each in reader.pages if "Seen from above" in each.extract_text()]
    assert "Cover bolts" in sheet.extract_text()
    sizes = [image.image.size for image in sheet.images if image.image is not None]
    assert any(wide >= 780 for wide, _ in sizes)
