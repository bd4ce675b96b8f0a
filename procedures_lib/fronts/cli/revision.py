"""A state of the manual that is named on a command line: a folder, or a revision of git."""

from __future__ import annotations

import hashlib
import os
import posixpath
import re
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path, PurePosixPath

from procedures_lib.fronts.cli.arguments import Folders, absolute, find_folders, pages_in, relative
from procedures_lib.fronts.cli.terminal import Refused
from procedures_lib.language.entities.builder import build
from procedures_lib.language.reading.reader import read_page
from procedures_lib.manual import Manual
from procedures_lib.manual.folder import ENDING, DataFiles, page_names
from procedures_lib.manual.shop import Shop, read_shop

_LONGEST = 250
_COMMIT = re.compile(r"[0-9a-f]{40,64}")
_PLAIN_FILES = frozenset({b"100644", b"100755"})
_SETTINGS = ("--no-optional-locks", "-c", "core.fsmonitor=false", "-c", "core.quotePath=false")
_OF_ANOTHER = ("GIT_DIR", "GIT_WORK_TREE", "GIT_INDEX_FILE", "GIT_PREFIX", "GIT_COMMON_DIR")
"""What git sets for its hooks, and what would lead it past the folder that is asked about."""


def files_at(revision: str, folder: Path, ending: str = "") -> dict[str, bytes]:
    """Return the files of a folder as they were at a revision, by their path in the folder.

    Paths have forward slashes; ``ending`` leaves all others out. Links and submodules are left out
    too. A folder that was not there then gives none. :class:`Refused` where git has no answer.
    """
    commit = commit_of(revision, folder)
    names, objects = [], []
    for entry in _split(_ask(folder, "ls-tree", "-r", "-z", commit, "--", ".")):
        about, _, path = entry.partition(b"\t")
        mode, _, name = about.split()[:3]
        if mode in _PLAIN_FILES and path.endswith(ending.encode()):
            names.append(_name(path))
            objects.append(name)
    return dict(zip(names, _contents(objects, folder), strict=True))


def changed_since(revision: str, folder: Path) -> set[str]:
    """Return the paths in a folder that differ from a revision: changed, added and gone.

    What git does not know yet counts as added, unless it is ignored. Paths are as in
    :func:`files_at`. :class:`Refused` where git has no answer.
    """
    commit = commit_of(revision, folder)
    plain = ("--no-ext-diff", "--no-textconv", "--no-renames", "--ignore-submodules")
    known = _ask(folder, "diff", *plain, "--name-only", "--relative", "-z", commit, "--", ".")
    new = _ask(folder, "ls-files", "--others", "--exclude-standard", "-z", "--", ".")
    return {_name(path) for path in (*_split(known), *_split(new))}


def commit_of(revision: str, folder: Path) -> str:
    """Return the full name of the commit that a revision means.

    :class:`Refused` when it is no revision's name, when there is none, or no repository.
    """
    bad = not revision.strip() or not revision.isprintable() or len(revision) > _LONGEST
    if bad or revision.startswith("-"):
        raise Refused(
            f"{revision[:_LONGEST]!r} is no name of a revision.\n"
            "Give a branch, a tag or a commit, such as `main` or `HEAD~1`."
        )
    where = _run(folder, "rev-parse", "--show-toplevel")
    if where.returncode:
        raise Refused(_no_repository(folder, where.stderr))
    asked = f"{revision}^{{commit}}"
    found = _run(folder, "rev-parse", "--verify", "--quiet", "--end-of-options", asked)
    name = found.stdout.decode("ascii", "replace").strip()
    if found.returncode or not _COMMIT.fullmatch(name):
        raise Refused(f"git knows no revision `{revision}` here.{_hint_for_shallow(folder)}")
    return name


def top_of(folder: Path) -> Path | None:
    """Return the top folder of the repository that a folder is in; None where there is none."""
    if not folder.is_dir() or shutil.which("git") is None:
        return None
    found = _run(folder, "rev-parse", "--show-toplevel")
    return None if found.returncode else Path(os.fsdecode(found.stdout.removesuffix(b"\n")))


def _no_repository(folder: Path, answer: bytes) -> str:
    words = answer.decode("utf-8", "replace").strip()
    if "dubious ownership" in words:
        return f"git won't read the repository of {relative(folder)}:\n{words}"
    return (
        f"{relative(folder)} is in no git repository, so there is no revision to compare with.\n"
        "Go into a clone of the manual, or name its pages with --manual."
    )


def _hint_for_shallow(folder: Path) -> str:
    shallow = _run(folder, "rev-parse", "--is-shallow-repository").stdout.strip() == b"true"
    if shallow:
        return (
            "\nThis clone holds only the latest commits: fetch more with `git fetch --unshallow`."
        )
    return "\n`git branch --all` lists the branches, `git log --oneline` the commits."


