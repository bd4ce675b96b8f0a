"""Hostile pages in a browser: nothing of theirs runs, asks another host, or leads to a program."""

from __future__ import annotations

from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from tests.browser.serving import Served
from tests.hostile.attacks import attacks
from tests.hostile.trying import attempt, together

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Page

EACH = 13
"""One attack in so many is opened, and so are all that try to read or fetch."""

CAUGHT = "window.alert = window.confirm = window.prompt = () => { window.programRan = true }"
LEADING = "[...document.querySelectorAll('[href], [src], [action]')].map(e => e.href || e.src)"
SCRIPTS = """[...document.scripts].filter(s => s.type !== 'application/ld+json')
    .map(s => s.src ? new URL(s.src).pathname.startsWith('/_static/') : false)"""


def test_nothing_of_a_hostile_page_runs(phone: Page, tmp_path: Path) -> None:
    pages = [a for a in attacks() if not a.links and [*a.files] == ["attack.md"]]
    tried = [a for n, a in enumerate(pages) if n % EACH == 0 or a.name.startswith("body")]
    attempt(tmp_path, together(tried))  # as plain Sphinx builds it, whatever the checks say
    served = Served(tmp_path / "site")
    asked: set[str] = set()
    phone.on("request", lambda request: asked.add(urlsplit(request.url).netloc))
    phone.add_init_script(CAUGHT)
    for n, attack in enumerate(tried):
        phone.goto(served.page(f"a{n:04}"))
        assert phone.evaluate("window.programRan") is None, attack.name
        assert all(phone.evaluate(SCRIPTS)), attack.name
        schemes = {urlsplit(address).scheme for address in phone.evaluate(LEADING) if address}
        assert schemes <= {"http", "https", "mailto"}, attack.name
    served.close()
    assert len(tried) > 60
    assert asked == {urlsplit(served.url).netloc}
