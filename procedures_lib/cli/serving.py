"""Builds, serves, and builds again on every save."""

from __future__ import annotations

import gc
import threading
from contextlib import contextmanager
from dataclasses import replace
from typing import TYPE_CHECKING

import click

from procedures_lib.cli.exits import ExitCode, Refused
from procedures_lib.cli.faults import tell_fault, tell_file_error
from procedures_lib.cli.making import Making, make_site
from procedures_lib.cli.rereading import Rereading
from procedures_lib.cli.watching import Watch

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.cli.board import Board
    from procedures_lib.cli.server import SiteServer

_QUIET = 5.0
"""Seconds without a save after which the search is brought up to date."""


def serve_site(making: Making, server: SiteServer, board: Board) -> ExitCode:
    """Serve until stopped by hand; builds with errors leave the last good pages.

    The ``board`` shows what each build has found.
    """
    making = replace(making, tell=board.note, reading=Rereading(making.folders))
    try:
        with Watch(making.folders.pages, making.folders.conf) as saved:
            make_site(making)
            board.turn()
            with _running(server):
                click.echo(f"Serving {server.url} to this machine; Ctrl-C stops it.")
                with _swept_between_builds():
                    _keep_up(making, saved, board)
    except KeyboardInterrupt:
        click.echo("\nStopped.")
    return ExitCode.CLEAN


def _keep_up(making: Making, saved: Watch, board: Board) -> None:
    """Build after each save: the pages at once, the search when nothing is saved for a while."""
    behind = False
    while True:
        if saved.wait(_QUIET if behind else None):
            _make_again(replace(making, whole=False), "Saved: building again.")
            board.turn()
            behind = True
        else:
            _make_again(making, "Bringing the search up to date.")
            behind = False
        gc.collect()


def _make_again(making: Making, doing: str) -> None:
    """Build after a save. Whatever goes wrong may be put right by the next one."""
    click.echo(doing)
    try:
        make_site(making)
    except Refused as refused:
        refused.show()
    except OSError as error:
        tell_file_error(error)
    except Exception as error:
        tell_fault(error)


@contextmanager
def _swept_between_builds() -> Iterator[None]:
    """Have what Sphinx leaves behind swept up only when asked: not while a page is made."""
    gc.collect()
    gc.freeze()
    gc.disable()
    try:
        yield
    finally:
        gc.unfreeze()
        gc.enable()


@contextmanager
def _running(server: SiteServer) -> Iterator[None]:
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield
    finally:
        server.shutdown()
        server.server_close()
