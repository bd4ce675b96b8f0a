"""The server of ``procedures serve`` and clients that ask badly, hang up, or never finish."""

from __future__ import annotations

import random
import re
import threading
import time
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from procedures_lib.fronts.cli import server as attending
from procedures_lib.fronts.cli.answers import POLICY, Board
from procedures_lib.fronts.cli.request import path_of
from procedures_lib.fronts.cli.server import CLIENTS
from procedures_lib.fronts.site.theme import THEME
from tests.cli.clients import GET, HANG, ask, break_off, call, rest_of, serving
from tests.cli.world import write

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.fronts.cli.server import SiteServer

LAYOUT = THEME / "layout.html"
LARGE = 30_000_000
GET_LARGE = GET.replace(b"/ ", b"/large.bin ", 1)


@pytest.fixture
def site(tmp_path: Path) -> Path:
    write(tmp_path / "site", {"index.html": "<html><head></head><body>front</body></html>"})
    write(tmp_path / "site", {"a.css": "a{}", "kits/index.html": "kits"})
    return tmp_path / "site"


@pytest.fixture
def server(
    site: Path, capfd: pytest.CaptureFixture[str], caplog: pytest.LogCaptureFixture
) -> Iterator[SiteServer]:
    """A server that must print nothing and log nothing, whatever a test does to it."""
    with serving(site, Board(site)) as opened:
        yield opened
        assert ask(opened.server_address, "/")[0] == 200, "it serves after all that"
    assert capfd.readouterr() == ("", "")
    assert caplog.records == []


def answer_to(server: SiteServer, words: bytes) -> bytes:
    """The first line of the answer to some bytes; the server says no more after it."""
    return rest_of(call(server.server_address, words)).split(b"\r\n")[0]


@pytest.mark.parametrize(
    ("host", "status"),
    [
        (b"Host: [::1", 403),
        (b"Host: [", 403),
        (b"Host: ]", 403),
        (b"Host: [::1]x", 403),
        (b"Host: [localhost", 403),
        (b"Host: localhost@manual.example", 403),
        (b"Host: manual.example@localhost", 403),
        (b"Host: localhost:80:80", 403),
        (b"Host: localhost:x", 403),
        (b"Host: localhost/", 403),
        (b"Host: manual.example\\@localhost", 403),
        (b"Host:", 403),
        (b"Host: \xff\xfe\x80", 403),
        (b"Host: \xe2\x84\xab", 403),
        (b"Host: 127.0.0.1.manual.example", 403),
        (b"Host: " + b"x" * 8000, 403),
        (b"Host: local\x00host", 400),
        (b"Host: localhost\r\nHost: localhost", 400),
        (b"Host : localhost", 400),
        (b"X: y", 400),
        (b"Host: " + b"x" * 100_000, 431),
        (b"Host: LOCALHOST:65535", 200),
        (b"Host: [::1]", 200),
        (b"Host: 127.1.2.3:80", 200),
    ],
)
def test_hosts(server: SiteServer, host: bytes, status: int) -> None:
    line = answer_to(server, b"GET / HTTP/1.1\r\n" + host + b"\r\n\r\n")
    assert line.startswith(b"HTTP/1.1 %d " % status)


def test_a_client_of_old_sends_no_host(server: SiteServer) -> None:
    assert answer_to(server, b"GET / HTTP/1.0\r\n\r\n") == b"HTTP/1.1 200 OK"


@pytest.mark.parametrize(
    "words",
    [
        b"GET\r\n\r\n",
        b"GET /\r\n\r\n",
        b"GET / / HTTP/1.1\r\nHost: localhost\r\n\r\n",
        b"GET http://[ HTTP/1.1\r\n\r\n",
        b"GET /\xff HTTP/1.1\r\nHost: localhost\r\n\r\n",
        b"GET /\x00 HTTP/1.1\r\nHost: localhost\r\n\r\n",
        b"G\xcbT / HTTP/1.1\r\nHost: localhost\r\n\r\n",
        b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03",  # a client that wants TLS
        b": \r\n\r\n",
        b"GET / HTTP/1.1\r\n folded\r\n\r\n",
        b"GET / HTTP/1.1\r\nHost: localhost\r\nContent-Length: x\r\n\r\n",
    ],
)
def test_what_is_no_request(server: SiteServer, words: bytes) -> None:
    assert answer_to(server, words).startswith(b"HTTP/1.1 400 ")


