"""The server that editors talk to: requests of the protocol to questions about a manual."""

from __future__ import annotations

import asyncio
import gc
import logging
import time
import traceback
from collections.abc import Callable
from pathlib import Path
from typing import Any

from lsprotocol import types as lsp
from pygls import uris
from pygls.exceptions import JsonRpcException
from pygls.lsp.server import LanguageServer

from procedures_lib.findings import Finding
from procedures_lib.fronts.editor.answers import Answers
from procedures_lib.fronts.editor.desk import Desk, ManualFolders
from procedures_lib.fronts.editor.rename import RenameError
from procedures_lib.judging.checks.registry import check_whole

Find = Callable[[Path], ManualFolders | None]

_PAUSE = 0.2
"""Seconds without a key pressed after which the findings are looked for."""
_REQUEST_FAILED = -32803
_TRIGGERS = ("{", "`", " ", "[", "=", ":")


class EditorServer:
    """Answers one editor about the manuals whose pages it opens; ``find`` finds a page's manual."""

    def __init__(self, find: Find, version: str) -> None:
        self._find = find
        self._desks: dict[Path, Desk] = {}
        self._uris: dict[Path, str] = {}
        self._work: dict[Path, asyncio.Task[None]] = {}
        self.protocol = LanguageServer(
            "procedures", version, text_document_sync_kind=lsp.TextDocumentSyncKind.Full
        )
        self._whole_takes = 0.0
        self._thread: asyncio.Future[list[Finding]] | None = None
        self._answers = Answers(self._uri_of, self._units)
        self._take_part()

    def run(self) -> None:
        """Serve over standard input and output until the editor ends it."""
        logging.getLogger("pygls").setLevel(logging.CRITICAL)
        gc.disable()  # see _settle: not while somebody waits
        self.protocol.start_io()

    def _take_part(self) -> None:
        completing = lsp.CompletionOptions(trigger_characters=list(_TRIGGERS))
        answers = self._answers
        for name, options, answer in (
            (lsp.TEXT_DOCUMENT_COMPLETION, completing, answers.completion),
            (lsp.TEXT_DOCUMENT_HOVER, None, answers.hover),
            (lsp.TEXT_DOCUMENT_DEFINITION, None, answers.definition),
            (lsp.TEXT_DOCUMENT_REFERENCES, None, answers.references),
            (lsp.TEXT_DOCUMENT_PREPARE_RENAME, None, answers.prepare_rename),
            (lsp.TEXT_DOCUMENT_RENAME, lsp.RenameOptions(prepare_provider=True), answers.rename),
        ):
            self._on(name, self._asked(answer), options)
        for name, take in (
            (lsp.INITIALIZED, self._begun),
            (lsp.TEXT_DOCUMENT_DID_OPEN, self._opened),
            (lsp.TEXT_DOCUMENT_DID_CHANGE, self._typed),
            (lsp.TEXT_DOCUMENT_DID_SAVE, self._saved),
            (lsp.TEXT_DOCUMENT_DID_CLOSE, self._closed),
            (lsp.WORKSPACE_DID_CHANGE_WATCHED_FILES, self._saved),
        ):
            self._on(name, take)

    def _on(self, name: str, handle: Callable[[Any], Any], options: Any = None) -> None:
        """Have a message of the protocol handled; a fault is logged, and answers nothing."""

        def handler(params: Any) -> Any:
            try:
                return handle(params)
            except RenameError as no:
                raise JsonRpcException(str(no), _REQUEST_FAILED) from None
            except Exception:
                self._log(traceback.format_exc())
                return None

        self.protocol.feature(name, options)(handler)

    def _asked(self, answer: Callable[[Desk, str, Any], Any]) -> Callable[[Any], Any]:
        """Answer about a page of a manual; nothing about any other file."""

        def asked(params: Any) -> Any:
            desk, page = self._place(params.text_document.uri)
            if desk is None or page not in desk.manual.contents:
                return None
            return answer(desk, page, params)

        return asked

    def _log(self, message: str) -> None:
        params = lsp.LogMessageParams(lsp.MessageType.Error, message)
        self.protocol.window_log_message(params)

    # -- pages ---------------------------------------------------------------------------------

    def _place(self, uri: str) -> tuple[Desk | None, str]:
        """Return the manual that a file belongs to, and its name as a page."""
        written = uris.to_fs_path(uri)
        if not written:
            return None, ""
        path = Path(written)
        folders = self._find(path)
        if folders is None:
            return None, ""
        desk = self._desks.setdefault(folders.pages, Desk(folders))
        page = desk.page_of(path)
        return (desk, page) if page else (None, "")

    def _uri_of(self, desk: Desk, page: str) -> str:
        path = desk.path_of(page)
        return self._uris.get(path) or uris.from_fs_path(str(path)) or ""

    def _units(self, text: str) -> int:
        return int(self.protocol.workspace.position_codec.client_num_units(text))

    def _begun(self, _params: Any) -> None:
        """Ask to be told of files that change on the disk, where the editor can."""
        workspace = self.protocol.client_capabilities.workspace
        watching = workspace.did_change_watched_files if workspace else None
        if watching is None or not watching.dynamic_registration:
            return
        watched = [lsp.FileSystemWatcher(glob) for glob in ("**/*.md", "**/*.csv", "**/*.toml")]
        options = lsp.DidChangeWatchedFilesRegistrationOptions(watched)
        name = lsp.WORKSPACE_DID_CHANGE_WATCHED_FILES
        wish = lsp.Registration("watched-files", name, options)
        self.protocol.client_register_capability(lsp.RegistrationParams([wish]))

    def _opened(self, params: lsp.DidOpenTextDocumentParams) -> None:
        desk, page = self._place(params.text_document.uri)
        if desk is not None:
            self._uris[desk.path_of(page)] = params.text_document.uri
            desk.put(page, params.text_document.text)
            self._check_soon(desk, 0)

    def _typed(self, params: lsp.DidChangeTextDocumentParams) -> None:
        desk, page = self._place(params.text_document.uri)
        if desk is not None and params.content_changes:
            desk.put(page, params.content_changes[-1].text)
            self._check_soon(desk, _PAUSE)

    def _closed(self, params: lsp.DidCloseTextDocumentParams) -> None:
        desk, page = self._place(params.text_document.uri)
        if desk is not None:
            self._uris.pop(desk.path_of(page), None)
            desk.close(page)
            self._check_soon(desk, _PAUSE)

    def _saved(self, _params: Any) -> None:
        for desk in self._desks.values():
            desk.look()
            desk.take_shop()
            self._check_soon(desk, _PAUSE)

    # -- findings ------------------------------------------------------------------------------

    def _check_soon(self, desk: Desk, pause: float) -> None:
        """Check after a pause, if nothing more is typed until then."""
        before = self._work.get(desk.folders.pages)
        if before is not None:
            before.cancel()
        self._work[desk.folders.pages] = asyncio.ensure_future(self._check(desk, pause))

    async def _check(self, desk: Desk, pause: float) -> None:
        """Check the open pages, then the others that the changes touch; answer in between."""
        await asyncio.sleep(pause)
        try:
            while desk.check_one(desk.open):
                await asyncio.sleep(0)
            self._tell(desk)
            await self._check_whole(desk)
            while desk.check_one():
                await asyncio.sleep(0)
            self._tell(desk)
            self._settle()
        except Exception:
            self._log(traceback.format_exc())

    async def _check_whole(self, desk: Desk) -> None:
        """Run what looks at all pages, in a thread: after as long a rest as it takes itself."""
        await asyncio.sleep(self._whole_takes)
        if self._thread is not None:
            await asyncio.wait([self._thread])  # one at a time; it can't be stopped half way
        if desk.whole_is_due:
            manual, start = desk.manual, time.monotonic()
            self._thread = asyncio.ensure_future(asyncio.to_thread(check_whole, manual))
            await asyncio.wait([self._thread])
            desk.take_whole(manual, self._thread.result())
            self._whole_takes = time.monotonic() - start
        self._tell(desk)

    def _settle(self) -> None:
        """Sweep up what the last changes left, now that nothing is asked; what was read stays."""
        if gc.get_freeze_count():
            gc.collect()
        gc.freeze()

    def _tell(self, desk: Desk) -> None:
        for page, findings, notes in desk.news():
            told = self._answers.diagnostics(desk, page, findings, notes)
            self.protocol.text_document_publish_diagnostics(
                lsp.PublishDiagnosticsParams(self._uri_of(desk, page), told)
            )
