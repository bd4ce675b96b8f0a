"""``procedures serve``: the manual in a browser while it is written."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from procedures_lib.cli.colour import with_colour
from procedures_lib.cli.exits import EXIT_CODES
from procedures_lib.cli.folders import with_manual
from procedures_lib.cli.target import find_target

if TYPE_CHECKING:
    from procedures_lib.cli.folders import Folders


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

    from procedures_lib.cli.board import Board  # noqa: PLC0415 - only needed here
    from procedures_lib.cli.making import Making  # noqa: PLC0415 - loads Sphinx
    from procedures_lib.cli.server import open_server  # noqa: PLC0415 - only needed here
    from procedures_lib.cli.serving import serve_site  # noqa: PLC0415 - loads Sphinx

    board = Board(target.output)
    server = open_server(host, port, target.output, board)
    return serve_site(Making(folders, target, colour=colour), server, board)
