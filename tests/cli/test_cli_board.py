"""``procedures serve`` shows the findings of a page on that page, and loads it again."""

from __future__ import annotations

from html.parser import HTMLParser
from typing import TYPE_CHECKING

import pytest

from procedures_lib.findings import Finding, Level, Place
from procedures_lib.fronts.cli.answers import Board
from procedures_lib.fronts.cli.checked_manual import Checked
from procedures_lib.manual import Manual
from tests.cli.clients import ask, serving
from tests.cli.test_cli_serve import served_until
from tests.cli.world import UNREADABLE, make_manual, run, start, write
from tests.helpers import manual_from

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

HTML = (
    '<!DOCTYPE html><html><head><title>T</title></head><body class="x"><p>Words.</p></body></html>'
)
WRONG = Finding(Place("kits/a.md", 8), "unknown-id", "names `x`", "did you mean `y`?")
ODD = Finding(Place("kits/a.md", 9), "no-source", "no source", level=Level.WARNING, variants="a=b")
HOSTILE = Finding(Place("b.md", 1), "left-loose", '<script>"&\x1b', "</aside><img src=x>")


@pytest.fixture
def site(tmp_path: Path) -> Path:
    write(tmp_path / "site", {"index.html": HTML, "kits/a.html": HTML, "b.html": HTML})
    write(tmp_path / "site", {"checks/unknown-id.html": HTML, "pic.svg": "<svg/>"})
    return tmp_path / "site"


@pytest.fixture
def board(site: Path) -> Board:
    return Board(site)


@pytest.fixture
def server(site: Path, board: Board) -> Iterator[tuple[str, int]]:
    with serving(site, board) as opened:
        yield opened.server_address


NOTHING = Manual(())


def show(board: Board, *findings: Finding, manual: Manual = NOTHING) -> None:
    board.note(Checked(("b.md", "kits/a.md"), findings), manual)
    board.turn()


