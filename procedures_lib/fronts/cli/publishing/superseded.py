"""Superseded revisions: their pages stay at an address of their own, for jobs done by them.

The site that is served tells what was published; the site that is made gets the pages of those
revisions in which a procedure is no longer. They are listed in ``superseded/list.json``, and what
several of them need (style, pictures) is there once, named by its hash.
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import asdict, dataclass, replace
from html import escape
from pathlib import Path
from posixpath import dirname, relpath
from typing import Any
from urllib.parse import quote

from procedures_lib.fronts.cli.arguments import relative
from procedures_lib.fronts.cli.publishing import disk
from procedures_lib.fronts.cli.publishing.kept_page import (
    MARK,
    STRIP,
    STYLE,
    STYLE_TEXT,
    Mark,
    kept_page,
    marked_anew,
)
from procedures_lib.fronts.cli.publishing.publication import published_in
from procedures_lib.fronts.cli.publishing.site_list import SiteList
from procedures_lib.fronts.cli.terminal import Refused
from procedures_lib.fronts.formats.procedure_files import INDEX, write_if_other
from procedures_lib.manual.folder import SUPERSEDED, superseded_page

KEPT = f"{SUPERSEDED}list.json"
FRONT = f"{SUPERSEDED}index.html"
_FORMAT = 1


@dataclass(frozen=True, slots=True)
class Kept:
    """A revision that is kept: its page, what that needs and leads to, what is in force now.

    All paths are below the site's root; ``in_force`` and ``newest`` are "" for a procedure that the
    manual has no more.
    """

    procedure: str
    title: str
    revision: str
    page: str
    in_force: str = ""
    newest: str = ""
    files: tuple[str, ...] = ()
    links: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Now:
    """The site that is made: its folder, the paths in it, each procedure's revision and page."""

    folder: Path
    paths: AbstractSet[str]
    procedures: Mapping[str, Mapping[str, str]]

    def marked(self, kept: Kept) -> Kept:
        """The same with what is in force now."""
        newest = self.procedures.get(kept.procedure, {})
        return replace(kept, in_force=newest.get("revision", ""), newest=newest.get("page", ""))


def keep_superseded(served: Path, built: Path, add: bool = True) -> None:
    """Put the pages of superseded revisions into ``built``: those kept in ``served``, and, with
    ``add``, those that are in force there and no longer in ``built``.

    Nothing in ``served`` is changed. A page that somebody has deleted there is kept no more.
    :class:`Refused` where their list can't be read.
    """
    old = published_in(served) or SiteList()
    paths = {path.relative_to(built).as_posix() for path in built.rglob("*.html")}
    paths = {path for path in paths if not path.startswith(SUPERSEDED)}
    now = _Now(built, paths, _procedures_in(built))
    found = {kept.page: kept for kept in _listed(served, old)}
    taken: dict[str, Kept] = {}
    for each in _gone(served, old, now) if add else ():
        taken[each.page] = _take(each, served, old, now)
    carried = {page: kept for page, kept in found.items() if page not in taken}
    for page, each in carried.items():
        taken[page] = _carry(each, served, now)
    _complete(sorted(taken.values(), key=lambda k: (k.procedure, k.revision)), now)


def earlier_revisions(
    served: Path, revisions: Mapping[str, str], add: bool = True
) -> dict[str, list[tuple[str, str]]]:
    """Return what :func:`keep_superseded` will keep of each procedure that there is, as (revision,
    path of its page from the site's root), the last first.

    ``revisions`` are those in force in the site to be made, by procedure. Raises as that does.
    """
    try:
        old = published_in(served) or SiteList()
    except Refused:  # no site of ours: set aside, or refused, before anything is published
        return {}
    now = _Now(served, frozenset(), {name: {"revision": r} for name, r in revisions.items()})
    found = {each.page: each for each in _listed(served, old)}
    found |= {each.page: each for each in (_gone(served, old, now) if add else ())}
    kept: dict[str, list[tuple[str, str]]] = {}
    for each in sorted(found.values(), key=lambda k: k.revision, reverse=True):
        if each.revision != revisions.get(each.procedure, each.revision):
            kept.setdefault(each.procedure, []).append((each.revision, each.page))
    return kept


