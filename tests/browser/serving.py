"""A web server for one test: right types, gzip, a log of what went over the wire, and a plug."""

from __future__ import annotations

import gzip
import threading
from dataclasses import dataclass
from functools import lru_cache, partial
from http import HTTPStatus
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

TYPES = {
    ".css": "text/css",
    ".csv": "text/csv; charset=utf-8",
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript",
    ".json": "application/json",
    ".pdf": "application/pdf",
    ".svg": "image/svg+xml",
    ".wasm": "application/wasm",
}
_PACKED = ("text/", "application/json", "application/javascript", "image/svg")


@lru_cache(maxsize=2_000)
def packed_body(body: bytes) -> bytes:
    """Return a body as it goes over the wire; the same files are asked for in every test."""
    return gzip.compress(body, 6, mtime=0)


@dataclass(frozen=True, slots=True)
class Sent:
    """One answer: the path asked for, the status, and the bytes of the body over the wire."""

    path: str
    status: int
    size: int


class Served:
    """A folder of files served on a loopback port, until :meth:`close`.

    ``root`` may be changed while it serves: the next build. ``plugged`` False answers nothing, as a
    phone without a network hears nothing; ``lost`` names the end of paths that are answered so.
    ``refusal`` is what everything is answered while nobody is signed in: a status, "page" for a
    page to sign in with status 200, or the address of one on another host; "" for nothing.
    ``budget`` is how many bytes of bodies are still sent, None for all: then the network goes in
    the middle of an answer, and stays away; it is -1 from then on.
    ``stalled`` is a network that takes each request and never answers. ``sent`` is the log.
    """

    def __init__(self, root: Path) -> None:
        self.root = root
        self.plugged = True
        self.lost: tuple[str, ...] = ()
        self.stalled = False
        self.refusal = ""
        self.budget: int | None = None
        self._spending = threading.Lock()
        self.sent: list[Sent] = []
        self.closing = threading.Event()
        self._server = ThreadingHTTPServer(("127.0.0.1", 0), partial(_Handler, served=self))
        self._server.daemon_threads = True
        serve = self._server.serve_forever
        self._thread = threading.Thread(target=serve, args=(0.05,), daemon=True)
        self._thread.start()

    @property
    def url(self) -> str:
        """The address of the site, with a slash at its end."""
        return f"http://127.0.0.1:{self._server.server_address[1]}/"

    def page(self, name: str) -> str:
        """The address of a page by its docname, ``procedures/fit-tf-220#step-3`` say."""
        docname, hash_, fragment = name.partition("#")
        return f"{self.url}{docname}.html{hash_}{fragment}"

    def allowed(self, size: int) -> int:
        """How many of so many bytes may still be sent, -1 for not even a head; they are spent."""
        with self._spending:
            if self.budget is None:
                return size
            found = min(size, self.budget) if self.budget > 0 else -1
            self.budget = self.budget - size if self.budget > size else -1
            return found

    def bytes_sent(self) -> int:
        """All bytes of bodies since the log was last cleared."""
        return sum(sent.size for sent in self.sent)

    def close(self) -> None:
        """Stop serving."""
        self.closing.set()
        self._server.shutdown()
        self._server.server_close()
        self._thread.join()


class _Handler(SimpleHTTPRequestHandler):
    def __init__(self, *args: Any, served: Served, **more: Any) -> None:
        self.served = served
        super().__init__(*args, directory=str(served.root), **more)

    def do_GET(self) -> None:
        path = urlsplit(self.path).path
        if self.served.stalled:
            self.served.closing.wait(60)
        if (
            self.served.stalled
            or not self.served.plugged
            or self.served.budget == -1
            or (self.served.lost and path.endswith(self.served.lost))
        ):
            self.close_connection = True
            return
        if self.served.refusal:
            self._refuse(path, self.served.refusal)
            return
        file = Path(self.translate_path(self.path))
        file = file / "index.html" if file.is_dir() else file
        found = file.is_file()
        body = file.read_bytes() if found else b"<!DOCTYPE html><title>Not there</title>"
        status = HTTPStatus.OK if found else HTTPStatus.NOT_FOUND
        kind = TYPES.get(file.suffix, "application/octet-stream") if found else TYPES[".html"]
        self._answer(path, status, kind, body)

    def _refuse(self, path: str, refusal: str) -> None:
        page = b"<!DOCTYPE html><title>Sign in</title><h1>Who are you?</h1>"
        if refusal == "page" or refusal.isdigit():
            status = HTTPStatus(int(refusal)) if refusal.isdigit() else HTTPStatus.OK
            self._answer(path, status, TYPES[".html"], page)
            return
        self.send_response(HTTPStatus.FOUND)
        self.send_header("Location", refusal)
        self.send_header("Content-Length", "0")
        self.end_headers()

    def _answer(self, path: str, status: HTTPStatus, kind: str, body: bytes) -> None:
        is_packed = kind.startswith(_PACKED) and "gzip" in self.headers.get("Accept-Encoding", "")
        body = packed_body(body) if is_packed else body
        allowed = self.served.allowed(len(body))
        if allowed < len(body):
            self.close_connection = True
        if allowed < 0:
            return
        self.send_response(status)
        if is_packed:
            self.send_header("Content-Encoding", "gzip")
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(body)))
        self.send_header("Cache-Control", "no-cache")
        self.send_header("X-Content-Type-Options", "nosniff")
        self.end_headers()
        self.served.sent.append(Sent(path, status, len(body)))
        self.wfile.write(body[:allowed])

    def log_message(self, format: str, *args: Any) -> None:
        """Say nothing: the log is in ``sent``."""