class Text(HTMLParser):
    """The words inside the board, and the tags there."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.words: list[str] = []
        self.tags: list[str] = []
        self._inside = False
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._inside |= tag == "aside"
        if self._inside:
            self.tags.append(tag)

    def handle_endtag(self, tag: str) -> None:
        self._inside &= tag != "aside"

    def handle_data(self, data: str) -> None:
        if self._inside:
            self.words.append(data)

    @property
    def text(self) -> str:
        return "".join(self.words)


def test_a_page_shows_its_findings_and_names_the_others(
    board: Board, server: tuple[str, int]
) -> None:
    show(board, WRONG, ODD, HOSTILE)
    html = ask(server, "/kits/a.html")[2]
    assert Text(html).text == (
        "1 error, 1 warning on this page."
        "Line 8: error: unknown-id: names `x`did you mean `y`?"
        "Line 9: warning: no-source: no source [a=b]"
        "Findings elsewhere: b.md."
        "While there are errors, the last good pages are shown."
    )
    assert '<a href="/checks/unknown-id.html">unknown-id</a>' in html
    assert "<code>no-source</code>" in html, "the site has no page about it"
    assert html.index("<aside") > html.index('<body class="x">')
    assert html.endswith("<p>Words.</p></body></html>")


def test_a_page_without_findings_names_the_others_alone(
    board: Board, server: tuple[str, int]
) -> None:
    show(board, ODD)
    text = Text(ask(server, "/")[2]).text
    assert text == "Findings elsewhere: kits/a.md."
    show(board)
    assert "<aside" not in ask(server, "/")[2]


LOOSE = """
    ```{vehicle} ox
    name: Ox
    ```

    ```{fasteners}
    hub-bolts: {name: Hub bolts, kind: bolt, tighten: {see: "<b>sheet</b> 4"}}
    axle-nut: {name: Axle nut, kind: nut, tighten: {see: sheet 5}}
    ```
    """


def test_the_foot_of_a_page_has_what_is_not_judged(board: Board, server: tuple[str, int]) -> None:
    show(board, manual=manual_from({"kits/a.md": LOOSE}))
    html = ask(server, "/kits/a.html")[2]
    foot = html.partition("<p>Words.</p>")[2]
    assert foot.startswith(
        '<details class="served-unjudged"><summary>Not judged: 2 joints</summary>'
    )
    assert "<li>Line 6: `hub-bolts`: its source gives the torque elsewhere (&lt;b&gt;" in foot
    assert "<li>Line 7: `axle-nut`: " in foot
    assert foot.endswith("</details></body></html>")
    assert "<aside" not in html, "it is no finding"
    assert "served-unjudged" not in ask(server, "/b.html")[2]
    show(board)
    assert "served-unjudged" not in ask(server, "/kits/a.html")[2]


def test_the_foot_has_the_numbers_with_their_witnesses(
    board: Board, server: tuple[str, int]
) -> None:
    text = LOOSE.replace("name: Ox\n", "name: Ox\n    years: 2018-2022\n").replace(
        "kind: nut,", 'kind: nut, source: "<i>Sheet</i> 5", head: hex 13 mm, thread: M8,'
    )
    page = f"{text}\n    ```{{expect}} Sheet 5\n    axle-nut: thread M8\n    ```\n"
    show(board, manual=manual_from({"kits/a.md": page}))
    foot = ask(server, "/kits/a.html")[2].partition("<p>Words.</p>")[2]
    assert "<summary>3 numbers, 1 typed once</summary><table>" in foot
    assert "<td>thread</td><td>M8</td><td>&lt;i&gt;Sheet&lt;/i&gt; 5</td>" in foot
    assert "<td>double entry, kits/a.md:12</td>" in foot
    assert "<td>standard, ISO 4032</td>" in foot
    assert "<td>none</td>" in foot


def test_text_of_a_page_stays_text(board: Board, server: tuple[str, int]) -> None:
    show(board, HOSTILE)
    shown = Text(ask(server, "/b.html")[2])
    assert "script" not in shown.tags
    assert "img" not in shown.tags
    assert '<script>"&\\x1b' in shown.text
    assert "</aside><img src=x>" in shown.text


def test_the_state_is_another_after_each_build(board: Board, server: tuple[str, int]) -> None:
    first = ask(server, "/_serve/state")[2]
    assert f'<meta name="served-state" content="{first}">' in ask(server, "/")[2]
    board.note(Checked(("b.md",), (WRONG,)), NOTHING)
    assert ask(server, "/_serve/state")[2] == first, "not before the build has ended"
    board.turn()
    assert ask(server, "/_serve/state")[2] != first


@pytest.mark.parametrize(
    ("path", "kind"),
    [("/_serve/serve.js", "text/javascript"), ("/_serve/serve.css", "text/css"),
     ("/worker.js", "text/javascript"), ("/pic.svg", "image/svg+xml")],
)  # fmt: skip
def test_what_is_served_beside_the_site(server: tuple[str, int], path: str, kind: str) -> None:
    status, headers, text = ask(server, path)
    low = {name.lower(): value for name, value in headers.items()}
    assert (status, low["content-type"]) == (200, kind)
    assert len(text.encode()) == int(low["content-length"]) > 0


def test_nothing_inline(server: tuple[str, int]) -> None:
    """The site's policy is default-src 'self': scripts and styles come as files."""
    html = ask(server, "/")[2]
    assert html.count("<script") == html.count('<script type="module" src="/_serve/') == 1
    assert "<style" not in html


@pytest.mark.parametrize(
    "path", ["/_serve/../server.py", "/_serve/", "/_serve/board.py", "/x.html"]
)
def test_no_other_file_is_served(server: tuple[str, int], path: str) -> None:
    assert ask(server, path)[0] == 404


def test_before_the_first_good_build_the_findings_stand_in(tmp_path: Path) -> None:
    board = Board(tmp_path / "nothing")
    show(board, WRONG)
    with serving(tmp_path / "nothing", board) as opened:
        status, _, html = ask(opened.server_address, "/")
        script = ask(opened.server_address, "/_serve/serve.js")
    assert status == 503
    assert "Findings elsewhere: kits/a.md." in Text(html).text
    assert "/_serve/serve.js" in html
    assert script[0] == 200, "the page loads again when there is a site"


def test_serve_shows_them_and_a_build_does_not(tmp_path: Path) -> None:
    folder = make_manual(tmp_path / "project", {"index.md": "# The manual\n\nFirst words.\n"})
    process = start(folder, "serve", "--port", "0")
    try:
        assert process.stdout is not None
        line = next(line for line in process.stdout if "Serving" in line)
        server = ("127.0.0.1", int(line.split("/")[2].rpartition(":")[2]))
        assert "<aside" not in served_until(server, "First words.")
        write(folder, {"docs/index.md": UNREADABLE})
        shown = Text(served_until(server, "<aside")).text
        assert "1 error on this page." in shown
        assert "Line 4: error: unknown-field: " in shown
        built = (folder / ".build" / "html" / "index.html").read_text("utf-8")
        assert "First words." in built
        assert "_serve" not in built
        assert "ot judged" not in built
    finally:
        process.kill()
        process.communicate()


def test_help_says_so() -> None:
    assert "top of the page" in " ".join(run("serve", "--help").stdout.split())
