"""The manual behind names and passwords: the worker fetches with them, and then needs none."""

from __future__ import annotations

import shutil
from typing import TYPE_CHECKING

from playwright.sync_api import expect

from tests.browser.chromium import watched_page
from tests.browser.serving import Served
from tests.browser.test_follow import begin, tick
from tests.browser.test_offline import visit
from tests.browser.test_screen import open_step
from tests.site.nginx import block_of_the_page, nginx_with

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Browser

COUNT = "caches.open('manual-files-1').then((files) => files.keys()).then(({ length }) => length)"
LOOK = "dispatchEvent(new Event('online'))"
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
            manifest = page.context.new_cdp_session(page).send("Page.getAppManifest")
            assert "minimal-ui" in manifest["data"]
            stranger = browser.new_context()
            for name in ("index.html", "worker.js", "offline/files.json", "procedures.json"):
                assert stranger.request.get(f"{url}/{name}").status == 401
            stranger.close()
            (running.site.parent / "users").write_text("bay-1:{PLAIN}new\n", encoding="utf-8")
            page.goto(f"{url}/procedures/fit-bd-310.html")  # kept, and shown all the same
            expect(page.locator("h1")).to_contain_text("BD-310")
            page.locator(".this-phone summary").click()
            expect(page.locator(".kept-sign-in")).to_contain_text("last compared with the shop's")
            asked = page.goto(f"{url}/offline/version.json")  # never answered by the worker
            assert asked is not None
            assert asked.status == 401
        page.goto(f"{url}/procedures/fit-bd-310.html")
        expect(page.locator("h1")).to_contain_text("BD-310")


def test_a_sign_in_that_has_ended_is_said_in_panel_and_bar(
    site: Served, browser: Browser, tmp_path: Path
) -> None:
    """Each way that servers refuse: two statuses, another host's page, and a page in place."""
    host = Served(tmp_path)
    with watched_page(browser, "phone", service_workers="allow") as page:
        visit(site, page)
        begin(site, page)
        tick(page, 1, 2)
        open_step(page, 16)
        kept = page.evaluate(COUNT)
        for refusal in ("401", "403", f"{host.url}sign-in.html", "page"):
            figure = page.locator(".screen-step .figure").first
            place = figure.bounding_box()
            site.refusal = refusal
            page.evaluate(LOOK)
            expect(page.locator(".bar-note")).to_have_text("! Sign in again")
            assert figure.bounding_box() == place
            page.reload()  # nothing kept is thrown away, and the refusal is remembered
            expect(page.locator(".bar-note")).to_have_text("! Sign in again")
            assert page.evaluate(COUNT) == kept
            page.locator(".bar-state").click()
            said = page.locator(".job-notices")
            expect(said).to_contain_text("last compared with the shop's manual:")
            site.refusal = ""  # as the sign-in does that the link leads to
            said.get_by_role("link", name="Sign in again").click()
            expect(page).to_have_url(f"{site.page('procedures/fit-tf-220')}#one-step-16")
            expect(page.locator(".bar-note")).to_have_text("Kept")
            expect(page.get_by_label("Done: step 16,")).not_to_be_checked()
    host.close()


def test_the_link_leads_to_the_server_itself_and_never_elsewhere(
    site: Served, browser: Browser
) -> None:
    with watched_page(browser, "phone", service_workers="allow") as page:
        visit(site, page)
        site.refusal = "401"
        page.evaluate(LOOK)
        panel = page.locator(".this-phone")
        expect(panel.locator(".phone-state")).to_contain_text("sign in again")
        panel.locator("summary").click()
        panel.get_by_role("link", name="Sign in again").click()
        expect(page.locator("h1")).to_have_text("Who are you?")
        site.refusal = ""
        for to in ("//else.example/x", "https://else.example/", "javascript:alert(1)"):
            page.goto(f"{site.url}_static/sign-in.html?to={to}")
            expect(page.locator("h1")).to_have_text("You are signed in")
        page.get_by_role("link", name="To the first page").click()
        expect(page).to_have_url(f"{site.url}index.html")
