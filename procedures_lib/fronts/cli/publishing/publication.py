"""A publication: a new folder made ready beside the old one, and the two change places.

``spare`` in the work folder is the site that is being made, and after the exchange the one that was
there before. It is never brought up to date but made anew: who still reads in it never sees it
change. What its own list does not name is not ours, and is carried to where the site is.
"""

from __future__ import annotations

import contextlib
import ctypes
import errno
import os
import stat
import sys
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from procedures_lib.fronts.cli.arguments import relative
from procedures_lib.fronts.cli.publishing import disk
from procedures_lib.fronts.cli.publishing.site_list import (
    LIST,
    PLAN,
    Known,
    SiteList,
    built_files,
    carry,
    content_of,
    foreign_in,
    is_intact,
    known_as_json,
    list_in,
    load_known,
    refuse_clashes,
)
from procedures_lib.fronts.cli.terminal import Refused
from procedures_lib.manual.folder import why_not_published

_HERE = -100  # AT_FDCWD of Linux: a path counts from the current folder
_EXCHANGE = 2  # RENAME_EXCHANGE of Linux, RENAME_SWAP of macOS
_NOT_HERE = frozenset({errno.EINVAL, errno.ENOSYS, errno.ENOTSUP, errno.EOPNOTSUPP})


def exchange(one: Path, other: Path) -> bool:
    """Have two folders on one disk change places; False where system or disk can't, and nothing is
    done. An :class:`OSError` for anything else that is in the way.
    """
    swap = _swap()
    if swap is None:
        return False
    if swap(os.fsencode(one), os.fsencode(other)) == 0:
        return True
    number = ctypes.get_errno()
    if number in _NOT_HERE:
        return False
    raise OSError(number, os.strerror(number), str(one), None, str(other))


@cache
def _swap() -> Callable[[bytes, bytes], int] | None:
    """The system's own function; None where there is none."""
    if sys.platform == "win32":
        return None
    library = ctypes.CDLL(None, use_errno=True)
    if sys.platform == "darwin":
        rename = getattr(library, "renamex_np", None)
        return rename and (lambda one, other: int(rename(one, other, _EXCHANGE)))
    rename = getattr(library, "renameat2", None)
    return rename and (lambda one, other: int(rename(_HERE, one, _HERE, other, _EXCHANGE)))


_SPARE = "spare"
_ASIDE = "aside"
_KNOWN = "contents.json"
_ARRIVING = "arriving"
_IN_THE_WAY = frozenset({errno.EXDEV, errno.EBUSY})


@dataclass(frozen=True, slots=True)
class _Site:
    """A site to publish: its list, what is known of its files, those that are served already."""

    list: SiteList
    known: Mapping[str, Known]
    kept: frozenset[str]


class UnfitFile(Refused):
    """Sphinx has left a file of a kind that is not published."""


def publish(built: Path, served: Path, work: Path) -> None:
    """Make ``served`` the site of the files in ``built``, at one stroke.

    ``work`` is a folder of ours on the same disk. :class:`Refused`, with nothing changed, when
    ``served`` is not ours to change, or holds something of others where the site has a file, and
    :class:`UnfitFile` for a file that no site may bring. After an :class:`OSError` the old site or
    the new one is there, whole.
    """
    last = mend(served, work)
    old = published_in(served)
    site = _site(built, served, old, load_known(work / _KNOWN))
    if old is None or len(site.kept) < len(site.list.files) or site.kept != old.files.keys():
        refuse_clashes(served, foreign_in(served, old, site.list.folders) if old else [], site.list)
        if last is not None:
            _clear(work / _SPARE, last, old)
        _make(site, built, served, work)
        _put(work / _SPARE, served, work / _ASIDE)
        mend(served, work)
    _write(work, known_as_json(site.known), work / _KNOWN)


def published_in(served: Path) -> SiteList | None:
    """Return the list of the site in a folder; None when it is empty or does not exist.

    :class:`Refused` when there is anything else.
    """
    if _is_vacant(served):
        return None
    found = list_in(served)
    if found is None:
        raise Refused(
            f"--output {relative(served)} holds something, and no {LIST} that says which of it is "
            "a site's.\nName another folder, or empty this one."
        )
    return found


def mend(served: Path, work: Path) -> SiteList | None:
    """Complete a publication that was cut short; return the list of the spare folder, if any."""
    _bring_back(served, work)
    spare = work / _SPARE
    if not os.path.lexists(spare):
        return None
    own, site = list_in(spare, PLAN) or list_in(spare) or SiteList(), list_in(served)
    _carry(spare, own, served, site)
    if not (spare / PLAN).exists():
        return own
    _clear(spare, own, site)
    return None


def _site(built: Path, served: Path, old: SiteList | None, known: Mapping[str, Known]) -> _Site:
    """What to publish, and which of it the served folder has already, untouched."""
    there = old.files if old else {}
    states = built_files(built)
    _refuse_kinds(path for path in states if path not in there)
    contents, remembered, kept = {}, {}, set()
    for path, state in states.items():
        before = known.get(path)
        content = contents[path] = content_of(f"{built}/{path}", state, before)
        same = before is not None and content == before.content == there.get(path)
        if before and same and is_intact(f"{served}/{path}", before):
            kept.add(path)
            remembered[path] = Known(content, state.st_mtime_ns, before.served)
        else:
            remembered[path] = Known(content, state.st_mtime_ns, state.st_mtime_ns)
    return _Site(SiteList(contents), remembered, frozenset(kept))


