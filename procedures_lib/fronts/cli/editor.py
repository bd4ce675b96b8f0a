"""``procedures editor``: the server that an editor starts, and talks to while pages are written."""

from __future__ import annotations

from pathlib import Path

import click

from procedures_lib.fronts.cli.arguments import PathWord, absolute, find_folders, nearest_manual
from procedures_lib.fronts.cli.terminal import EXIT_CODES, ExitCode, version


@click.command(epilog=EXIT_CODES, short_help="Help an editor while pages are written.")
@click.option(
    "--manual",
    metavar="DIR",
    type=PathWord(exists=True, file_okay=False, path_type=Path),
    help="The folder of the manual's pages, or the one that has `docs` and `conf` in it.  "
    "[default: of each page that is opened, the nearest `docs` beside a `conf`]",
)
@click.option(
    "--shop",
    metavar="FILE",
    type=PathWord(exists=True, dir_okay=False, path_type=Path),
    help="The shop's settings.  [default: `conf/shop.toml` beside the pages, if it is there]",
)
def editor(manual: Path | None, shop: Path | None) -> int:
    """Serve an editor over standard input and output: the editor starts it, not a person.

    It speaks the Language Server Protocol: findings while one types, completion, facts of what
    stands under the pointer, ways to where an id is described and used, and an id renamed on all
    pages. What is typed counts before it is saved; nothing is written but by the editor. What
    `procedures learn` found last stands at each step, as information.
    """
    from procedures_lib.fronts.cli.archiving.lessons import lessons_at  # noqa: PLC0415 - only here
    from procedures_lib.fronts.editor.desk import ManualFolders  # noqa: PLC0415 - only here
    from procedures_lib.fronts.editor.server import EditorServer  # noqa: PLC0415 - only here

    def find(page: Path) -> ManualFolders | None:
        root = manual or nearest_manual(page.parent)
        if root is None:
            return None
        folders = find_folders(absolute(root), shop)
        return ManualFolders(folders.pages, folders.shop, lessons_at(folders))

    EditorServer(find, version()).run()
    return ExitCode.CLEAN
