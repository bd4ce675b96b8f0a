"""An editor for tests: it starts the server as a program, and talks to it as an editor does."""

from __future__ import annotations

import asyncio
import os
import sys
import time
from collections.abc import Awaitable, Coroutine, Sequence
from pathlib import Path
from typing import Any, Self, TypeVar

from lsprotocol import types as lsp
from pygls import uris
from pygls.lsp.client import LanguageClient

from tests.cli.world import LIBRARY

T = TypeVar("T")
PATIENCE = 60.0
"""Seconds that an answer may take; a machine that does much else is slow."""


class Editor:
    """Talks to one server about the pages of the manual in a folder.

    With ``log`` each message is written to that file.

    ``findings`` are the diagnostics told last, by page; ``faults`` what the server logged.
    """

    def __init__(self, folder: Path, *words: str, log: str = "") -> None:
        self.pages = folder / "docs"
        self.findings: dict[str, Sequence[lsp.Diagnostic]] = {}
        self.faults: list[str] = []
        self._told: dict[str, int] = {}
        self._versions: dict[str, int] = {}
        own = ("procedures_lib", "editor")
        self._words = (*(("tests.editor.protocol_log", log) if log else own), *words)
        self._loop = asyncio.new_event_loop()
        self._client = LanguageClient("tests", "1")
        self._client.feature(lsp.TEXT_DOCUMENT_PUBLISH_DIAGNOSTICS)(self._note())
        self._client.feature(lsp.WINDOW_LOG_MESSAGE)(lambda params: self.faults.append(str(params)))

    def _note(self) -> Any:
        def note(params: lsp.PublishDiagnosticsParams) -> None:
            page = self.page_of(params.uri)
            self.findings[page] = params.diagnostics
            self._told[page] = self._told.get(page, 0) + 1

        return note

    def __enter__(self) -> Self:
        env = {**os.environ, "PYTHONPATH": str(LIBRARY), "PYTHONUTF8": "1"}
        command = ("-m", *self._words)
        self._wait(self._client.start_io(sys.executable, *command, env=env, cwd=self.pages.parent))
        preparing = lsp.RenameClientCapabilities(prepare_support=True)
        wishes = lsp.ClientCapabilities(
            text_document=lsp.TextDocumentClientCapabilities(rename=preparing)
        )
        asked = lsp.InitializeParams(capabilities=wishes, root_uri=self.uri(""))
        self.can = self._wait(self._client.initialize_async(asked)).capabilities
        self._client.initialized(lsp.InitializedParams())
        return self

    def __exit__(self, *_: object) -> None:
        self.end()

    def end(self) -> int | None:
        """End the server, and return its exit code."""
        server = self._client._server
        if server is None or self._loop.is_closed():
            return None
        if server.returncode is None:
            self._wait(self._client.shutdown_async(None))
            self._client.exit(None)
        code = self._wait(server.wait())
        stopped: Awaitable[None] = self._client.stop()  # type: ignore[no-untyped-call]
        self._wait(stopped)
        self._loop.close()
        return code

    def _wait(self, answer: Awaitable[T]) -> T:
        return self._run(asyncio.wait_for(answer, PATIENCE))

    def _run(self, answer: Coroutine[Any, Any, T]) -> T:
        """Run until there is an answer, also where a browser's tests left a loop that rests."""
        resting = asyncio._get_running_loop()
        asyncio._set_running_loop(None)
        try:
            return self._loop.run_until_complete(answer)
        finally:
            asyncio._set_running_loop(resting)

    # -- pages ---------------------------------------------------------------------------------

    def uri(self, page: str) -> str:
        """Return the address of a page."""
        return uris.from_fs_path(str(self.pages / page)) or ""

    def page_of(self, uri: str) -> str:
        """Return a page's name by its address."""
        return Path(os.path.relpath(uris.to_fs_path(uri) or "", self.pages)).as_posix()

    def read(self, page: str) -> str:
        """Return what stands in a page's file."""
        return (self.pages / page).read_text(encoding="utf-8")

    def open(self, page: str, text: str | None = None) -> None:
        """Open a page, with another text than its file's if there is one."""
        shown = self.read(page) if text is None else text
        self._versions[page] = 0
        document = lsp.TextDocumentItem(self.uri(page), "markdown", 0, shown)
        self._client.text_document_did_open(lsp.DidOpenTextDocumentParams(document))

    def type(self, page: str, text: str) -> None:
        """Have an open page say something else."""
        self._versions[page] += 1
        document = lsp.VersionedTextDocumentIdentifier(self._versions[page], self.uri(page))
        change = lsp.TextDocumentContentChangeWholeDocument(text)
        self._client.text_document_did_change(lsp.DidChangeTextDocumentParams(document, [change]))

    def close(self, page: str) -> None:
        """Close a page without saving it."""
        self._client.text_document_did_close(
            lsp.DidCloseTextDocumentParams(lsp.TextDocumentIdentifier(self.uri(page)))
        )

    def saved_elsewhere(self, page: str) -> None:
        """Tell that a file has changed on the disk."""
        event = lsp.FileEvent(self.uri(page), lsp.FileChangeType.Changed)
        self._client.workspace_did_change_watched_files(lsp.DidChangeWatchedFilesParams([event]))

    def wait_for_findings(self, page: str, checks: Sequence[str]) -> None:
        """Wait until a page's findings are of these checks; fail when they never are."""
        end = time.monotonic() + PATIENCE
        while sorted(self.checks(page)) != sorted(checks):
            assert time.monotonic() < end, (page, self.checks(page), self.faults)
            self.pass_time(0.02)

    def wait_for_news(self, page: str, told: int) -> None:
        """Wait until the findings of a page were told more often than so many times."""
        end = time.monotonic() + PATIENCE
        while self.times_told(page) <= told:
            assert time.monotonic() < end, (page, self.faults)
            self.pass_time(0.001)

    def times_told(self, page: str) -> int:
        """Return how often the findings of a page were told."""
        return self._told.get(page, 0)

    def pass_time(self, seconds: float) -> None:
        """Listen for a while."""
        self._run(asyncio.sleep(seconds))

    def checks(self, page: str) -> list[str]:
        """Return the checks of a page's findings, in their order."""
        return [str(each.code) for each in self.findings.get(page, ())]

    # -- questions -----------------------------------------------------------------------------

    def _at(self, page: str, place: lsp.Position) -> dict[str, Any]:
        return {"text_document": lsp.TextDocumentIdentifier(self.uri(page)), "position": place}

    def complete(self, page: str, place: lsp.Position) -> list[lsp.CompletionItem]:
        """Return what can stand at a place."""
        asked = lsp.CompletionParams(**self._at(page, place))
        answer = self._wait(self._client.text_document_completion_async(asked))
        return list(answer) if isinstance(answer, list) else []

    def hover(self, page: str, place: lsp.Position) -> str:
        """Return the facts shown at a place, "" for none."""
        asked = lsp.HoverParams(**self._at(page, place))
        answer = self._wait(self._client.text_document_hover_async(asked))
        shown = answer.contents if answer else None
        return shown.value if isinstance(shown, lsp.MarkupContent) else ""

    def definition(self, page: str, place: lsp.Position) -> lsp.Location | None:
        """Return where the thing at a place is described."""
        asked = lsp.DefinitionParams(**self._at(page, place))
        answer = self._wait(self._client.text_document_definition_async(asked))
        return answer if isinstance(answer, lsp.Location) else None

    def references(
        self, page: str, place: lsp.Position, *, whole: bool = True
    ) -> list[lsp.Location]:
        """Return every place of the thing at a place."""
        asked = lsp.ReferenceParams(context=lsp.ReferenceContext(whole), **self._at(page, place))
        answer = self._wait(self._client.text_document_references_async(asked))
        return list(answer or ())

    def prepare(self, page: str, place: lsp.Position) -> Any:
        """Return what can be renamed at a place."""
        asked = lsp.PrepareRenameParams(**self._at(page, place))
        return self._wait(self._client.text_document_prepare_rename_async(asked))

    def rename(self, page: str, place: lsp.Position, new: str) -> dict[str, Sequence[lsp.TextEdit]]:
        """Return the edits of a rename, by page."""
        asked = lsp.RenameParams(new_name=new, **self._at(page, place))
        answer = self._wait(self._client.text_document_rename_async(asked))
        edits = answer.changes if answer and answer.changes else {}
        return {self.page_of(uri): each for uri, each in edits.items()}


