"""Small sites in two states, published by turns, and a look at whether one is whole."""

from __future__ import annotations

import os
import stat
from pathlib import Path
from typing import TYPE_CHECKING

from procedures_lib.fronts.cli.publishing.publication import publish
from procedures_lib.fronts.cli.publishing.site_list import LIST, foreign_in, list_in

if TYPE_CHECKING:
    from collections.abc import Iterable

STATES = ("first", "second")
FOREIGN = {".git/HEAD": "ref", ".well-known/a/b.txt": "proof", "CNAME": "name", "in/notes.txt": "n"}
"""What others keep in the folder: hidden, at the top, and in a folder of the site's own."""


def make_states(root: Path, pages: int = 8) -> None:
    """Write what Sphinx would leave in either state: pages of that state, and a style of both."""
    for number, state in enumerate(STATES):
        files = {f"in/{state}-only.html": state, f"{state}/x.html": state, "_static/s.css": "same"}
        files |= {f"in/page-{n}.html": f"{state} {n}" for n in range(pages)}
        files |= {"index.html": state, ".buildinfo": state}
        for name, text in files.items():
            path = root / state / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, "utf-8")
            os.utime(path, ns=(0, 10**18 + number))


def put_foreign(served: Path) -> None:
    """Put what others keep into a served folder."""
    for name, text in FOREIGN.items():
        path = served / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, "utf-8")


def publish_state(root: Path, state: str) -> None:
    """Publish one of the states in ``root/site``."""
    (root / "site-work").mkdir(exist_ok=True)
    publish(root / state, root / "site", root / "site-work")


def files_below(folder: Path) -> dict[str, str]:
    """The text of each file below a folder, by its path."""
    return {
        path.relative_to(folder).as_posix(): path.read_text("utf-8")
        for path in folder.rglob("*")
        if path.is_file()
    }


def state_in(root: Path) -> str:
    """The state that the served folder holds, wholly and by its own list; fails when it does not.

    What others keep may still be on its way: it is in the old folder then.
    """
    served = list_in(root / "site")
    assert served is not None, "no list"
    there = files_below(root / "site")
    state = there["index.html"]
    built = {n: t for n, t in files_below(root / state).items() if n != ".buildinfo"}
    assert served.files.keys() == built.keys()
    assert {name: there[name] for name in served.files} == built
    foreign = {name: text for name, text in there.items() if name not in {*built, LIST}}
    kept = {**_on_the_way(root), **foreign}
    assert foreign.items() <= FOREIGN.items()
    assert FOREIGN.items() <= kept.items()
    return state


def _on_the_way(root: Path) -> dict[str, str]:
    work = root / "site-work"
    return {**files_below(work / "spare"), **files_below(work / "aside")}


def is_midway(spare: Path) -> bool:
    """Tell whether the spare folder is half made, half removed, or has what others keep."""
    own = list_in(spare)
    if own is None:
        return spare.exists()
    return bool(foreign_in(spare, own)) or not all((spare / n).exists() for n in own.files)


def read_in(handle: int, names: Iterable[str]) -> set[str]:
    """Read files through one open folder; return the first word of each."""
    found = set()
    for name in names:
        file = os.open(name, os.O_RDONLY, dir_fd=handle)
        found.add(os.read(file, 100).decode().split()[0])
        os.close(file)
    return found


def inode(path: Path) -> int:
    """The number of a file on its disk."""
    state = path.lstat()
    assert stat.S_ISREG(state.st_mode)
    return state.st_ino
