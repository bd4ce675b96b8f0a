"""``procedures serve``: what is served, to whom, and what a save does."""

from __future__ import annotations

import signal
import socket
import sys
import time
from typing import TYPE_CHECKING

import pytest

from procedures_lib.fronts.cli.request import is_loopback
from procedures_lib.fronts.cli.server import SiteServer, open_server
from procedures_lib.fronts.cli.terminal import Refused
from tests.cli.clients import ask
from tests.cli.clients import serving as serving_folder
from tests.cli.world import UNREADABLE, make_manual, run, start, write

if TYPE_CHECKING:
    import subprocess
    from collections.abc import Iterator
    from pathlib import Path

PAGE = "# The manual\n\n{} words.\n"


@pytest.fixture
def site(tmp_path: Path) -> Path:
    folder = tmp_path / "project" / "site"
    write(folder, {"index.html": "front", "kits/index.html": "kits", "style.css": "a{}"})
    write(folder, {"empty/picture.svg": "<svg/>"})
    write(tmp_path / "project", {"secret.txt": "secret", "site-notes/index.html": "secret"})
    return folder


@pytest.fixture
def server(site: Path) -> Iterator[tuple[str, int]]:
    with serving_folder(site) as opened:
        yield opened.server_address


@pytest.mark.parametrize(
    ("path", "body"),
    [("/", "front"), ("/index.html?x=1", "front"), ("/kits/", "kits"), ("/style.css", "a{}")],
)
def test_files_of_the_site(server: tuple[str, int], path: str, body: str) -> None:
    status, headers, text = ask(server, path)
    assert (status, text) == (200, body)
    assert headers["Cache-Control"] == "no-cache"


@pytest.mark.parametrize(
    ("path", "kind"),
    # types: RFC 9239 (JavaScript), RFC 2318 (CSS), the W3C's registration of SVG
    [("/", "text/html; charset=utf-8"), ("/style.css", "text/css"),
     ("/empty/picture.svg", "image/svg+xml")],
)  # fmt: skip
def test_types_do_not_depend_on_the_machine(server: tuple[str, int], path: str, kind: str) -> None:
    assert ask(server, path)[1]["Content-Type"] == kind


@pytest.mark.parametrize(
    "path",
    [
        "/../index.html",
        "/../secret.txt",
        "/%2e%2e/secret.txt",
        "/kits/../../secret.txt",
        "/..%2fsecret.txt",
        "/..%5csecret.txt",
        "/../site-notes/index.html",
        "//etc/passwd",
        "/link.txt",
        "/%00",
        "/empty/",
        "/nothing.html",
    ],
)
def test_nothing_outside_the_site(server: tuple[str, int], site: Path, path: str) -> None:
    (site / "link.txt").symlink_to(site.parent / "secret.txt")
    status, headers, text = ask(server, path)
    assert status == 404
    assert "secret" not in text.replace("secret.txt", "")
    assert headers["Cache-Control"] == "no-cache"


def test_other_methods_are_refused(server: tuple[str, int]) -> None:
    assert ask(server, "/", "POST")[0] == 405
    assert ask(server, "/", "HEAD")[::2] == (200, "")


@pytest.mark.parametrize(
    ("host", "status"),
    [("localhost:8000", 200), ("127.0.0.1", 200), ("[::1]:8000", 200), ("manual.example", 403)],
)
def test_a_foreign_name_that_points_here_is_refused(
    server: tuple[str, int], host: str, status: int
) -> None:
    assert ask(server, "/", Host=host)[0] == status


def test_before_the_first_good_build_there_is_a_message(tmp_path: Path) -> None:
    with serving_folder(tmp_path / "nothing") as opened:
        status, _, text = ask(opened.server_address, "/")
    assert status == 503
    assert "no site yet" in text


@pytest.mark.parametrize(
    ("host", "here"),
    # loopback: RFC 1122, 3.2.1.3 (127.0.0.0/8); RFC 4291, 2.5.3 (::1); RFC 6761, 6.3 (localhost)
    [("127.0.0.1", True), ("127.8.9.1", True), ("::1", True), ("localhost", True),
     ("LOCALHOST", True), ("0.0.0.0", False), ("::", False), ("192.0.2.1", False),  # noqa: S104
     ("example.com", False), ("", False)],
)  # fmt: skip
def test_what_is_this_machine(host: str, here: bool) -> None:
    assert is_loopback(host) is here


def test_another_machine_is_not_served(tmp_path: Path) -> None:
    with pytest.raises(Refused, match="this machine alone"):
        open_server("0.0.0.0", 0, tmp_path)  # noqa: S104


@pytest.mark.parametrize("words", [("--host", "0.0.0.0"), ("--port", "70000"), ("--port", "x")])  # noqa: S104
def test_words_that_can_not_be_served_are_refused(manual: Path, words: tuple[str, str]) -> None:
    assert run("serve", *words).exit_code == 2


def test_a_port_in_use_names_one_that_is_free(manual: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        result = run("serve", "--port", str(port))
    assert result.exit_code == 2
    assert f"port {port} is in use" in result.stderr
    free = int(result.stderr.rsplit("--port ", 1)[1].rstrip(".\n"))
    assert free > port
    SiteServer(("127.0.0.1", free), manual).close()


def test_settings_that_are_missing_end_it(manual: Path) -> None:
    (manual / "conf" / "conf.py").unlink()
    result = run("serve", "--port", "0")
    assert result.exit_code == 2
    assert "conf.py" in result.stderr


def line_with(words: str, stream: object) -> str:
    """Read lines until one has these words in it; the end of the stream fails the test."""
    for line in stream:  # type: ignore[attr-defined]
        if words in line:
            return str(line)
    pytest.fail(f"the program ended without printing {words!r}")


def served_until(server: tuple[str, int], words: str) -> str:
    """Ask for the front page until it has these words in it; give up after a minute."""
    for _ in range(600):
        text = ask(server, "/")[2]
        if words in text:
            return text
        time.sleep(0.1)
    pytest.fail(f"{words!r} was never served")


@pytest.fixture
def serving(tmp_path: Path) -> Iterator[tuple[subprocess.Popen[str], Path]]:
    folder = make_manual(tmp_path / "project", {"index.md": PAGE.format("First")})
    process = start(folder, "serve", "--port", "0")
    yield process, folder / "docs"
    if process.poll() is None:
        process.kill()
    process.communicate()


@pytest.mark.skipif(sys.platform == "win32", reason="Ctrl-C is sent in another way")
def test_serve_builds_on_every_save_and_ends_by_hand(
    serving: tuple[subprocess.Popen[str], Path],
) -> None:
    process, pages = serving
    address = line_with("Serving http://127.0.0.1:", process.stdout).split("/")[2]
    server = ("127.0.0.1", int(address.rpartition(":")[2]))
    served_until(server, "First words.")
    write(pages, {"index.md": PAGE.format("Second")})
    served_until(server, "Second words.")
    write(pages, {"index.md": UNREADABLE})
    assert line_with("docs/index.md:4: error: unknown-field: ", process.stderr)
    assert "keeps the last good site" in line_with("Not published", process.stderr)
    served_until(server, "Second words.")
    write(pages.parent, {"conf/conf.py": "syntax error("})
    write(pages, {"index.md": PAGE.format("Third")})
    assert line_with("syntax error", process.stderr)
    write(pages.parent, {"conf/conf.py": 'extensions = ["myst_parser"]\n'})
    served_until(server, "Third words.")
    process.send_signal(signal.SIGINT)
    assert process.wait() == 0
    assert process.stdout is not None
    assert "Stopped." in process.stdout.read()
