"""The findings of the last build, at the top of each served page while the manual is written."""

from __future__ import annotations

import itertools
import re
import uuid
from html import escape
from importlib import resources
from pathlib import Path

from procedures_lib.findings import Finding, Level
from procedures_lib.fronts.cli.loading import SHOP_PAGE, Checked
from procedures_lib.fronts.cli.terminal import counted, printable

PREFIX = "/_serve/"
_OWN_FILES = {f"{PREFIX}serve.js": "serve.js", f"{PREFIX}serve.css": "serve.css",
              "/worker.js": "worker.js"}  # fmt: skip
_HEAD_END = re.compile(rb"</head\s*>", re.IGNORECASE)
_BODY = re.compile(rb"<body[^>]*>", re.IGNORECASE)


class Board:
    """What was found by the last build; ``state`` is another text after each build."""

    def __init__(self, site: Path) -> None:
        self._site = site
        self._run = uuid.uuid4().hex[:8]
        self._turns = itertools.count(1)
        self._findings: tuple[Finding, ...] = ()
        self._next: tuple[Finding, ...] = ()
        self.state = f"{self._run}-0"

    def note(self, checked: Checked) -> None:
        """Keep what a build has found; it is shown from the next turn on."""
        self._next = checked.findings

    def turn(self) -> None:
        """Show what was noted: open pages load again."""
        self._findings = self._next
        self.state = f"{self._run}-{next(self._turns)}"

    def answer(self, path: str) -> tuple[str, bytes] | None:
        """Return type and content of what is served beside the site; None for any other path."""
        if path == f"{PREFIX}state":
            return "text/plain; charset=utf-8", self.state.encode()
        name = _OWN_FILES.get(path)
        if name is None:
            return None
        kind = "text/css" if name.endswith(".css") else "text/javascript"
        return kind, (resources.files("procedures_lib.fronts.cli") / "served" / name).read_bytes()

    def into(self, html: bytes, path: str) -> bytes:
        """Return a page of the site, at this path, with its findings above it."""
        head, bar = self._head(), self._bar(_page_at(path))
        html = _HEAD_END.sub(lambda end: head.encode() + end[0], html, count=1)
        return _BODY.sub(lambda body: body[0] + bar.encode(), html, count=1)

    def page(self) -> bytes:
        """Return the page that stands in while there is no site yet."""
        bar = self._bar("") or "<p>There is no site yet: the terminal says what to put right.</p>"
        title = "<title>No site yet</title>"
        return (
            f'<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">{title}{self._head()}'
            f"</head><body>{bar}</body></html>\n"
        ).encode()

    def _head(self) -> str:
        return (
            f'<meta name="served-state" content="{self.state}">'
            f'<link rel="stylesheet" href="{PREFIX}serve.css">'
            f'<script type="module" src="{PREFIX}serve.js"></script>'
        )

    def _bar(self, page: str) -> str:
        """The findings of a page, and the names of the other pages that have some."""
        findings = self._findings
        if not findings:
            return ""
        own = [finding for finding in findings if finding.place.page == page]
        rows = "".join(f"<li>{self._row(finding)}</li>" for finding in own)
        listed = (
            f"<p><strong>{_counts(own)} on this page.</strong></p><ul>{rows}</ul>" if own else ""
        )
        old = any(finding.level is Level.ERROR for finding in findings)
        note = "<p>While there are errors, the last good pages are shown.</p>" if old else ""
        only = "" if old else " only-warnings"
        others = self._others({finding.place.page for finding in findings} - {page})
        return (
            f'<aside class="served-findings{only}" role="status" aria-label="Findings">'
            f"{listed}{others}{note}</aside>"
        )

    def _row(self, finding: Finding) -> str:
        variants = f" [{finding.variants}]" if finding.variants else ""
        said = escape(printable(finding.message + variants))
        hint = f"<br>{escape(printable(finding.hint))}" if finding.hint else ""
        name = self._linked(f"checks/{finding.check}", finding.check)
        return f"Line {finding.place.line}: {finding.level}: {name}: {said}{hint}"

    def _others(self, pages: set[str]) -> str:
        if not pages:
            return ""
        names = [self._linked(page.removesuffix(".md"), page) for page in sorted(pages)]
        return f"<p>Findings elsewhere: {', '.join(names)}.</p>"

    def _linked(self, docname: str, text: str) -> str:
        """A text, as a link where the site has the page."""
        shown = escape(printable(text))
        if text == SHOP_PAGE or not (self._site / f"{docname}.html").is_file():
            return f"<code>{shown}</code>"
        return f'<a href="/{escape(docname)}.html">{shown}</a>'


def _page_at(path: str) -> str:
    """The name of the page that is served at a path."""
    name = path.lstrip("/")
    name = f"{name}index.html" if name.endswith("/") or not name else name
    return f"{name.removesuffix('.html')}.md"


def _counts(findings: list[Finding]) -> str:
    errors = sum(finding.level is Level.ERROR for finding in findings)
    counts = [(errors, "error"), (len(findings) - errors, "warning")]
    return ", ".join(counted(number, noun) for number, noun in counts if number)