def place_of(text: str, found: str, within: int = 0) -> lsp.Position:
    """Return where something first stands in a text, and so many characters further.

    Columns are in units of UTF-16, as the protocol has them.
    """
    at = text.index(found) + within
    line = text[text.rfind("\n", 0, at) + 1 : at]
    return lsp.Position(text.count("\n", 0, at), len(line.encode("utf-16-le")) // 2)


def quoted(text: str, place: lsp.Range) -> str:
    """Return what stands between two places on one line of a text."""
    assert place.start.line == place.end.line
    line = text.split("\n")[place.start.line].encode("utf-16-le")
    return line[2 * place.start.character : 2 * place.end.character].decode("utf-16-le")


def edited(text: str, edits: Sequence[lsp.TextEdit]) -> str:
    """Return a text after edits, none of which goes over a line's end."""
    lines = text.split("\n")
    for edit in sorted(edits, key=lambda e: (e.range.start.line, e.range.start.character))[::-1]:
        n = edit.range.start.line
        line = lines[n].encode("utf-16-le")
        start, end = edit.range.start.character, edit.range.end.character
        new = edit.new_text.encode("utf-16-le")
        lines[n] = (line[: 2 * start] + new + line[2 * end :]).decode("utf-16-le")
    return "\n".join(lines)
