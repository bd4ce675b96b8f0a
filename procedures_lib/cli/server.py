"""Serves a folder of files to this machine alone: one thread, however many clients there are."""

from __future__ import annotations

import asyncio
import errno
import os
import socket
import threading
from concurrent.futures import Future
from typing import TYPE_CHECKING

from procedures_lib.cli.answers import Answers
from procedures_lib.cli.attending import attend
from procedures_lib.cli.exits import Refused
from procedures_lib.cli.loopback import is_loopback

if TYPE_CHECKING:
    from pathlib import Path

    from procedures_lib.cli.board import Board

CLIENTS = 100
"""How many clients are attended at a time; the one that came first gives way to one more."""

_NEARBY = 50
_WAITING = 1024
_MOMENT = 0.05


class SiteServer:
    """A server on a loopback address, listening from the beginning.

    :meth:`serve_forever` serves in the thread that calls it, until another calls :meth:`shutdown`.
    """

    def __init__(self, address: tuple[str, int], site: Path, board: Board | None = None) -> None:
        family = socket.AF_INET6 if ":" in address[0] else socket.AF_INET
        self._socket = socket.create_server(address, family=family, backlog=_WAITING)
        self.server_address: tuple[str, int] = self._socket.getsockname()[:2]
        self._answers = Answers(site, board)
        self._clients: dict[asyncio.Task[None], None] = {}  # in the order in which they came
        self._stop: Future[None] = Future()
        self._idle = threading.Event()
        self._idle.set()

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

    def serve_forever(self) -> None:
        """Serve until :meth:`shutdown` is called."""
        self._idle.clear()
        try:
            if not self._stop.done():
                with asyncio.Runner() as runner:
                    runner.run(self._serve())
        finally:
            self._idle.set()

    def shutdown(self) -> None:
        """End :meth:`serve_forever`, and wait until it has ended."""
        if not self._stop.done():
            self._stop.set_result(None)
        self._idle.wait()

    def server_close(self) -> None:
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
            SiteServer((host, candidate), site).server_close()
        except OSError:
            continue
        return candidate
    return None