def _refuse_kinds(paths: Iterable[str]) -> None:
    found = [(path, why) for path in sorted(paths) if (why := why_not_published(path))]
    if found:
        path, why = found[0]
        more = f" {len(found) - 1} more are not published either." if len(found) > 1 else ""
        raise UnfitFile(
            f"not published: {path} {why}.{more}\n"
            "Take it out of the page, or of the settings, that bring it."
        )


def _make(site: _Site, built: Path, served: Path, work: Path) -> None:
    """Make the spare folder the new site, whole."""
    spare = work / _SPARE
    disk.make_folder(spare)
    _write(work, site.list.as_json(), spare / PLAN)
    for folder in sorted(site.list.folders):
        disk.make_folder(f"{spare}/{folder}")
    for path in site.list.files:
        if path in site.kept:
            disk.link_or_copy(f"{served}/{path}", f"{spare}/{path}")
        else:
            disk.copy(f"{built}/{path}", f"{spare}/{path}")
    _take_rights(served, spare)
    disk.rename(spare / PLAN, spare / LIST)


def _take_rights(served: Path, spare: Path) -> None:
    """Give the new folder the mode and group of the old one, where there is one."""
    with contextlib.suppress(FileNotFoundError):
        state = served.stat()
        spare.chmod(stat.S_IMODE(state.st_mode) | stat.S_IRWXU)
        if hasattr(os, "chown") and spare.stat().st_gid != state.st_gid:
            with contextlib.suppress(PermissionError):
                os.chown(spare, -1, state.st_gid)


def _put(spare: Path, served: Path, aside: Path) -> None:
    """Put the new site in its place: at one stroke, or at two where that can't be had."""
    try:
        if _is_vacant(served):
            if served.exists():
                disk.remove_folder(served)
            disk.rename(spare, served)
        elif not exchange(spare, served):
            _put_in_two(spare, served, aside)
    except OSError as error:
        if error.errno in _IN_THE_WAY:
            raise Refused(_stuck(served, error)) from error
        raise


def _put_in_two(spare: Path, served: Path, aside: Path) -> None:
    disk.rename(served, aside)
    try:
        disk.rename(spare, served)
    except BaseException:
        disk.rename(aside, served)
        raise
    disk.rename(aside, spare)


def _bring_back(served: Path, work: Path) -> None:
    """Complete an exchange in two strokes that was cut short between them."""
    aside, spare = work / _ASIDE, work / _SPARE
    if not os.path.lexists(aside):
        return
    if os.path.lexists(served) and not _is_vacant(served):
        if os.path.lexists(spare):
            raise Refused(
                f"{relative(aside)} is the site that was in {relative(served)}, where something "
                "else has come since.\nMove one of the two away, and build again."
            )
        disk.rename(aside, spare)
        return
    if served.exists():
        disk.remove_folder(served)
    disk.rename(aside, served)


def _carry(spare: Path, own: SiteList, served: Path, site: SiteList | None) -> None:
    """Move what others kept in the spare folder to the site."""
    if site is not None:
        carry(spare, own, served, site)
    elif foreign := foreign_in(spare, own):
        raise Refused(
            f"{relative(spare / foreign[0])} is not of the site, and {relative(served)}, where it "
            "was, is gone.\nMove it to where you keep it, and build again."
        )


def _clear(spare: Path, own: SiteList, site: SiteList | None) -> None:
    """Remove the spare folder: what its list names, and no more. The list goes last.

    Folders of the site are emptied when what others kept in them is carried: they go, too.
    """
    for path in own.files:
        with contextlib.suppress(FileNotFoundError):
            disk.remove(f"{spare}/{path}")
    for folder in sorted(own.folders | (site.folders if site else frozenset()), reverse=True):
        with contextlib.suppress(FileNotFoundError):
            disk.remove_folder(f"{spare}/{folder}")
    for name in (LIST, PLAN):
        with contextlib.suppress(FileNotFoundError):
            disk.remove(spare / name)
    disk.remove_folder(spare)


def _write(work: Path, content: bytes, place: Path) -> None:
    """Write a file that is whole or not there: first in the work folder, then moved."""
    arriving = work / _ARRIVING
    with contextlib.suppress(FileNotFoundError):
        disk.remove(arriving)
    disk.write(arriving, content)
    disk.rename(arriving, place)


def _is_vacant(folder: Path) -> bool:
    """Tell whether there is no folder, or an empty one."""
    if not os.path.lexists(folder):
        return True
    return folder.is_dir() and not folder.is_symlink() and not any(folder.iterdir())


def _stuck(served: Path, error: OSError) -> str:
    return (
        f"{relative(served)} can't change places with the new site: {error.strerror}.\n"
        "It is on another disk than the folder beside it that the build works in, or a disk of its "
        "own. Name a folder inside it with --output."
    )
