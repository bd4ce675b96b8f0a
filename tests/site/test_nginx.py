"""nginx with the configuration of ``docs/reference/serving.md``: what it sends, what it refuses."""

from __future__ import annotations

import gzip
import http.client
import re
from typing import TYPE_CHECKING

import pytest

from procedures_lib.fronts.cli.answers import POLICY
from tests.cli.clients import HANG, ask, call, rest_of
from tests.cli.world import write
from tests.site.nginx import Running, nginx_with

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cache-Control": "no-cache",
}
SITE = {
    "404.html": "<!DOCTYPE html><title>Missing</title>",
    "index.html": "<!DOCTYPE html><title>Front</title>" + "<p>Words.</p>" * 200,
    "kits/index.html": "<!DOCTYPE html><title>Kits</title>",
    "worker.js": "self.x = 1;",
    "offline/version.json": '{"version": 1}',
    "_static/bench.css": "a { b: c }",
    "_static/find.js": "let a;",
    "drawing.svg": "<svg/>",
    "fit.json": "{}",
    "fit-torque.csv": "a,b",
    "fit.pdf": "%PDF",
    "_static/text.woff2": "wOF2",
    "odd.xyz": "?",
    "superseded/fit/B.html": "<!DOCTYPE html><title>Old</title>",
    "superseded/files/0123456789abcdef0123.css": "a { b: c }",
    ".hidden": "hidden",
    ".git/config": "hidden",
    "kits/.list.json": "hidden",
}


def fill(folder: Path) -> None:
    """Write the site, and what lies outside of it."""
    write(folder / "site", SITE)
    write(folder, {"outside.txt": "outside", "beyond/page.html": "outside"})
    (folder / "site" / "link.txt").symlink_to(folder / "outside.txt")
    (folder / "site" / "beyond").symlink_to(folder / "beyond")


@pytest.fixture(scope="module")
def running() -> Iterator[Running]:
    with nginx_with(fill) as running:
        yield running


def headers_as_they_should_be(headers: dict[str, str]) -> bool:
    """Whether an answer has what every answer has to have, and tells no version."""
    return HEADERS.items() <= headers.items() and headers["Server"] == "nginx"


@pytest.mark.parametrize(
    ("path", "kind"),
    [
        ("/", "text/html; charset=utf-8"),
        ("/kits/", "text/html; charset=utf-8"),
        ("/worker.js", "text/javascript; charset=utf-8"),
        ("/_static/find.js", "text/javascript; charset=utf-8"),
        ("/_static/bench.css", "text/css; charset=utf-8"),
        ("/drawing.svg", "image/svg+xml"),
        ("/fit.json", "application/json"),
        ("/offline/version.json", "application/json"),
        ("/fit-torque.csv", "text/csv; charset=utf-8"),
        ("/fit.pdf", "application/pdf"),
        ("/_static/text.woff2", "font/woff2"),
        ("/odd.xyz", "application/octet-stream"),
    ],
)
def test_files_have_their_types_and_the_headers(running: Running, path: str, kind: str) -> None:
    status, headers, text = ask(running.address, path)
    assert (status, headers["Content-Type"]) == (200, kind)
    assert headers_as_they_should_be(headers)
    name = f"{path}index.html" if path.endswith("/") else path
    assert text == SITE[name[1:]]
    head = ask(running.address, path, "HEAD")
    assert (head[0], head[2]) == (200, "")
    assert headers_as_they_should_be(head[1])


@pytest.mark.parametrize(
    ("method", "path", "status"),
    [
        ("GET", "/nothing.html", 404),
        ("GET", "/.hidden", 404),
        ("GET", "/%2ehidden", 404),
        ("GET", "/.git/config", 404),
        ("GET", "/kits/.list.json", 404),
        ("GET", "/link.txt", 403),
        ("GET", "/beyond/page.html", 404),
        ("GET", "/_static/", 403),
        ("GET", "/%00", 400),
        ("GET", "/../../outside.txt", 400),
        ("GET", "/" + "x" * 100_000, 414),
        ("GET", "/kits", 301),
        ("POST", "/", 405),
        ("POST", "/worker.js", 405),
        ("PUT", "/new.html", 405),
        ("DELETE", "/index.html", 405),
        ("OPTIONS", "/", 405),
        ("TRACE", "/", 405),
    ],
)
def test_what_is_refused_has_the_headers_too(
    running: Running, method: str, path: str, status: int
) -> None:
    answer = ask(running.address, path, method)
    assert answer[0] == status
    assert headers_as_they_should_be(answer[1])
    assert not re.search("hidden|outside", answer[2])


