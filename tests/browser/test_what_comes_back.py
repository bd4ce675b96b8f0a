"""What the bay says comes back: from a remark off line to the archive and the writer's screen."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from click.testing import CliRunner
from playwright.sync_api import expect

from procedures_lib.fronts.cli.answers import Board
from procedures_lib.fronts.cli.archiving.bay import ADDRESS, Bay
from procedures_lib.fronts.cli.checked_manual import Checked
from procedures_lib.fronts.cli.program import main
from procedures_lib.fronts.cli.server import open_server
from tests.browser.conftest import PROJECT
from tests.browser.test_car import PROCEDURE
from tests.browser.test_follow import begin, tick
from tests.browser.test_record import save
from tests.browser.test_remarks import LINE, camera, note, photograph
from tests.demo import demo

if TYPE_CHECKING:
    from pathlib import Path

    from playwright.sync_api import Page

    from tests.browser.serving import Served

STEP = 16


def shop(archive: Path, *words: str) -> str:
    """Run a command on the project's own manual with an archive in a folder of its own."""
    where = ("--manual", str(PROJECT / "docs"), "--archive", str(archive))
    result = CliRunner().invoke(main, [*words, *where])
    assert result.exit_code == 0, result.output
    return result.output


def test_from_a_remark_off_line_to_the_writers_screen(
    site: Served, demo_html: Path, phone: Page, desk: Page, tmp_path: Path
) -> None:
    begin(site, phone)
    tick(phone, 1, 2)
    site.plugged = False
    sheet = note(phone, STEP, "Unclear", LINE)
    photograph(sheet, camera(300))
    expect(sheet.get_by_label("The photograph of this remark")).to_be_visible()
    sheet.get_by_role("button", name="Done").click()
    record = save(phone, tmp_path)

    archive = tmp_path / "archive"
    assert ": added as " in shop(archive, "archive", "add", str(record))
    found = shop(archive, "archive", "find", "--remark", "behind the bracket")
    assert f"unclear {STEP}: {LINE}" in found
    name = found.split()[-3]
    assert f"Remark, unclear: {LINE} (with a picture)" in shop(archive, "archive", "show", name)
    assert "1 job from " in shop(archive, "learn")

    board = Board(demo_html, Bay(archive))
    board.note(Checked((), ()), demo())
    board.turn()
    server = open_server("127.0.0.1", 0, demo_html, board)
    with server.running():
        desk.goto(f"{server.url}{PROCEDURE}.html")
        fold = desk.locator(".served-lessons")
        expect(fold).to_contain_text("What 1 job teaches of this page")
        fold.locator("summary").click()
        plan = demo().plan_of_page(f"{PROCEDURE}.md")
        assert plan is not None
        line = plan.steps[STEP - 1].step.place.line
        told = fold.get_by_role("listitem").filter(has_text=LINE)
        expect(told).to_contain_text(f"Line {line}, step {STEP}:")
        expect(told).to_contain_text("1 of 1")
        fold.get_by_role("link", name="All that was learnt").click()
        expect(desk).to_have_url(re.compile(f"{ADDRESS}$"))
        expect(desk.locator("body")).to_contain_text(LINE)
