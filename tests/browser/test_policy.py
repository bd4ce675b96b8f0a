"""The content-security policy: on every page, broken by none, and nothing from another host."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from tests.browser.kinds import KINDS

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Page

    from tests.browser.serving import Served

_LOADS = dict.fromkeys(("script", "img", "iframe", "source", "embed", "audio", "video"), "src")
_LOADS |= {"object": "data", "use": "href", "image": "href"}
_LOADING_LINKS = {"stylesheet", "icon", "preload", "modulepreload", "manifest"}
_ELSEWHERE = re.compile(r"""(?:url\(\s*['"]?|@import\s+['"]|import\s.*from\s+['"]|fetch\(\s*['"])"""
                        r"(?:https?:)?//")  # fmt: skip


class Resources(HTMLParser):
    """What a page loads, what it has inline, and whether its policy stands before all that."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.policy = ""
        self.loaded: list[str] = []
        self.inline: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = {name: value or "" for name, value in attrs}
        if said.get("http-equiv") == "Content-Security-Policy" and not self.loaded + self.inline:
            self.policy = said["content"]
        self.inline += [f"{tag} {name}" for name in said if name == "style" or name[:2] == "on"]
        is_data = said.get("type") == "application/ld+json"
        if tag == "style" or (tag == "script" and "src" not in said and not is_data):
            self.inline.append(tag)
        if tag == "link" and set(said.get("rel", "").split()) & _LOADING_LINKS:
            self.loaded.append(said["href"])
        if said.get(_LOADS.get(tag, "")):
            self.loaded.append(said[_LOADS[tag]])

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)


def test_every_page_has_the_policy_first_and_nothing_inline(demo_html: Path) -> None:
    pages = list(demo_html.rglob("*.html"))
    assert len(pages) > 100
    for path in pages:
        read = Resources(path.read_text("utf-8"))
        assert read.policy.startswith("default-src 'self';"), path
        assert "unsafe" not in read.policy, path
        assert read.inline == [], path
        least = 1 if path.name == "sign-in.html" else 5  # between two pages
        assert len(read.loaded) > least, path
        elsewhere = [url for url in read.loaded if urlsplit(url).netloc or url.startswith("data:")]
        assert elsewhere == [], path


def test_no_style_sheet_or_script_loads_from_another_host(demo_html: Path) -> None:
    files = [*demo_html.rglob("*.css"), *demo_html.rglob("*.js")]
    assert len(files) > 10
    assert [str(f) for f in files if _ELSEWHERE.search(f.read_text("utf-8"))] == []
    assert _ELSEWHERE.search("a { background: url(https://elsewhere.example/x.png) }")


def test_what_is_inline_or_from_elsewhere_would_be_found() -> None:
    page = "<p style='x'><script>1</script><img src='https://elsewhere.example/a.png'><b onclick=x>"
    read = Resources(page)
    assert read.inline == ["p style", "script", "b onclick"]
    assert read.loaded == ["https://elsewhere.example/a.png"]


def test_no_kind_of_page_breaks_the_policy_or_asks_another_host(site: Served, phone: Page) -> None:
    asked: set[str] = set()
    phone.on("request", lambda request: asked.add(urlsplit(request.url).netloc))
    for name in KINDS.values():  # the fixture fails on a violation
        phone.goto(site.page(name))
        phone.locator(".this-phone summary").click()
    assert asked == {urlsplit(site.url).netloc}
