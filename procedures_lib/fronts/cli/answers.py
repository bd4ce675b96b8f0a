"""What the server answers: a file of the site, a page with what was found of it, or a refusal."""

from __future__ import annotations

import io
import itertools
import mimetypes
import os
import re
import uuid
from dataclasses import dataclass
from datetime import UTC
from email.utils import formatdate, parsedate_to_datetime
from html import escape
from http import HTTPMethod, HTTPStatus
from importlib import resources
from pathlib import Path
from typing import BinaryIO
from urllib.parse import quote

from procedures_lib.findings import Finding, Level, counted, printable
from procedures_lib.fronts.cli.archiving.bay import Bay
from procedures_lib.fronts.cli.arguments import SHOP_PAGE
from procedures_lib.fronts.cli.checked_manual import Checked, counts
from procedures_lib.fronts.cli.report import message_of
from procedures_lib.fronts.cli.request import Request, is_here, path_of
from procedures_lib.fronts.tables.definitions import witness_table
from procedures_lib.judging.unjudged import count_text, unjudged_in
from procedures_lib.judging.witness import count_of, numbers_on
from procedures_lib.manual import Manual

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

_MAY = (HTTPMethod.GET, HTTPMethod.HEAD)
_NO_SITE = "There is no site yet: the terminal says what to put right."


@dataclass(frozen=True, slots=True)
class Answer:
    """A status, headers, and an open file with the body; whoever sends it closes it."""

    status: HTTPStatus
    headers: tuple[tuple[str, str], ...]
    body: BinaryIO
    size: int


def refusal(status: HTTPStatus, words: str, *headers: tuple[str, str]) -> Answer:
    """Return an answer that says in a few words why there is nothing else."""
    page = _document(f"{status.value} {status.phrase}", f"<p>{escape(words)}</p>")
    return _content(status, _HTML, page, *headers)


def _document(title: str, body: str, head: str = "") -> bytes:
    return (
        f'<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8"><title>{title}</title>{head}'
        f"</head><body>{body}</body></html>\n"
    ).encode()


def _content(status: HTTPStatus, kind: str, content: bytes, *headers: tuple[str, str]) -> Answer:
    about = (("Content-Type", kind), ("Content-Length", str(len(content))), *headers)
    return Answer(status, about, io.BytesIO(content), len(content))


def _file(file: Path, since: str | None) -> Answer:
    """A file as it is; only a word that it is unchanged, if it is since that date."""
    body = file.open("rb")
    state = os.fstat(body.fileno())
    modified = int(state.st_mtime)
    date = ("Last-Modified", formatdate(modified, usegmt=True))
    if since and _is_unchanged(modified, since):
        body.close()
        return Answer(HTTPStatus.NOT_MODIFIED, (date,), io.BytesIO(), 0)
    about = (("Content-Type", _kind_of(file)), ("Content-Length", str(state.st_size)), date)
    return Answer(HTTPStatus.OK, about, body, state.st_size)


def _kind_of(file: Path) -> str:
    return _KINDS.types_map[True].get(file.suffix.lower(), "application/octet-stream")


def _is_unchanged(modified: int, since: str) -> bool:
    try:
        date = parsedate_to_datetime(since)
        date = date if date.tzinfo else date.replace(tzinfo=UTC)
        return modified <= date.timestamp()
    except (ValueError, OverflowError):
        return False


