"""Builds, serves, and builds again on every save."""

from __future__ import annotations

import threading
from contextlib import contextmanager
from typing import TYPE_CHECKING

import click

from procedures_lib.cli.exits import ExitCode, Refused
from procedures_lib.cli.faults import tell_fault, tell_file_error
from procedures_lib.cli.making import Making, make_site
from procedures_lib.cli.watching import Watch

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.cli.server import SiteServer


def serve_site(making: Making, server: SiteServer) -> ExitCode:
    """Serve until stopped by hand; builds with errors leave the last good pages."""
    try:
        with Watch(making.folders.pages, making.folders.conf) as saved:
            make_site(making)
            with _running(server):
                click.echo(f"Serving {server.url} to this machine; Ctrl-C stops it.")
                while True:
                    saved.wait()
                    _make_again(making)
    except KeyboardInterrupt:
        click.echo("\nStopped.")
    return ExitCode.CLEAN


def _make_again(making: Making) -> None:
    """Build after a save. Whatever goes wrong may be put right by the next one."""
    click.echo("Saved: building again.")
    try:
        make_site(making)
    except Refused as refused:
        refused.show()
    except OSError as error:
        tell_file_error(error)
    except Exception as error:
        tell_fault(error)


@contextmanager
def _running(server: SiteServer) -> Iterator[None]:
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield
    finally:
        server.shutdown()
        server.server_close()