def test_a_target_that_is_too_long(server: SiteServer) -> None:
    words = b"GET /" + b"x" * 200_000 + b" HTTP/1.1\r\nHost: localhost\r\n\r\n"
    assert answer_to(server, words).startswith(b"HTTP/1.1 431 ")
    long_name = b"GET /" + b"x" * 10_000 + b" HTTP/1.1\r\nHost: localhost\r\n\r\n"
    assert answer_to(server, long_name).startswith(b"HTTP/1.1 404 ")


@pytest.mark.parametrize(
    "target",
    ["/%00", "/a%00.css", "/%ff", "/%c3%28", "/%ed%a0%80", "/%0d%0aX:y", "/%", "/%zz", "/%e2%80%ae",
     "//", "//kits", "///", "/kits//", "/./a.css", "/%2e/a.css", "*", "a.css",
     "/a.css/", "/kits%5c", "/kits\\", "http://localhost/a.css"],
)  # fmt: skip
def test_targets_without_a_file(server: SiteServer, target: str) -> None:
    assert ask(server.server_address, target)[0] == 404


@pytest.mark.parametrize(
    ("target", "path"),
    [("/", "/"), ("/a.css?b=%00", "/a.css"), ("/caf%C3%A9%20/x", "/café /x"), ("/a?b/../c", "/a")],
)
def test_paths_are_decoded(target: str, path: str) -> None:
    assert path_of(target) == path


def test_hidden_files_are_not_served(server: SiteServer, site: Path) -> None:
    write(site, {".secret": "x", ".git/index.html": "x", "kits/.buildinfo": "x", "ring": "x"})
    (site / "link.txt").symlink_to(site / ".secret")
    (site / "loop").symlink_to(site / "loop")
    (site / "ring").unlink()
    (site / "ring").symlink_to(site)
    hidden = ["/.secret", "/.git/", "/.git", "/kits/.buildinfo", "/%2esecret", "/link.txt", "/loop"]
    assert [ask(server.server_address, path)[0] for path in hidden] == [404] * len(hidden)
    assert ask(server.server_address, "/ring/a.css")[0] == 200, "a link that stays inside"


def test_what_is_not_there_has_the_sites_own_page(server: SiteServer, site: Path) -> None:
    (site / "404.html").write_text("<title>Missing</title>", "utf-8")
    status, _, text = ask(server.server_address, "/kits/old/nothing.html")
    assert (status, text) == (404, "<title>Missing</title>")


def test_a_folder_leads_to_its_page(server: SiteServer) -> None:
    status, headers, _ = ask(server.server_address, "/kits")
    assert (status, headers["Location"]) == (301, "/kits/")
    assert ask(server.server_address, "/kits/")[0] == 200


def test_a_file_that_is_unchanged_is_not_sent_again(server: SiteServer) -> None:
    address = server.server_address
    date = ask(address, "/a.css")[1]["Last-Modified"]
    assert ask(address, "/a.css", If_Modified_Since=date)[::2] == (304, "")
    for other in ("Thu, 01 Jan 1970 00:00:00 GMT", "yesterday", "", "\xff", "1" * 5000):
        assert ask(address, "/a.css", If_Modified_Since=other)[::2] == (200, "a{}")


@pytest.mark.parametrize(
    ("method", "path", "status"),
    [("GET", "/", 200), ("HEAD", "/", 200), ("GET", "/a.css", 200), ("GET", "/_serve/state", 200),
     ("GET", "/worker.js", 200), ("GET", "/kits", 301), ("GET", "/x", 404), ("POST", "/", 405),
     ("TRACE", "/", 405), ("OPTIONS", "*", 405)],
)  # fmt: skip
def test_every_answer_has_the_headers(
    server: SiteServer, method: str, path: str, status: int
) -> None:
    answer = ask(server.server_address, path, method)
    assert answer[0] == status
    assert answer[1]["Content-Security-Policy"] == POLICY
    assert answer[1]["X-Content-Type-Options"] == "nosniff"
    assert answer[1]["Cache-Control"] == "no-cache"


