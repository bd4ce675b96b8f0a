"""``procedures serve``: builds, serves, and builds again on every save."""

from __future__ import annotations

import gc
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace

import click

from procedures_lib.fronts.cli.board import Board
from procedures_lib.fronts.cli.build import Making, make_site
from procedures_lib.fronts.cli.build_target import find_target
from procedures_lib.fronts.cli.loading import Folders, with_manual
from procedures_lib.fronts.cli.server import SiteServer
from procedures_lib.fronts.cli.terminal import (
    EXIT_CODES,
    ExitCode,
    Refused,
    tell_fault,
    tell_file_error,
    with_colour,
)
from procedures_lib.fronts.cli.watch import Rereading, Watch

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


@click.command(epilog=EXIT_CODES, short_help="Build, serve, and build again on save.")
@click.option(
    "--port",
    type=click.IntRange(0, 65535),
    default=8000,
    show_default=True,
    help="The port to listen at; 0 for any that is free.",
)
@click.option(
    "--host",
    default="127.0.0.1",
    show_default=True,
    help="The address to listen at: one of this machine's own, no other.",
)
@with_colour
@with_manual
def serve(folders: Folders, port: int, host: str, colour: str) -> int:
    """Build the manual, serve it to this machine, and build again on every save.

    What is wrong is printed here, and shown at the top of the page that it is about; open pages
    load again after each build. While there are errors the last good pages stay. Ctrl-C stops it,
    with exit code 0.
    """
    target = find_target(None, folders)

    from procedures_lib.fronts.cli.board import Board  # noqa: PLC0415 - only needed here
    from procedures_lib.fronts.cli.build import Making  # noqa: PLC0415 - loads Sphinx
    from procedures_lib.fronts.cli.serve import serve_site  # noqa: PLC0415 - loads Sphinx
    from procedures_lib.fronts.cli.server import open_server  # noqa: PLC0415 - only needed here

    board = Board(target.output)
    server = open_server(host, port, target.output, board)
    return serve_site(Making(folders, target, colour=colour), server, board)