def _contents(objects: list[bytes], folder: Path) -> Iterator[bytes]:
    """Yield what the objects hold, in their order."""
    asked = b"".join(name + b"\n" for name in objects)
    answer = _ask(folder, "cat-file", "--batch", given=asked) if objects else b""
    at = 0
    for _ in objects:
        end = answer.index(b"\n", at)
        head = answer[at:end].split()
        if len(head) != 3:
            raise Refused(
                "git could not give a file of that revision: this clone does not hold all of it, "
                "or not as it was.\nFetch it anew, as with `git fetch --refetch`; `git fsck` tells "
                "what is broken."
            )
        size = int(head[2])
        yield answer[end + 1 : end + 1 + size]
        at = end + size + 2


def _split(answer: bytes) -> list[bytes]:
    return [entry for entry in answer.split(b"\0") if entry]


def _name(path: bytes) -> str:
    return path.decode("utf-8", "surrogateescape")


def _ask(folder: Path, *words: str, given: bytes = b"") -> bytes:
    """Return what git answers; :class:`Refused` with its own words when it fails."""
    done = _run(folder, *words, given=given)
    if done.returncode:
        reason = done.stderr.decode("utf-8", "replace").strip()
        raise Refused(f"git {words[0]} failed: {reason or f'exit code {done.returncode}'}")
    return done.stdout


def _run(folder: Path, *words: str, given: bytes = b"") -> subprocess.CompletedProcess[bytes]:
    git = shutil.which("git")
    if git is None:
        raise Refused("git is not installed, or not on the PATH: install it, and try again.")
    env = {name: value for name, value in os.environ.items() if name not in _OF_ANOTHER}
    command = [git, *_SETTINGS, *words]
    return subprocess.run(  # noqa: S603
        command,
        cwd=folder,
        env={**env, "LC_ALL": "C"},
        input=given,
        capture_output=True,
        check=False,
    )


@dataclass(frozen=True, slots=True)
class State:
    """A manual as it is or was, with its shop, what to call it, and the folder of its pages.

    ``digest`` returns a short hash of a file beside a page, "" for one that is not there.
    """

    manual: Manual
    name: str
    pages: Path
    digest: Callable[[str, str], str]


def state_named(word: str, folders: Folders) -> State:
    """Return the state that a word names: that of an existing folder, or else of a revision.

    :class:`Refused` when it is neither, or holds no page.
    """
    if not word.strip():  # Path("") would be the current folder
        raise Refused("an empty word names neither a folder of pages nor a revision of git.")
    if Path(word).is_dir():
        pages = pages_in(absolute(Path(word)))
        return folder_state(pages, word, find_folders(pages).shop)
    return revision_state(word, folders)


def folder_state(pages: Path, name: str, shop: Path) -> State:
    """Return the state of a folder of pages; :class:`Refused` when it holds none."""
    if not page_names(pages):
        raise Refused(f"{relative(pages)} holds no pages (files that end in .md).")
    manual = Manual.read(pages, read_shop(shop)[0])
    return State(manual, name, pages, DataFiles(pages).digest)


def revision_state(revision: str, folders: Folders) -> State:
    """Return the state of the manual's pages at a revision; nothing is checked out.

    :class:`Refused` when git has no answer, or there was no page then.
    """
    try:
        files = files_at(revision, folders.pages, ENDING)
    except Refused as error:
        hint = "" if revision.startswith("-") else f"\n`{revision}` is no folder either."
        raise Refused(f"{error.message}{hint}") from None
    names = sorted(name for name in files if is_page(name))
    if not names:
        raise Refused(
            f"at the revision {revision} there were no pages in {relative(folders.pages)}.\n"
            "Give a later revision, or the folder that holds the old pages."
        )
    contents = (build(read_page(files[name], name)) for name in names)
    manual = Manual(contents, _shop_at(revision, folders.shop))
    return State(manual, revision, folders.pages, _digests(revision, folders.pages))


def _shop_at(revision: str, path: Path) -> Shop:
    """Return the shop as its file was at a revision; one without wrenches when there was none."""
    inside = path.parent.is_dir() and top_of(path.parent) is not None
    held = files_at(revision, path.parent, path.name).get(path.name) if inside else None
    if held is None:
        return Shop()
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder, path.name)
        copy.write_bytes(held)
        return read_shop(copy)[0]


def _digests(revision: str, pages: Path) -> Callable[[str, str], str]:
    """Return what hashes the files of a revision; all of an ending are read when one is asked."""

    @cache
    def files(ending: str) -> dict[str, bytes]:
        return files_at(revision, pages, ending)

    def digest(page: str, name: str) -> str:
        path = posixpath.normpath(posixpath.join(posixpath.dirname(page), name))
        held = files(posixpath.splitext(path)[1]).get(path)
        return "" if held is None else hashlib.blake2b(held, digest_size=12).hexdigest()

    return digest


def is_page(name: str) -> bool:
    """Tell whether a path is that of a page: hidden and ``_`` folders hold none."""
    path = PurePosixPath(name)
    return (
        path.suffix == ENDING
        and path.name[0] != "."
        and all(part[0] not in "._" for part in path.parts[:-1])
    )
