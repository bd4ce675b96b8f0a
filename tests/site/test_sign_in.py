"""Who may come in, as ``docs/reference/serving.md`` has nginx ask: nothing is reached without."""

from __future__ import annotations

import threading
from base64 import b64encode
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import TYPE_CHECKING

import pytest

from tests.cli.clients import ask
from tests.cli.world import write
from tests.site.nginx import Running, block_of_the_page, nginx_with
from tests.site.test_nginx import SITE, fill, headers_as_they_should_be

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

NAMED = {"Authorization": f"Basic {b64encode(b'bay-1:right').decode()}"}
SIGNED_IN = {"Cookie": "session=bay-1"}
PATHS = [f"/{name}" for name in SITE] + ["/", "/kits", "/nothing.html", "/link.txt", "/_static/"]
SHOWN = [path for path in PATHS if f"/{path[1:]}" in PATHS[: len(SITE)] and "/." not in path]


class Checked(BaseHTTPRequestHandler):
    """The question of a shop's own proxy: is somebody signed in?"""

    def do_GET(self) -> None:
        known = self.headers.get("Cookie") == SIGNED_IN["Cookie"]
        self.send_response(204 if known else 401)
        self.end_headers()

    def log_message(self, *_: object) -> None:
        """Say nothing."""


@pytest.fixture(scope="module")
def with_names() -> Iterator[Running]:
    """The site behind names and passwords."""

    def filled(folder: Path) -> None:
        fill(folder)
        write(folder, {"users": "bay-1:{PLAIN}right\n"})

    more = block_of_the_page("auth_basic").replace("/etc/nginx/manual.users", "{folder}/users")
    with nginx_with(filled, more) as running:
        yield running


@pytest.fixture(scope="module")
def with_proxy() -> Iterator[Running]:
    """The site behind a sign-in of the shop's own."""
    server = ThreadingHTTPServer(("127.0.0.1", 0), Checked)
    threading.Thread(target=server.serve_forever, args=(0.05,), daemon=True).start()
    place = f"127.0.0.1:{server.server_address[1]}"
    more = block_of_the_page("auth_request").replace("127.0.0.1:4180", place)
    with nginx_with(fill, more) as running:
        yield running
    server.shutdown()
    server.server_close()


@pytest.mark.parametrize("who", [{}, {"Authorization": "Basic YmF5LTE6d3Jvbmc="}])
@pytest.mark.parametrize("path", PATHS)
def test_nothing_is_reached_without_a_name(
    with_names: Running, path: str, who: dict[str, str]
) -> None:
    status, headers, text = ask(with_names.address, path, **who)
    assert status == (404 if "/." in path else 401)
    assert headers_as_they_should_be({"Cache-Control": "no-cache", **headers})
    assert path[1:] not in SITE or SITE[path[1:]] not in text or SITE[path[1:]] == "?"
    assert "ETag" not in headers


@pytest.mark.parametrize("path", SHOWN)
def test_all_is_reached_with_one(with_names: Running, path: str) -> None:
    assert ask(with_names.address, path, **NAMED)[::2] == (200, SITE[path[1:]])


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "OPTIONS", "HEAD"])
def test_no_method_goes_past_it(with_names: Running, method: str) -> None:
    status, headers, text = ask(with_names.address, "/index.html", method)
    assert status == (401 if method == "HEAD" else 405)
    assert "Front" not in text
    assert headers_as_they_should_be(headers)


@pytest.mark.parametrize("path", PATHS)
def test_who_is_not_signed_in_is_led_there_and_the_worker_is_told(
    with_proxy: Running, path: str
) -> None:
    for who in ({}, {"Cookie": "session=other"}):
        status, headers, text = ask(with_proxy.address, path, **who)
        assert headers_as_they_should_be(headers)
        if "/." in path:
            assert status == 404
        elif path in ("/worker.js", "/offline/version.json"):
            assert status == 401
        else:
            assert status == 302
            assert headers["Location"].startswith("https://sign-in.example/?to=http://")
            assert headers["Location"].endswith(path)
        assert path[1:] not in SITE or SITE[path[1:]] not in text or SITE[path[1:]] == "?"


@pytest.mark.parametrize("path", SHOWN)
def test_who_is_signed_in_reaches_all(with_proxy: Running, path: str) -> None:
    assert ask(with_proxy.address, path, **SIGNED_IN)[::2] == (200, SITE[path[1:]])


def test_the_question_itself_can_not_be_asked_from_outside(with_proxy: Running) -> None:
    assert ask(with_proxy.address, "/sign-in/check", **SIGNED_IN)[0] == 404