def test_what_is_not_there_has_the_sites_page_but_no_name_with_a_dot(running: Running) -> None:
    status, headers, text = ask(running.address, "/kits/old/nothing.html")
    assert (status, "Missing" in text) == (404, True)
    assert headers_as_they_should_be(headers)
    for path in ("/.hidden", "/.git/config"):
        assert "Missing" not in ask(running.address, path)[2]


def test_a_folder_leads_to_its_page_on_this_host(running: Running) -> None:
    assert ask(running.address, "/kits", Host="elsewhere.example")[1]["Location"] == "/kits/"


@pytest.mark.parametrize("host", [b"Host: [::1", b"Host: [", b"Host: \xff", b"X: y"])
def test_odd_hosts_get_no_answer_without_headers(running: Running, host: bytes) -> None:
    answer = rest_of(
        call(running.address, b"GET / HTTP/1.1\r\nConnection: close\r\n" + host + b"\r\n\r\n")
    )
    assert answer.startswith((b"HTTP/1.1 400 ", b"HTTP/1.1 200 "))
    for name, value in HEADERS.items():
        assert f"\r\n{name}: {value}\r\n".encode() in answer


@pytest.mark.parametrize("path", ["/", "/_static/bench.css", "/drawing.svg"])
def test_an_unchanged_file_is_a_short_answer_with_the_headers(running: Running, path: str) -> None:
    _, first, _ = ask(running.address, path)
    for asked in ({"If_None_Match": first["ETag"]}, {"If_Modified_Since": first["Last-Modified"]}):
        status, headers, text = ask(running.address, path, **asked)
        assert (status, text) == (304, "")
        assert headers_as_they_should_be(headers)


def test_only_files_named_by_their_hash_may_be_kept_unasked(running: Running) -> None:
    path = "/superseded/files/0123456789abcdef0123.css"
    status, headers, text = ask(running.address, path)
    assert (status, text) == (200, "a { b: c }")
    long = {**HEADERS, "Cache-Control": "private, max-age=31536000, immutable"}
    assert long.items() <= headers.items()
    for other in (path.replace("0", "1"), "/superseded/files/", "/superseded/fit/B.html"):
        assert headers_as_they_should_be(ask(running.address, other)[1])


@pytest.mark.parametrize("path", ["/worker.js", "/offline/version.json"])
def test_worker_and_lists_come_whole_each_time(running: Running, path: str) -> None:
    _, first, text = ask(running.address, path)
    assert "ETag" not in first
    again = ask(running.address, path, If_None_Match="*", If_Modified_Since=first["Last-Modified"])
    assert (again[0], again[2]) == (200, text)
    assert headers_as_they_should_be(again[1])


def test_pages_come_packed(running: Running) -> None:
    connection = http.client.HTTPConnection(*running.address, timeout=HANG)
    connection.request("GET", "/", headers={"Accept-Encoding": "gzip"})
    answer = connection.getresponse()
    body = answer.read()
    connection.close()
    assert (answer.headers["Content-Encoding"], answer.headers["Vary"]) == (
        "gzip",
        "Accept-Encoding",
    )
    assert gzip.decompress(body).decode() == SITE["index.html"]


def test_a_folder_put_in_the_place_of_another_is_served_at_once(running: Running) -> None:
    old = {"index.html": "old", "worker.js": "old", "offline/version.json": "old", "gone.html": "x"}
    new = {"index.html": "new", "worker.js": "new", "offline/version.json": "new", "come.html": "x"}
    folder, site = running.site.parent, running.site
    site.rename(folder / "kept")
    try:
        write(site, old)
        assert ask(running.address, "/gone.html")[0] == 200
        assert ask(running.address, "/come.html")[0] == 404
        write(folder / "next", new)
        site.rename(folder / "before")
        (folder / "next").rename(site)
        for name in ("index.html", "worker.js", "offline/version.json"):
            assert ask(running.address, f"/{name}")[2] == "new"
        assert ask(running.address, "/gone.html")[0] == 404
        assert ask(running.address, "/come.html")[0] == 200
    finally:
        site.rename(folder / "last")
        (folder / "kept").rename(site)
