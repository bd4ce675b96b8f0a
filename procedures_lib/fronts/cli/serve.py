"""``procedures serve``: builds, serves, and builds again on every save."""

from __future__ import annotations

import gc
import queue
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Self

import click

from procedures_lib.fronts.cli.arguments import Folders, with_colour, with_manual
from procedures_lib.fronts.cli.build import BuildOptions, make_site
from procedures_lib.fronts.cli.checked_manual import Rereading
from procedures_lib.fronts.cli.publishing.target import find_target
from procedures_lib.fronts.cli.terminal import (
    EXIT_CODES,
    ExitCode,
    Refused,
    tell_fault,
    tell_file_error,
)
from procedures_lib.manual.shop import read_shop

if TYPE_CHECKING:
    from procedures_lib.fronts.cli.answers import Board

_QUIET = 5.0
"""Seconds without a save after which the search is brought up to date."""

_MOMENT = 0.5


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

    What is wrong is printed here, and shown at the top of the page that it is about; what can't be
    judged, and what `procedures learn` found last, stands folded away at its foot. Open pages load
    again after each build. While there are errors the last good pages stay. Ctrl-C stops it, with
    exit code 0.
    """
    from procedures_lib.fronts.cli.answers import Board  # noqa: PLC0415 - only needed here
    from procedures_lib.fronts.cli.archiving.bay import Bay  # noqa: PLC0415 - only needed here
    from procedures_lib.fronts.cli.server import open_server  # noqa: PLC0415 - only needed here

    target = find_target(None, folders)
    bay = Bay(folders.project / read_shop(folders.shop)[0].archive.folder)
    board = Board(target.output, bay)
    server = open_server(host, port, target.output, board)
    options = BuildOptions(
        folders, target, colour=colour, tell=board.note, reading=Rereading(folders), keep=False
    )
    try:
        with Watch(folders.pages, folders.conf) as saved:
            make_site(options)
            board.turn()
            with server.running():
                click.echo(f"Serving {server.url} to this machine; Ctrl-C stops it.")
                with _swept_between_builds():
                    _keep_up(options, saved, board)
    except KeyboardInterrupt:
        click.echo("\nStopped.")
    return ExitCode.CLEAN


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


def _keep_up(options: BuildOptions, saved: Watch, board: Board) -> None:
    """Build after each save: the pages at once, the search when nothing is saved for a while."""
    behind = False
    while True:
        if saved.wait(_QUIET if behind else None):
            _make_again(replace(options, whole=False), "Saved: building again.")
            board.turn()
            behind = True
        else:
            _make_again(options, "Bringing the search up to date.")
            behind = False
        gc.collect()


def _make_again(options: BuildOptions, doing: str) -> None:
    """Build after a save. Whatever goes wrong may be put right by the next one."""
    click.echo(doing)
    try:
        make_site(options)
    except Refused as refused:
        refused.show()
    except OSError as error:
        tell_file_error(error)
    except Exception as error:
        tell_fault(error)


class Watch:
    """Watches folders from a thread of its own, so that no save is lost while a build runs."""

    def __init__(self, *folders: Path) -> None:
        self._folders = folders
        self._seen: queue.SimpleQueue[Exception | None] = queue.SimpleQueue()
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, daemon=True)

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._stop.set()
        self._thread.join(timeout=2)

    def wait(self, quiet: float | None = None) -> bool:
        """Return True when something was saved since the last call; raise what stopped the watch.

        Return False after ``quiet`` seconds without a save.
        """
        end = None if quiet is None else time.monotonic() + quiet
        while end is None or time.monotonic() < end:
            try:
                seen = self._seen.get(timeout=_MOMENT)  # short: Windows hears no Ctrl-C meanwhile
            except queue.Empty:
                continue
            while not self._seen.empty():
                seen = self._seen.get() or seen
            if seen is not None:
                raise seen
            return True
        return False

    def _run(self) -> None:
        from watchfiles import watch  # noqa: PLC0415 - other commands, and --help, need none of it

        try:
            for _ in watch(*self._folders, stop_event=self._stop, raise_interrupt=False):
                self._seen.put(None)
        except Exception as error:
            self._seen.put(error)