class Answers:
    """Answers from the folder of a site; with a ``board``, pages have its findings above them."""

    def __init__(self, site: Path, board: Board | None = None) -> None:
        self._site = site
        self._board = board

    def to(self, request: Request) -> Answer:
        """Return the answer to a request, whatever is in it."""
        if not is_here(request.host):
            return refusal(HTTPStatus.FORBIDDEN, "This server is for this machine alone.")
        if request.method not in _MAY:
            allowed = ("Allow", ", ".join(_MAY))
            return refusal(HTTPStatus.METHOD_NOT_ALLOWED, "Pages can only be read.", allowed)
        path = path_of(request.target)
        own = self._board and path and self._board.answer(path)
        if own:
            return _content(HTTPStatus.OK, *own)
        if not (self._site / "index.html").is_file():
            return self._no_site()
        found = self._found(path, request.since) if path else None
        return found or self._missing()

    def _missing(self) -> Answer:
        """The site's own page for what is not there; a few words without one."""
        page = self._inside("404.html")
        if page is None:
            return refusal(HTTPStatus.NOT_FOUND, "No such page.")
        return _content(HTTPStatus.NOT_FOUND, _HTML, page.read_bytes())

    def _no_site(self) -> Answer:
        if self._board:
            return _content(HTTPStatus.SERVICE_UNAVAILABLE, _HTML, self._board.page())
        return refusal(HTTPStatus.SERVICE_UNAVAILABLE, _NO_SITE)

    def _found(self, path: str, since: str | None) -> Answer | None:
        """The file at a path, or where the page of this folder is; None if there is none."""
        file = self._inside(f"{path}index.html" if path.endswith("/") else path)
        if file is None:
            return None
        if file.is_dir():
            if not (file / "index.html").is_file():
                return None
            there = ("Location", quote(f"{path}/"))
            return refusal(HTTPStatus.MOVED_PERMANENTLY, "This page is a folder's.", there)
        try:
            if self._board and file.suffix == ".html":
                return _content(HTTPStatus.OK, _HTML, self._board.into(file.read_bytes(), path))
            return _file(file, since)
        except OSError:
            return None

    def _inside(self, path: str) -> Path | None:
        """The file or folder at a path, links followed, if it is the site's and not hidden."""
        root = Path(os.path.realpath(self._site))
        found = Path(os.path.realpath(root / path.lstrip("/")))
        if not (os.path.isfile(found) or os.path.isdir(found)) or not found.is_relative_to(root):
            return None
        hidden = any(name.startswith(".") for name in found.relative_to(root).parts)
        return None if hidden else found


_PREFIX = "/_serve/"
_STYLES = f'<link rel="stylesheet" href="{_PREFIX}serve.css">'
_OWN_FILES = {f"{_PREFIX}serve.js": "serve.js", f"{_PREFIX}serve.css": "serve.css",
              "/worker.js": "worker.js", "/worker-2.js": "worker.js"}  # fmt: skip
_HEAD_END = re.compile(rb"</head\s*>", re.IGNORECASE)
_BODY = re.compile(rb"<body[^>]*>", re.IGNORECASE)


