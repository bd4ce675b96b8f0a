"""Publishing: the tree that the lists of contents make of the pages."""

from __future__ import annotations

import posixpath
from dataclasses import dataclass
from fnmatch import fnmatchcase
from typing import TYPE_CHECKING

from procedures_lib.checks.paths import path_from
from procedures_lib.findings import Finding, Place, suggestion
from procedures_lib.manual.folder import ENDING

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from procedures_lib.manual import Manual
    from procedures_lib.reading.page import Pointer

FIRST = f"index{ENDING}"
"""The page that a reader of the site comes to first."""


@dataclass(frozen=True, slots=True)
class Entry:
    """A line of a list of contents, and the page that it leads to."""

    line: int
    page: str


@dataclass(frozen=True, slots=True)
class PageTree:
    """The entries of each page, and the findings about them."""

    entries: Mapping[str, tuple[Entry, ...]]
    findings: tuple[Finding, ...]


def contents(manual: Manual) -> Iterator[Finding]:
    """Find lists of contents that name no page, lead back, or leave a page out."""
    if manual.files is None or not manual.whole or not manual.contents:
        return
    tree = page_tree(manual)
    yield from tree.findings
    yield from _circles(tree)
    yield from _left_out(manual, tree)


def page_tree(manual: Manual) -> PageTree:
    """Return which page's contents name which pages."""
    entries: dict[str, tuple[Entry, ...]] = {}
    found: list[Finding] = []
    for name, content in manual.contents.items():
        lines = [p for p in content.page.pointers if p.kind in {"entry", "glob"}]
        if lines:
            entries[name] = tuple(_entries(manual, name, lines, found))
    return PageTree(entries, tuple(found))


def _entries(
    manual: Manual, page: str, lines: list[Pointer], found: list[Finding]
) -> Iterator[Entry]:
    taken: set[str] = set()
    for line in lines:
        place = Place(page, line.line)
        named = list(_named(manual, page, line))
        new = [name for name in named if name not in taken]
        taken.update(new)
        if not named:
            said = f"`{line.target}` in the contents leads to no page"
            found.append(Finding(place, "broken-link", said, _near(manual, page, line.target)))
        elif not new and not _is_pattern(line):
            said = f"`{line.target}` stands twice in these contents"
            found.append(Finding(place, "stands-twice", said, "remove one of the two"))
        found += (_untitled(name, place) for name in new if not manual.contents[name].page.title)
        yield from (Entry(line.line, name) for name in new)


def _untitled(name: str, place: Place) -> Finding:
    said = f"`{name}` has no title by which these contents could name it"
    return Finding(place, "broken-link", said, f"begin `{name}` with `# Title`")


def _is_pattern(line: Pointer) -> bool:
    return line.kind == "glob" and any(sign in line.target for sign in "*?[")


def _named(manual: Manual, page: str, line: Pointer) -> Iterator[str]:
    path = path_from(page, line.target)
    if not path:
        return
    if _is_pattern(line):
        parts = path.split("/")
        for name in manual.contents:
            other = name.removesuffix(ENDING).split("/")
            same = len(other) == len(parts) and all(map(fnmatchcase, other, parts))
            if same and name != page:
                yield name
    else:
        name = path if path.endswith(ENDING) else f"{path}{ENDING}"
        if name in manual.contents and name != page:
            yield name


def _near(manual: Manual, page: str, target: str) -> str:
    base = posixpath.dirname(page)
    known = [posixpath.relpath(name, base or ".").removesuffix(ENDING) for name in manual.contents]
    return suggestion(target, known)


def _circles(tree: PageTree) -> Iterator[Finding]:
    """Yield each entry that leads back to a page above it."""
    done: set[str] = set()
    for root in sorted(tree.entries, key=lambda name: (name != FIRST, name)):
        path: list[tuple[str, Iterator[Entry]]] = []
        if root not in done:
            path.append((root, iter(tree.entries[root])))
        while path:
            page, rest = path[-1]
            entry = next(rest, None)
            if entry is None:
                done.add(page)
                path.pop()
            elif entry.page in (above := [name for name, _ in path]):
                circle = [*above[above.index(entry.page) :], entry.page]
                said = f"these contents lead back: {' → '.join(circle)}"
                place = Place(page, entry.line)
                yield Finding(place, "endless-contents", said, "name each page once, from above")
            elif entry.page not in done and entry.page in tree.entries:
                path.append((entry.page, iter(tree.entries[entry.page])))


def _left_out(manual: Manual, tree: PageTree) -> Iterator[Finding]:
    """Yield each page that no contents lead to; none where the first page has no contents."""
    listed = {entry.page for entries in tree.entries.values() for entry in entries}
    for name, content in manual.contents.items() if FIRST in tree.entries else ():
        if name not in listed and name != FIRST and "orphan" not in content.page.settings:
            said = "no contents lead to this page"
            hint = "name it in a `{toctree}`, or write `orphan: true` between `---` above it"
            yield Finding(Place(name, 1), "not-in-contents", said, hint)
