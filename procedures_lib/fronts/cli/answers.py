"""What the server answers: a file of the site, a page with its findings, or a refusal."""

from __future__ import annotations

import io
import ipaddress
import mimetypes
import os
import re
from dataclasses import dataclass
from datetime import UTC
from email.utils import formatdate, parsedate_to_datetime
from html import escape
from http import HTTPMethod, HTTPStatus
from pathlib import Path
from typing import BinaryIO
from urllib.parse import quote, unquote_to_bytes

from procedures_lib.fronts.cli.board import Board


def is_loopback(host: str) -> bool:
    """Tell whether a host is this machine: ``localhost``, ``127.…`` or ``::1``."""
    if host.lower() == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


POLICY = (
    "default-src 'self'; object-src 'none'; base-uri 'none'; form-action 'self'; "
    "frame-ancestors 'none'"
)
"""The content-security policy: that of the theme's pages, and no frame of another site."""

HEADERS = (
    ("Cache-Control", "no-cache"),
    ("Connection", "close"),
    ("Content-Security-Policy", POLICY),
    ("X-Content-Type-Options", "nosniff"),
)
"""What every answer says: ask each time, load from here alone, believe the types."""

_HTML = "text/html; charset=utf-8"
_KINDS = mimetypes.MimeTypes()  # Python's own table, not the machine's
for _ending, _kind in {
    ".css": "text/css",
    ".csv": "text/csv; charset=utf-8",
    ".html": _HTML,
    ".js": "text/javascript",
    ".json": "application/json",
    ".map": "application/json",
    ".mjs": "text/javascript",
    ".svg": "image/svg+xml",
    ".ttf": "font/ttf",
    ".txt": "text/plain; charset=utf-8",
    ".webp": "image/webp",
    ".woff": "font/woff",
    ".woff2": "font/woff2",
}.items():
    _KINDS.add_type(_kind, _ending)

_HOST = re.compile(r"(?:\[([^\[\]]*)\]|([^\[\]:@/\\]*))(?::\d{0,5})?")
_MAY = (HTTPMethod.GET, HTTPMethod.HEAD)


@dataclass(frozen=True, slots=True)
class Request:
    """What a client asks: a method, a target, and two headers, None where they are missing."""

    method: str
    target: str
    host: str | None = None
    since: str | None = None


@dataclass(frozen=True, slots=True)
class Answer:
    """A status, headers, and an open file with the body; whoever sends it closes it."""

    status: HTTPStatus
    headers: tuple[tuple[str, str], ...]
    body: BinaryIO
    size: int


class Answers:
    """Answers from the folder of a site; with a ``board``, pages have its findings above them."""

    def __init__(self, site: Path, board: Board | None = None) -> None:
        self._site = site
        self._board = board

    def to(self, request: Request) -> Answer:
        """Return the answer to a request, whatever is in it."""
        if not is_here(request.host):
            return refusal(HTTPStatus.FORBIDDEN, "This server is for this machine alone")
        if request.method not in _MAY:
            allowed = ("Allow", ", ".join(_MAY))
            return refusal(HTTPStatus.METHOD_NOT_ALLOWED, "Pages can only be read", allowed)
        path = path_of(request.target)
        own = self._board and path and self._board.answer(path)
        if own:
            return _content(HTTPStatus.OK, *own)
        if not (self._site / "index.html").is_file():
            return self._no_site()
        return (path and self._found(path, request.since)) or _not_there()

    def _no_site(self) -> Answer:
        if self._board:
            return _content(HTTPStatus.SERVICE_UNAVAILABLE, _HTML, self._board.page())
        said = "There is no site yet: the terminal says what to put right"
        return refusal(HTTPStatus.SERVICE_UNAVAILABLE, said)

    def _found(self, path: str, since: str | None) -> Answer | None:
        """The file at a path, or where the page of this folder is; None if there is none."""
        file = _inside(self._site, f"{path}index.html" if path.endswith("/") else path)
        if file is None:
            return None
        if file.is_dir():
            return _moved(f"{path}/") if (file / "index.html").is_file() else None
        try:
            if self._board and file.suffix == ".html":
                return _content(HTTPStatus.OK, _HTML, self._board.into(file.read_bytes(), path))
            return _file(file, since)
        except OSError:
            return None


def is_here(host: str | None) -> bool:
    """Tell whether a ``Host`` header names this machine; a client may send none (HTTP/1.0)."""
    named = _HOST.fullmatch("localhost" if host is None else host)
    return named is not None and is_loopback(named[1] or named[2] or "")


def path_of(target: str) -> str | None:
    """Return the path that a request is for, decoded; None if no file of a site has such a one."""
    try:
        path = unquote_to_bytes(target.partition("?")[0]).decode("utf-8")
    except UnicodeDecodeError:
        return None
    if not path.startswith("/") or "\\" in path or not path.isprintable():
        return None
    *folders, last = path[1:].split("/")
    odd = not all(folders) or any(name.startswith(".") for name in [*folders, last])
    return None if odd else path


def refusal(status: HTTPStatus, words: str, *headers: tuple[str, str]) -> Answer:
    """Return an answer that says in a few words why there is nothing else."""
    title = f"<title>{status.value} {status.phrase}</title>"
    page = f'<!DOCTYPE html>\n<html lang="en"><head>{title}</head><body><p>{escape(words)}.</p>'
    return _content(status, _HTML, f"{page}</body></html>\n".encode(), *headers)


def _not_there() -> Answer:
    return refusal(HTTPStatus.NOT_FOUND, "No such page")


def _moved(path: str) -> Answer:
    location = ("Location", quote(path))
    return refusal(HTTPStatus.MOVED_PERMANENTLY, "This page is a folder's", location)


def _content(status: HTTPStatus, kind: str, content: bytes, *headers: tuple[str, str]) -> Answer:
    length = str(len(content))
    said = (("Content-Type", kind), ("Content-Length", length), *headers)
    return Answer(status, said, io.BytesIO(content), len(content))


def _inside(site: Path, path: str) -> Path | None:
    """The file or folder at a path, links followed, if it is one of the site's and not hidden."""
    root = Path(os.path.realpath(site))
    found = Path(os.path.realpath(root / path.lstrip("/")))
    if not (os.path.isfile(found) or os.path.isdir(found)) or not found.is_relative_to(root):
        return None
    hidden = any(name.startswith(".") for name in found.relative_to(root).parts)
    return None if hidden else found


def _file(file: Path, since: str | None) -> Answer:
    """A file as it is; only a word that it is unchanged, if it is since that date."""
    body = file.open("rb")
    state = os.fstat(body.fileno())
    modified = int(state.st_mtime)
    date = ("Last-Modified", formatdate(modified, usegmt=True))
    if since and _is_unchanged(modified, since):
        body.close()
        return Answer(HTTPStatus.NOT_MODIFIED, (date,), io.BytesIO(), 0)
    kind = _KINDS.types_map[True].get(file.suffix.lower(), "application/octet-stream")
    said = (("Content-Type", kind), ("Content-Length", str(state.st_size)), date)
    return Answer(HTTPStatus.OK, said, body, state.st_size)


def _is_unchanged(modified: int, since: str) -> bool:
    try:
        date = parsedate_to_datetime(since)
        date = date if date.tzinfo else date.replace(tzinfo=UTC)
        return modified <= date.timestamp()
    except (ValueError, OverflowError):
        return False
