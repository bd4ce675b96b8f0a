"""Which pages the paths on a command line mean."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.cli.exits import Refused
from procedures_lib.cli.folders import SHOP_PAGE, absolute, relative
from procedures_lib.findings import nearest
from procedures_lib.manual.folder import OutsideError, name_of, page_names

if TYPE_CHECKING:
    from collections.abc import Iterable
    from pathlib import Path

    from procedures_lib.cli.folders import Folders


def choose(paths: Iterable[Path], folders: Folders) -> frozenset[str]:
    """Return the names of the files that the paths name: pages, all pages of a folder, the shop.

    :class:`Refused` for a path that does not exist, is outside the manual, or holds no page.
    """
    pages = page_names(folders.pages)
    return frozenset(name for path in paths for name in _named(path, pages, folders))


def _named(path: Path, pages: list[str], folders: Folders) -> list[str]:
    if absolute(path) == absolute(folders.shop):
        return [SHOP_PAGE]
    name = _name(path, folders)
    if not path.exists():
        near = nearest(name, pages)
        hint = f": did you mean {folders.shown(near)}?" if near else "."
        raise Refused(f"{path} does not exist{hint}")
    found = [page for page in pages if name in {".", page} or page.startswith(f"{name}/")]
    if not found:
        raise Refused(
            f"{path} {'holds no page' if path.is_dir() else 'is no page'} of the manual: "
            "pages end in .md, and files and folders that begin with `.` or folders that "
            "begin with `_` are left out."
        )
    return found


def _name(path: Path, folders: Folders) -> str:
    """The path below the folder of pages; what a link is called counts, not where it leads."""
    try:
        return absolute(path).relative_to(folders.pages).as_posix()
    except ValueError:
        pass
    try:
        return name_of(path, folders.pages)
    except OutsideError:
        where = relative(folders.pages)
        raise Refused(
            f"{path} is outside the manual, whose pages are in {where}.\n"
            "Give a page or a folder in there, or name another manual with --manual."
        ) from None
