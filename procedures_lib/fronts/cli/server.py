"""Serves a folder of files to this machine alone: one thread, however many clients there are."""

from __future__ import annotations

import asyncio
import errno
import os
import socket
import threading
from collections.abc import Iterator
from concurrent.futures import Future
from contextlib import contextmanager
from email.utils import formatdate
from http import HTTPStatus
from pathlib import Path

import click
import h11

from procedures_lib.fronts.cli.answers import (
    HEADERS,
    Answer,
    Answers,
    Board,
    refusal,
)
from procedures_lib.fronts.cli.request import Request, is_loopback
from procedures_lib.fronts.cli.terminal import Refused

HEAD_BYTES = 16_384
"""How long the head of a request may be."""

HEAD_SECONDS = 10.0
"""How long a client may take for the head of its request."""

BODY_SECONDS = 60.0
"""How long a client may take to read its answer."""

_LINGER_SECONDS = 2.0
_CHUNK = 65_536


async def attend(answers: Answers, client: socket.socket) -> None:
    """Answer one request of a client. Whoever calls closes the socket, which doesn't block.

    A client that goes away or takes too long gets no answer, and that is all that comes of it.
    """
    connection = h11.Connection(h11.SERVER, max_incomplete_event_size=HEAD_BYTES)
    try:
        async with asyncio.timeout(HEAD_SECONDS):
            asked = await _head(connection, client)
        if asked is None:
            return
        answer = _answer(answers, asked)
        bare = isinstance(asked, h11.Request) and asked.method == b"HEAD"
        async with asyncio.timeout(BODY_SECONDS):
            await _send(connection, client, answer, bare=bare)
        async with asyncio.timeout(_LINGER_SECONDS):
            await _until_gone(client)
    except OSError:  # timeouts too
        return
    except Exception as error:
        _tell(error)


def _tell(error: Exception) -> None:
    """Print a fault of the server in one line; it goes on serving."""
    click.echo(f"procedures: a fault of the server: {type(error).__name__}: {error}", err=True)


async def _head(
    connection: h11.Connection, client: socket.socket
) -> h11.Request | h11.RemoteProtocolError | None:
    """The head of a request, or what is wrong with it; None if the client went away."""
    receive = asyncio.get_running_loop().sock_recv
    try:
        while (event := connection.next_event()) is h11.NEED_DATA:
            connection.receive_data(await receive(client, HEAD_BYTES))
    except h11.RemoteProtocolError as error:
        return error
    return event if isinstance(event, h11.Request) else None


def _answer(answers: Answers, asked: h11.Request | h11.RemoteProtocolError) -> Answer:
    if isinstance(asked, h11.RemoteProtocolError):
        return refusal(HTTPStatus(asked.error_status_hint), "This is no request that can be read.")
    headers = {name: value.decode("latin-1") for name, value in asked.headers}
    method, target = asked.method.decode("ascii"), asked.target.decode("ascii")
    since = headers.get(b"if-modified-since")
    return answers.to(Request(method, target, headers.get(b"host"), since))


async def _send(
    connection: h11.Connection, client: socket.socket, answer: Answer, *, bare: bool
) -> None:
    """Send an answer, a piece at a time, as fast as the client reads; ``bare``: the head alone."""
    send = asyncio.get_running_loop().sock_sendall
    date = ("Date", formatdate(usegmt=True))
    head = h11.Response(
        status_code=answer.status,
        reason=answer.status.phrase,
        headers=[date, *HEADERS, *answer.headers],
    )
    with answer.body as body:
        await send(client, connection.send(head) or b"")
        left = 0 if bare else answer.size
        while chunk := body.read(min(left, _CHUNK)):
            left -= len(chunk)
            await send(client, chunk)
            await asyncio.sleep(0)  # the others' turn


async def _until_gone(client: socket.socket) -> None:
    """Say that this was all, and read the rest: closed before that, the answer may be lost."""
    client.shutdown(socket.SHUT_WR)
    while await asyncio.get_running_loop().sock_recv(client, _CHUNK):
        await asyncio.sleep(0)  # the others' turn


CLIENTS = 100
"""How many clients are attended at a time; the one that came first gives way to one more."""

_NEARBY = 50
_WAITING = 1024
_MOMENT = 0.05


class SiteServer:
    """A server on a loopback address, listening from the beginning; answers when it is running."""

    def __init__(self, address: tuple[str, int], site: Path, board: Board | None = None) -> None:
        family = socket.AF_INET6 if ":" in address[0] else socket.AF_INET
        self._socket = socket.create_server(address, family=family, backlog=_WAITING)
        self.server_address: tuple[str, int] = self._socket.getsockname()[:2]
        self._answers = Answers(site, board)
        self._clients: dict[asyncio.Task[None], None] = {}  # in the order in which they came
        self._stop: Future[None] = Future()

    @property
    def url(self) -> str:
        """The address to open in a browser."""
        host, port = self.server_address
        name = f"[{host}]" if ":" in host else host
        return f"http://{name}:{port}/"

    @property
    def attended(self) -> int:
        """How many clients are attended at this moment."""
        return len(self._clients)

    @contextmanager
    def running(self) -> Iterator[None]:
        """Answer from a thread of its own; at the end all clients are let go, and the port too."""
        thread = threading.Thread(target=lambda: asyncio.run(self._serve()), daemon=True)
        thread.start()
        try:
            yield
        finally:
            self._stop.set_result(None)
            thread.join()
            self.close()

    def close(self) -> None:
        """Give the port back."""
        self._socket.close()

    async def _serve(self) -> None:
        welcoming = asyncio.create_task(self._welcome())
        await asyncio.wrap_future(self._stop)
        welcoming.cancel()

    async def _welcome(self) -> None:
        """Attend every client; when there is no room for one more, the oldest goes.

        Whoever asks at once is answered, however many others never do.
        """
        loop = asyncio.get_running_loop()
        self._socket.setblocking(False)
        while True:
            try:
                client, _ = await loop.sock_accept(self._socket)
            except OSError:  # it has gone again, or the machine has no more files to open
                self._send_away_oldest()
                await asyncio.sleep(_MOMENT)
                continue
            self._greet(client)
            await asyncio.sleep(0)  # its turn

    def _greet(self, client: socket.socket) -> None:
        def ended(task: asyncio.Task[None]) -> None:
            self._clients.pop(task, None)
            client.close()

        task = asyncio.get_running_loop().create_task(attend(self._answers, client))
        task.add_done_callback(ended)
        self._clients[task] = None
        if len(self._clients) > CLIENTS:
            self._send_away_oldest()

    def _send_away_oldest(self) -> None:
        oldest = next(iter(self._clients), None)
        if oldest:
            del self._clients[oldest]
            oldest.cancel()


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
    reason = os.strerror(error.errno) if error.errno else error
    return f"port {port} at {host} can't be had: {reason}.{hint}"


def _next_free(host: str, port: int, site: Path) -> int | None:
    first = max(port + 1, 1024)
    for candidate in range(first, min(first + _NEARBY, 65536)):
        try:
            SiteServer((host, candidate), site).close()
        except OSError:
            continue
        return candidate
    return None
