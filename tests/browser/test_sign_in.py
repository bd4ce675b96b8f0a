"""The manual behind names and passwords: the worker fetches with them, and then needs none."""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING

from playwright.sync_api import expect

from tests.browser.chromium import watched_page
from tests.site.nginx import block_of_the_page, nginx_with

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Browser

KNOWN = {"username": "bay-1", "password": "right"}


def test_worker_and_lists_come_with_the_sign_in_and_the_manual_stays(
    browser: Browser, demo_html: Path
) -> None:
    def fill(folder: Path) -> None:
        shutil.copytree(demo_html, folder / "site")
        (folder / "users").write_text("bay-1:{PLAIN}right\n", encoding="utf-8")

    more = block_of_the_page("auth_basic").replace("/etc/nginx/manual.users", "{folder}/users")
    words = {"service_workers": "allow", "http_credentials": KNOWN}
    with watched_page(browser, "phone", **words) as page:
        with nginx_with(fill, more) as running:
            url = f"http://127.0.0.1:{running.address[1]}"
            assert page.request.get(f"{url}/worker.js").status == 200
            page.goto(f"{url}/procedures/fit-tf-220.html")
            ready = page.locator(".phone-state")
            expect(ready).to_have_text("ready without a network", timeout=30_000)
            stranger = browser.new_context()
            for name in ("index.html", "worker.js", "offline/files.json", "procedures.json"):
                assert stranger.request.get(f"{url}/{name}").status == 401
            stranger.close()
            (running.site.parent / "users").write_text("bay-1:{PLAIN}new\n", encoding="utf-8")
            page.goto(f"{url}/procedures/fit-bd-310.html")  # kept, and shown all the same
            expect(page.locator("h1")).to_contain_text("BD-310")
            asked = page.goto(f"{url}/offline/version.json")  # never answered by the worker
            assert asked is not None
            assert asked.status == 401
        page.goto(f"{url}/procedures/fit-bd-310.html")
        expect(page.locator("h1")).to_contain_text("BD-310")