class Board:
    """What was found by the last build, at the top of each page while the manual is written.

    What can't be judged stands at the foot of its page, and nowhere in the built site.
    ``state`` is another text after each build; ``bay`` has what jobs teach of the pages.
    """

    def __init__(self, site: Path, bay: Bay | None = None) -> None:
        self._site, self._bay = site, bay
        self._run = uuid.uuid4().hex[:8]
        self._turns = itertools.count(1)
        self._findings: tuple[Finding, ...] = ()
        self._manual = Manual(())
        self._next: tuple[tuple[Finding, ...], Manual] = self._findings, self._manual
        self.state = f"{self._run}-0"

    def note(self, checked: Checked, manual: Manual) -> None:
        """Keep what a build has found; it stands on the board from the next turn on."""
        self._next = checked.findings, manual

    def turn(self) -> None:
        """Show what was noted: open pages load again."""
        self._findings, self._manual = self._next
        if self._bay:
            self._bay.turn()
        self.state = f"{self._run}-{next(self._turns)}"

    def answer(self, path: str) -> tuple[str, bytes] | None:
        """Return type and content of what is served beside the site; None for any other path."""
        if path == f"{_PREFIX}state":
            return "text/plain; charset=utf-8", self.state.encode()
        name = _OWN_FILES.get(path)
        if name is None:
            return self._bay.answer(path) if self._bay else None
        file = resources.files("procedures_lib.fronts.cli") / "served" / name
        return _kind_of(Path(name)), file.read_bytes()

    def into(self, html: bytes, path: str) -> bytes:
        """Return a page of the site with its findings above it, and what is not judged below."""
        page = _page_at(path)
        head, bar, foot = self._head(), self._bar(page), self._foot(page).encode()
        foot = (self._bay.foot(self._manual, page).encode() if self._bay else b"") + foot
        html = _HEAD_END.sub(lambda end: head.encode() + end[0], html, count=1)
        html = _BODY.sub(lambda body: body[0] + bar.encode(), html, count=1)
        end = html.rfind(b"</body")
        return html[:end] + foot + html[end:] if end >= 0 else html + foot

    def page(self) -> bytes:
        """Return the page that stands in while there is no site yet."""
        return _document("No site yet", self._bar("") or f"<p>{_NO_SITE}</p>", self._head())

    def _head(self) -> str:
        return (
            f'<meta name="served-state" content="{self.state}">{_STYLES}'
            f'<script type="module" src="{_PREFIX}serve.js"></script>'
        )

    def _bar(self, page: str) -> str:
        """The findings of a page, and the names of the other pages that have some."""
        findings = self._findings
        if not findings:
            return ""
        own = [finding for finding in findings if finding.place.page == page]
        rows = "".join(f"<li>{self._row(finding)}</li>" for finding in own)
        listed = (
            f"<p><strong>{counts(own)} on this page.</strong></p><ul>{rows}</ul>" if own else ""
        )
        old = any(finding.level is Level.ERROR for finding in findings)
        note = "<p>While there are errors, the last good pages are shown.</p>" if old else ""
        only = "" if old else " only-warnings"
        others = self._others({finding.place.page for finding in findings} - {page})
        return (
            f'<aside class="served-findings{only}" role="status" aria-label="Findings">'
            f"{listed}{others}{note}</aside>"
        )

    def _foot(self, page: str) -> str:
        """What can't be judged of a page, folded away."""
        numbers = self._numbers(page)
        items = [e for e in unjudged_in(self._manual, [page]) if e.kind != "number"]
        if not items:
            return numbers
        rows = "".join(
            f"<li>Line {each.place.line}: {escape(printable(f'{each.what}: {each.why}'))}</li>"
            for each in items
        )
        said = escape(count_text(items).capitalize())
        listed = f"<summary>{said}</summary><ul>{rows}</ul>"
        return f'<details class="served-unjudged">{listed}</details>{numbers}'

    def _numbers(self, page: str) -> str:
        """The numbers of a page with their witnesses, folded away."""
        numbers = numbers_on(self._manual, page) if page in self._manual.contents else []
        if not numbers:
            return ""
        table, bare = witness_table(numbers), count_of(numbers)["none"]
        heads = "".join(f"<th scope=col>{escape(each.label)}</th>" for each in table.columns)
        rows = ([escape(printable(each.text)) for each in row.cells] for row in table.rows)
        body = "".join(f"<tr><td>{'</td><td>'.join(row)}</td></tr>" for row in rows)
        said = f"{counted(len(numbers), 'number')}, {bare or 'none'} typed once"
        listed = f"<table><thead><tr>{heads}</tr></thead><tbody>{body}</tbody></table>"
        return f'<details class="served-unjudged"><summary>{said}</summary>{listed}</details>'

    def _row(self, finding: Finding) -> str:
        hint = f"<br>{escape(printable(finding.hint))}" if finding.hint else ""
        name = self._linked(f"checks/{finding.check}", finding.check)
        message = escape(message_of(finding))
        return f"Line {finding.place.line}: {finding.level}: {name}: {message}{hint}"

    def _others(self, pages: set[str]) -> str:
        if not pages:
            return ""
        names = [self._linked(page.removesuffix(".md"), page) for page in sorted(pages)]
        return f"<p>Findings elsewhere: {', '.join(names)}.</p>"

    def _linked(self, docname: str, text: str) -> str:
        """A text, as a link where the site has the page."""
        name = escape(printable(text))
        if text == SHOP_PAGE or not (self._site / f"{docname}.html").is_file():
            return f"<code>{name}</code>"
        return f'<a href="/{escape(docname)}.html">{name}</a>'


def _page_at(path: str) -> str:
    """The name of the page that is served at a path."""
    name = path.lstrip("/")
    name = f"{name}index.html" if name.endswith("/") or not name else name
    return f"{name.removesuffix('.html')}.md"