def _procedures_in(site: Path) -> dict[str, dict[str, str]]:
    """Each procedure of a site by its id, as the site's own list for programs has it."""
    try:
        rows: Any = json.loads((site / INDEX).read_bytes())["procedures"]
        return {str(row["procedure"]): {k: str(v) for k, v in row.items()} for row in rows}
    except (OSError, ValueError, TypeError, KeyError, AttributeError):
        return {}


def _listed(served: Path, old: SiteList) -> Iterator[Kept]:
    if KEPT not in old.files or not _is_plain(served / KEPT):
        return
    try:
        value: Any = json.loads((served / KEPT).read_bytes())
        if value["format"] != _FORMAT:
            raise ValueError
        rows = [
            Kept(**{**row, "files": tuple(row["files"]), "links": tuple(row["links"])})
            for row in value["revisions"]
        ]
    except (ValueError, TypeError, KeyError):
        raise Refused(
            f"{relative(served / KEPT)} can't be read: which pages of superseded revisions are to "
            "be kept can't be told.\nPut it back as it was, or delete it: then none of them is."
        ) from None
    for kept in rows:
        own = {kept.page, *kept.files}
        ours = own <= old.files.keys() and all(path.startswith(SUPERSEDED) for path in own)
        if ours and _is_plain(served / kept.page):
            yield kept


def _gone(served: Path, old: SiteList, now: _Now) -> Iterator[Kept]:
    """Yield the revisions that are in force on the served site, and not on the new one."""
    for name, row in _procedures_in(served).items() if INDEX in old.files else ():
        revision, page = row.get("revision", ""), row.get("page", "")
        there = page in old.files and _is_plain(served / page)
        if there and revision not in ("", now.procedures.get(name, {}).get("revision")):
            place = superseded_page(name, revision)
            yield Kept(name, row.get("title", name), revision, place)


def _take(kept: Kept, served: Path, old: SiteList, now: _Now) -> Kept:
    """Keep a page of the served site, and what it needs."""
    page = _procedures_in(served)[kept.procedure]["page"]
    kept = now.marked(kept)
    text = (served / page).read_text("utf-8")
    new = kept_page(text, page, kept.page, old.files, now.paths, _mark(kept))
    for name, source in new.files.items():
        _bring(served / source, now.folder / name, kept, served / page)
    write_if_other(now.folder / kept.page, new.text.encode())
    return replace(kept, files=tuple(sorted(new.files)), links=tuple(sorted(new.links)))


def _carry(kept: Kept, served: Path, now: _Now) -> Kept:
    """Have a page that is kept already on the new site too, with what is true of it now."""
    marked = now.marked(kept)
    for name in kept.files:
        _bring(served / name, now.folder / name, kept, served / kept.page)
    if marked == kept and now.paths >= set(kept.links):
        _copy(served / kept.page, now.folder / kept.page)
        return kept
    text = (served / kept.page).read_text("utf-8")
    new = marked_anew(text, kept.page, now.paths, _mark(marked))
    write_if_other(now.folder / kept.page, new.text.encode())
    return replace(marked, links=tuple(sorted(new.links)))


def _complete(taken: Sequence[Kept], now: _Now) -> None:
    """Write the lists, and remove what is kept no more or is in force again."""
    kept = [each for each in taken if each.revision != each.in_force]
    root = now.folder / SUPERSEDED
    if not kept:
        shutil.rmtree(root, ignore_errors=True)
        return
    rows = json.dumps([asdict(each) for each in kept], ensure_ascii=False, indent=1)
    write_if_other(now.folder / KEPT, f'{{"format": {_FORMAT}, "revisions":\n{rows}}}\n'.encode())
    write_if_other(now.folder / FRONT, _front(kept, now).encode())
    write_if_other(now.folder / STYLE, STYLE_TEXT.encode())
    wanted = {KEPT, FRONT, STYLE}.union(*({each.page, *each.files} for each in kept))
    for path in sorted(root.rglob("*"), reverse=True):
        if path.is_dir():
            if not any(path.iterdir()):
                path.rmdir()
        elif path.relative_to(now.folder).as_posix() not in wanted:
            path.unlink()


