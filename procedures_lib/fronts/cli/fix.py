"""``procedures fix``: the safe rewrites of pages, shown as a difference, written when asked to."""

from __future__ import annotations

import difflib
import sys
from collections.abc import Iterator
from pathlib import Path

import click

from procedures_lib.findings import counted, printable
from procedures_lib.fronts.cli.arguments import (
    SHOP_PAGE,
    Folders,
    PathWord,
    relative,
    with_colour,
    with_folders,
)
from procedures_lib.fronts.cli.checked_manual import read_manual
from procedures_lib.fronts.cli.publishing.disk import arriving
from procedures_lib.fronts.cli.selection import choose
from procedures_lib.fronts.cli.terminal import EXIT_CODES, ExitCode, Refused, has_colour
from procedures_lib.judging.fixing import fix_page
from procedures_lib.judging.fixing.rewrites import lines_of
from procedures_lib.manual.folder import is_inside

_COLOURS = {"+": "green", "-": "red", "@": "cyan"}


@click.command(epilog=EXIT_CODES, short_help="Rewrite what can be rewritten safely.")
@click.argument("paths", nargs=-1, metavar="[PATH]…", type=PathWord(path_type=Path))
@click.option("--write", is_flag=True, help="Change the pages; without it, only show what would.")
@with_colour
@with_folders
def fix(paths: tuple[Path, ...], write: bool, colour: str, folders: Folders) -> int:
    """Show, or with --write make, the safe rewrites of pages: all, or those of each PATH.

    Units are spelled the one way, a `do` between [ ] becomes a list, a torque typed by hand becomes
    the role of its joint where no other can be meant, any other typed quantity goes into {q}. What
    the pages say stays the same, and nothing new is found on them.
    """
    chosen = choose(paths, folders)
    manual, _ = read_manual(folders)
    changed = 0
    for page in sorted(chosen - {SHOP_PAGE}) if paths else manual.contents:
        path = folders.path_of(page)
        if not is_inside(folders.pages, path):
            raise Refused(f"{relative(path)} is a link that leads out of the manual: not read.")
        old = path.read_bytes()
        new = fix_page(manual, page, old)
        if new != old:
            changed += 1
            for line in _difference(relative(path), old, new):
                click.echo(line, color=has_colour(colour, sys.stdout))
            if write:
                _write(path, old, new)
    _tell(changed, write)
    return ExitCode.CLEAN


def _difference(name: str, old: bytes, new: bytes) -> Iterator[str]:
    path = printable(Path(name).as_posix())
    before, after = ([line for line, end in lines_of(raw.decode()) if line or end]
                     for raw in (old, new))  # fmt: skip
    for line in difflib.unified_diff(before, after, path, path, lineterm=""):
        visible = line[:1] + "".join(s if s.isprintable() else printable(s) for s in line[1:])
        yield click.style(visible, fg=_COLOURS.get(line[:1]))


def _write(path: Path, old: bytes, new: bytes) -> None:
    """Put a page in place at one stroke; :class:`Refused` when it is no longer what was read."""
    target = path.resolve()
    if target.read_bytes() != old:
        raise Refused(f"{relative(path)} was changed meanwhile: not written. Try again.")
    with arriving(target, new) as made:
        made.replace(target)


def _tell(changed: int, write: bool) -> None:
    if not changed:
        return
    done = "rewritten." if write else "can be rewritten: give --write to do it."
    click.echo(f"{counted(changed, 'page')} {done}", err=True)