def test_the_policy_is_that_of_the_pages_and_no_frame() -> None:
    of_the_theme = re.search(r'set policy = "([^"]+)"', LAYOUT.read_text("utf-8"))
    assert of_the_theme
    assert f"{of_the_theme[1]}; frame-ancestors 'none'" == POLICY


def test_an_answer_is_read_though_more_was_sent_than_asked_for(server: SiteServer) -> None:
    words = b"POST / HTTP/1.1\r\nHost: localhost\r\nContent-Length: 500000\r\n\r\n" + b"x" * 500_000
    assert answer_to(server, words).startswith(b"HTTP/1.1 405 ")
    assert answer_to(server, GET * 50) == b"HTTP/1.1 200 OK"


def test_a_large_file_comes_whole(server: SiteServer, site: Path) -> None:
    content = random.Random(1).randbytes(LARGE)  # noqa: S311
    (site / "large.bin").write_bytes(content)
    answer = rest_of(call(server.server_address, GET_LARGE))
    head, _, body = answer.partition(b"\r\n\r\n")
    assert b"Content-Length: %d" % LARGE in head
    assert body == content


def test_clients_that_hang_up_at_any_moment(server: SiteServer, site: Path) -> None:
    (site / "large.bin").write_bytes(bytes(LARGE))
    chance = random.Random(15)  # noqa: S311
    messages = [GET, GET_LARGE, b"\x00" * 50, GET[:-2] + b"X: " * 9000]
    for _ in range(300):
        message = chance.choice(messages)
        client = call(server.server_address, message[: chance.randrange(len(message) + 1)])
        if message in messages[:2] and chance.random() < 0.3:
            client.close()
            client = call(server.server_address, message)
            client.recv(chance.randrange(1, 100_000))
        if chance.random() < 0.5:
            break_off(client)
        else:
            client.close()


def test_clients_that_never_finish_keep_no_other_waiting(server: SiteServer) -> None:
    threads = threading.active_count()
    others = [call(server.server_address, GET[:20]) for _ in range(2 * CLIENTS)]
    for byte in b"X-Slow: no end":
        for other in others:
            try:
                other.sendall(bytes([byte]))
            except ConnectionError:  # sent away by the server, as one of the oldest
                continue
        assert ask(server.server_address, "/")[0] == 200
        assert threading.active_count() == threads
        assert server.attended <= CLIENTS
    for other in others:
        other.close()


def test_the_head_of_a_request_has_a_time(
    server: SiteServer, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(attending, "HEAD_SECONDS", 0.3)
    client = call(server.server_address, GET[:-2])
    client.settimeout(0.05)
    for _ in range(20 * HANG):  # a byte now and then is no reason to wait longer
        try:
            assert client.recv(1) == b""
            break
        except TimeoutError:
            client.sendall(b"x")
        except ConnectionError:
            break
    else:
        pytest.fail("the server waits for ever")
    client.close()


def test_a_client_that_does_not_read_is_let_go(
    server: SiteServer, site: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(attending, "BODY_SECONDS", 0.3)
    (site / "large.bin").write_bytes(bytes(LARGE))
    client = call(server.server_address, GET_LARGE)
    assert client.recv(1) == b"H"
    for _ in range(20 * HANG):
        if server.attended == 0:
            break
        time.sleep(0.05)
    else:
        pytest.fail("the server waits for ever")
    assert len(rest_of(client)) < LARGE


def test_it_ends_with_clients_in_the_middle(site: Path) -> None:
    with serving(site) as opened:
        client = call(opened.server_address, GET[:20])
        ask(opened.server_address, "/")
    assert rest_of(client) == b""


def test_it_can_be_ended_before_it_has_begun(site: Path) -> None:
    for _ in range(20):
        with serving(site):
            pass


def test_the_other_kind_of_address(site: Path) -> None:
    try:
        with serving(site, host="::1") as opened:
            assert re.fullmatch(r"http://\[::1\]:\d+/", opened.url)
            assert ask(opened.server_address, "/")[0] == 200
    except Exception as error:
        if "can't be had" not in str(error):
            raise
        pytest.skip("this machine has no IPv6")