def _bring(old: Path, new: Path, kept: Kept, page: Path) -> None:
    """Copy a file that a revision's page shows; :class:`Refused` where it can't be kept whole."""
    if not _is_plain(old):
        raise Refused(
            f"{relative(old)} is gone, or a link: revision {kept.revision} of `{kept.procedure}` "
            "shows it, and can't be kept whole.\n"
            f"Put it back, or delete {relative(page)}: then that revision is not kept."
        )
    _copy(old, new)


def _copy(old: Path, new: Path) -> None:
    """Copy a file with its time, unless it is there."""
    if new.is_file() and _state(new) == _state(old):
        return
    new.parent.mkdir(parents=True, exist_ok=True)
    new.unlink(missing_ok=True)
    disk.copy(old, new)


def _state(path: Path) -> tuple[int, int]:
    state = path.stat()
    return state.st_size, state.st_mtime_ns


def _is_plain(path: Path) -> bool:
    """Tell whether a file of the served site is there, and is no link."""
    return path.is_file() and not path.is_symlink()


def _mark(kept: Kept) -> Mark:
    """What says on a page that it is superseded, and by what."""
    folder = dirname(kept.page)
    if kept.newest:
        address = quote(relpath(kept.newest, folder))
        force = f'<a href="{address}">Revision {escape(kept.in_force)}</a> is in force.'
    else:
        force = "The manual no longer has this procedure."
    head = (
        '<meta name="robots" content="noindex">'
        f'<link rel="stylesheet" href="{relpath(STYLE, folder)}">'
    )
    note = (
        f'<div id="{MARK}" class="admonition warning" role="note">'
        '<p class="admonition-title">Superseded</p>'
        f"<p>This is revision {escape(kept.revision)}, kept for jobs that were done by it. "
        f"Don’t work by it. {force}</p>"
        "<p>Links on this page lead to the manual as it is now. "
        f'<a href="{relpath(FRONT, folder)}">All superseded revisions</a></p></div>'
    )
    strip = f'<aside id="{STRIP}" aria-label="Superseded">Superseded. {force}</aside>'
    return Mark(head, strip, note)


def _front(kept: Sequence[Kept], now: _Now) -> str:
    """The page that lists them, without a script."""
    style = "_static/bench.css"
    link = f'<link rel="stylesheet" href="../{style}">' if (now.folder / style).is_file() else ""
    rows = "".join(_row(each) for each in kept)
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        '<meta name="color-scheme" content="light dark"><meta name="robots" content="noindex">'
        f"<title>Superseded revisions</title>{link}</head>\n<body><main>"
        "<h1>Superseded revisions</h1>"
        "<p>Kept for jobs that were done by them. Don’t work by them.</p>"
        '<div class="table-scroll"><table><thead><tr><th scope="col">Procedure</th>'
        '<th scope="col">Superseded</th><th scope="col">In force</th></tr></thead>\n'
        f"<tbody>{rows}</tbody></table></div>"
        '<p><a href="../index.html">To the first page</a></p></main></body></html>\n'
    )


_POLICY = "default-src 'self'; object-src 'none'; base-uri 'none'; form-action 'self'"


def _row(kept: Kept) -> str:
    old = f'<a href="{quote(relpath(kept.page, dirname(FRONT)))}">{escape(kept.revision)}</a>'
    newest = quote(relpath(kept.newest, dirname(FRONT))) if kept.newest else ""
    new = f'<a href="{newest}">{escape(kept.in_force)}</a>' if newest else "none"
    return f"<tr><td>{escape(kept.title)}</td><td>{old}</td><td>{new}</td></tr>\n"
