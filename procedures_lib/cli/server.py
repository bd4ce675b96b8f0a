"""Serves a folder of files to this machine alone."""

from __future__ import annotations

import errno
import io
import ipaddress
import os
import socket
import socketserver
from functools import partial
from http import HTTPStatus
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import unquote, urlsplit

from procedures_lib.cli.exits import Refused

if TYPE_CHECKING:
    from procedures_lib.cli.board import Board

_NEARBY = 50


class SiteHandler(SimpleHTTPRequestHandler):
    """Answers with the files of a site and nothing else, and asks browsers to look again."""

    extensions_map = {  # noqa: RUF012 - as in the base class
        **SimpleHTTPRequestHandler.extensions_map,
        ".css": "text/css",
        ".html": "text/html; charset=utf-8",
        ".js": "text/javascript",
        ".json": "application/json",
        ".svg": "image/svg+xml",
    }

    def __init__(self, *args: Any, board: Board | None = None, **options: Any) -> None:
        self.board = board
        super().__init__(*args, **options)

    def send_head(self) -> Any:
        """Answer GET and HEAD, or refuse."""
        refusal = self._refusal()
        if refusal and self.board and refusal[0] is HTTPStatus.SERVICE_UNAVAILABLE:
            return self._send(refusal[0], "text/html; charset=utf-8", self.board.page())
        if refusal:
            self.send_error(*refusal)
            return None
        return (self._with_board(self.board) if self.board else None) or super().send_head()

    def _with_board(self, board: Board) -> io.BytesIO | None:
        """Answer with what the board serves, or with a page that has its findings above it."""
        path = unquote(urlsplit(self.path).path)
        own = board.answer(path)
        if own is not None:
            return self._send(HTTPStatus.OK, *own)
        file = Path(self.translate_path(self.path))
        file = file / "index.html" if path.endswith("/") else file
        if file.suffix != ".html" or not file.is_file():
            return None
        html = board.into(file.read_bytes(), path)
        return self._send(HTTPStatus.OK, "text/html; charset=utf-8", html)

    def _send(self, status: HTTPStatus, kind: str, content: bytes) -> io.BytesIO:
        self.send_response(status)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(content)))
        self.end_headers()
        return io.BytesIO(content)

    def list_directory(self, path: str | os.PathLike[str]) -> io.BytesIO | None:
        """Show no list of files for a folder without an index page."""
        self.send_error(HTTPStatus.NOT_FOUND)
        return None

    def end_headers(self) -> None:
        """Have the browser ask each time, and believe the types that are given."""
        self.send_header("Cache-Control", "no-cache")
        self.send_header("X-Content-Type-Options", "nosniff")
        super().end_headers()

    def log_message(self, format: str, *args: Any) -> None:
        """Keep the terminal for findings."""

    def _refusal(self) -> tuple[HTTPStatus, str] | None:
        if not is_loopback(urlsplit(f"//{self.headers.get('Host', 'localhost')}").hostname or ""):
            return HTTPStatus.FORBIDDEN, "This server is for this machine alone"
        path = unquote(urlsplit(self.path).path)
        if ".." in path.split("/") or "\\" in path or not path.isprintable():
            return HTTPStatus.NOT_FOUND, "No such page"
        site = Path(self.directory).resolve()
        if not (site / "index.html").is_file():
            return (
                HTTPStatus.SERVICE_UNAVAILABLE,
                "There is no site yet: the terminal says what to put right",
            )
        if not Path(self.translate_path(self.path)).resolve().is_relative_to(site):
            return HTTPStatus.NOT_FOUND, "No such page"
        return None


class SiteServer(ThreadingHTTPServer):
    """A server on a loopback address; threads end with the program."""

    allow_reuse_address = os.name != "nt"  # there it would share a port that is in use
    daemon_threads = True

    def __init__(self, address: tuple[str, int], site: Path, board: Board | None = None) -> None:
        if ":" in address[0]:
            self.address_family = socket.AF_INET6
        super().__init__(address, partial(SiteHandler, directory=str(site), board=board))

    def server_bind(self) -> None:
        """Bind without asking the network for this machine's name."""
        socketserver.TCPServer.server_bind(self)
        self.server_name, self.server_port = map(str, self.server_address[:2])  # type: ignore[assignment]

    @property
    def url(self) -> str:
        """The address to open in a browser."""
        host, port = self.server_address[:2]
        name = f"[{host!s}]" if ":" in str(host) else str(host)
        return f"http://{name}:{port}/"


def is_loopback(host: str) -> bool:
    """Tell whether a host is this machine: ``localhost``, ``127.…`` or ``::1``."""
    if host.lower() == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def open_server(host: str, port: int, site: Path, board: Board | None = None) -> SiteServer:
    """Return a server that listens; port 0 takes any that is free.

    With a ``board``, pages are served with their findings above them.

    :class:`Refused` when the host is not this machine, or the port can't be had: the message names
    the next free one.
    """
    if not is_loopback(host):
        raise Refused(
            f"--host {host}: the manual is served to this machine alone.\n"
            "Give 127.0.0.1 or ::1, or put the built site on a web server for others."
        )
    address = "127.0.0.1" if host.lower() == "localhost" else host
    try:
        return SiteServer((address, port), site, board)
    except OSError as error:
        raise Refused(_busy(address, port, error, site)) from None


def _busy(host: str, port: int, error: OSError, site: Path) -> str:
    free = _next_free(host, port, site)
    hint = f"\nPort {free} is free: give --port {free}." if free else ""
    if error.errno == errno.EADDRINUSE:
        return f"port {port} is in use by another program.{hint}"
    return f"port {port} at {host} can't be had: {error.strerror or error}.{hint}"


def _next_free(host: str, port: int, site: Path) -> int | None:
    first = max(port + 1, 1024)
    for candidate in range(first, min(first + _NEARBY, 65536)):
        try:
            SiteServer((host, candidate), site).server_close()
        except OSError:
            continue
        return candidate
    return None
