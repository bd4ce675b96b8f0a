"""``procedures serve`` in a browser: a page's findings above it, under the site's own policy."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from playwright.sync_api import expect

from procedures_lib.findings import Finding, Place
from procedures_lib.fronts.cli.answers import Board
from procedures_lib.fronts.cli.checked_manual import Checked
from procedures_lib.fronts.cli.server import open_server
from procedures_lib.manual import Manual

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from playwright.sync_api import Page

WRONG = Finding(Place("kits/tf-220.md", 8), "unknown-id", "names `x`", "did you mean `y`?")
WAIT = 15_000


@pytest.fixture
def served(demo_html: Path) -> Iterator[tuple[Board, str]]:
    """The demo as ``procedures serve`` serves it: the board, and the address."""
    board = Board(demo_html)
    server = open_server("127.0.0.1", 0, demo_html, board)
    with server.running():
        yield board, server.url


def test_an_open_page_loads_again_and_shows_its_findings(
    served: tuple[Board, str], desk: Page
) -> None:
    board, url = served
    desk.goto(f"{url}kits/tf-220.html")
    expect(desk.locator("h1")).to_be_visible()
    expect(desk.get_by_label("Findings")).to_have_count(0)
    board.note(Checked(("kits/tf-220.md",), (WRONG,)), Manual(()))
    board.turn()
    shown = desk.get_by_label("Findings")
    expect(shown).to_contain_text("Line 8: error: unknown-id: names `x`", timeout=WAIT)
    expect(shown).to_be_in_viewport()
    board.note(Checked(("kits/tf-220.md",), ()), Manual(()))
    board.turn()
    expect(desk.get_by_label("Findings")).to_have_count(0, timeout=WAIT)


def test_the_name_of_a_check_leads_to_its_page(served: tuple[Board, str], desk: Page) -> None:
    board, url = served
    board.note(Checked(("kits/tf-220.md",), (WRONG,)), Manual(()))
    board.turn()
    desk.goto(f"{url}kits/tf-220.html")
    desk.get_by_label("Findings").get_by_role("link", name="unknown-id").click()
    expect(desk.locator("h1")).to_contain_text("unknown-id")


def test_nothing_is_kept_for_later_while_it_is_written(
    served: tuple[Board, str], desk: Page
) -> None:
    _, url = served
    desk.goto(url)
    desk.wait_for_timeout(1500)
    kept = desk.evaluate(
        "navigator.serviceWorker.getRegistrations().then(all => all.filter(r => r.active).length)"
    )
    assert kept == 0
