"""A server for one test, and clients: those that ask as they should, and all the others."""

from __future__ import annotations

import contextlib
import http.client
import socket
import struct
from typing import TYPE_CHECKING

from procedures_lib.fronts.cli.server import open_server

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from procedures_lib.fronts.cli.answers import Board
    from procedures_lib.fronts.cli.server import SiteServer

HANG = 60
"""Seconds after which a test has hung."""

GET = b"GET / HTTP/1.1\r\nHost: localhost\r\n\r\n"


@contextlib.contextmanager
def serving(
    site: Path, board: Board | None = None, host: str = "127.0.0.1"
) -> Iterator[SiteServer]:
    """Serve a folder while the test runs."""
    server = open_server(host, 0, site, board)
    with server.running():
        yield server


def ask(
    address: tuple[str, int], path: str, method: str = "GET", **headers: str
) -> tuple[int, dict[str, str], str]:
    """Ask for a path just as it is written; return status, headers and body."""
    connection = http.client.HTTPConnection(*address, timeout=HANG)
    connection.putrequest(method, path, skip_host="Host" in headers)
    for name, value in headers.items():
        connection.putheader(name.replace("_", "-"), value)
    connection.endheaders()
    answer = connection.getresponse()
    body = answer.read().decode("utf-8", "replace")
    connection.close()
    return answer.status, dict(answer.headers), body


def call(address: tuple[str, int], words: bytes = b"") -> socket.socket:
    """Open a connection and send some bytes, whatever they are."""
    client = socket.create_connection(address, timeout=HANG)
    client.sendall(words)
    return client


def rest_of(client: socket.socket) -> bytes:
    """Read until the server closes the connection, and close it here."""
    read = bytearray()
    with client, contextlib.suppress(ConnectionError):
        while piece := client.recv(65_536):
            read += piece
    return bytes(read)


def break_off(client: socket.socket) -> None:
    """Hang up with a reset, as a program does that is killed."""
    client.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
    client.close()
