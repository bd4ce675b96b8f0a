"""A manual while pages of it are open: what is typed counts before it is saved."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from procedures_lib.findings import Finding
from procedures_lib.judging.checks.mentions import touched
from procedures_lib.judging.checks.registry import check_alone
from procedures_lib.language.entities.builder import build
from procedures_lib.language.entities.work import Content
from procedures_lib.language.reading.page_text import page_text
from procedures_lib.language.reading.reader import read_page
from procedures_lib.manual import Manual
from procedures_lib.manual.folder import (
    ENDING,
    Marks,
    marks_below,
    raw_of,
    read_content,
    uncollected,
)
from procedures_lib.manual.shop import SHOP_PAGE, read_shop

Note = tuple[int, str]
"""A line of a page, and what there is to know of it: no finding."""


def _no_notes(_manual: Manual, _page: str) -> list[Note]:
    return []


@dataclass(frozen=True, slots=True)
class ManualFolders:
    """The folder of a manual's pages, and its shop file; ``notes`` has notes on a page."""

    pages: Path
    shop: Path
    notes: Callable[[Manual, str], list[Note]] = _no_notes


class Desk:
    """One manual with its open pages, read again as they change.

    What changed is read at the next question about the manual. Which pages that touches is known
    then; they are checked one by one (:meth:`check_one`), so that questions come between. What
    looks at all pages takes longer, and is run elsewhere (:meth:`take_whole`).
    """

    def __init__(self, folders: ManualFolders) -> None:
        self.folders = folders
        self.open: dict[str, str] = {}
        self._manual: Manual | None = None
        self._marks: Marks = {}
        self._changed: set[str] = set()
        self._stale: set[str] = set()
        self._found: dict[str, list[Finding]] = {}
        self._of_shop: list[Finding] = []
        self._whole: list[Finding] = []
        self._whole_of: Manual | None = None
        self._told: dict[str, tuple[tuple[Finding, ...], list[Note]]] = {}

    # -- pages ---------------------------------------------------------------------------------

    def page_of(self, path: Path) -> str | None:
        """Return a file's name as a page of the manual; None for any other file."""
        root = self.folders.pages
        if not path.is_relative_to(root):
            path, root = path.resolve(), root.resolve()
        if not path.is_relative_to(root):
            return None
        name = path.relative_to(root)
        return name.as_posix() if _is_page(name) else None

    def path_of(self, page: str) -> Path:
        """Return the file of a page, or of the shop, as a finding names it."""
        return self.folders.shop if page == SHOP_PAGE else self.folders.pages / page

    def put(self, page: str, text: str) -> None:
        """Take a page as it stands in an editor."""
        if self.open.get(page) != text:
            self.open[page] = text
            self._changed.add(page)

    def close(self, page: str) -> None:
        """Take a page from its file again."""
        if self.open.pop(page, None) is not None:
            self._changed.add(page)

    def look(self) -> None:
        """Look which files have changed on the disk."""
        if self._manual is not None:
            marks = marks_below(self.folders.pages)
            self._changed |= {name for name, _ in marks.items() ^ self._marks.items()}
            self._marks = marks

    def text(self, page: str) -> str:
        """Return the text of a page, with plain line ends; "" where there is none."""
        if page in self.open:
            raw: bytes | Content = self.open[page].encode("utf-8", "replace")
        else:
            raw = raw_of(page, self.folders.pages)
        return "" if isinstance(raw, Content) else page_text(raw, page)[0]

    # -- the manual ----------------------------------------------------------------------------

    @property
    def manual(self) -> Manual:
        """The manual as it is now."""
        now = self._manual
        if now is None:
            now = self._first()
        elif self._changed:
            now = self._again(now)
        self._manual = now
        return now

    def take_shop(self) -> None:
        """Read the shop's settings again; where they differ, all is to be checked again."""
        if self._manual is None:
            return
        shop, self._of_shop = read_shop(self.folders.shop)
        if shop != self._manual.shop:
            manual = self.manual
            self._manual = Manual(manual.contents.values(), shop, manual.files)
            self._stale = set(self._manual.contents)

    def _first(self) -> Manual:
        shop, self._of_shop = read_shop(self.folders.shop)
        self._marks = marks_below(self.folders.pages)
        self._changed.clear()
        manual = Manual.read(self.folders.pages, shop)
        manual = manual.with_pages(map(self._read, sorted(self.open)))
        self._stale = set(manual.contents)
        return manual

    def _again(self, old: Manual) -> Manual:
        changed, self._changed = self._changed, set()
        pages = {name for name in changed if _is_page(Path(name)) and self._is_there(name)}
        new = old.with_pages(map(self._read, sorted(pages)), changed - pages)
        self._stale = (self._stale | touched(old, new, changed)) & new.contents.keys()
        return new

    def _is_there(self, page: str) -> bool:
        return page in self.open or self.path_of(page).exists()

    def _read(self, page: str) -> Content:
        if page in self.open:
            return build(read_page(self.open[page].encode("utf-8", "replace"), page))
        return read_content(page, self.folders.pages)

    # -- findings ------------------------------------------------------------------------------

    def check_one(self, among: Collection[str] | None = None) -> bool:
        """Check a page that needs it, of some pages if named; tell whether there was one."""
        manual = self.manual
        stale = self._stale if among is None else self._stale.intersection(among)
        if not stale:
            return False
        page = min(stale)
        with uncollected():
            self._found[page] = check_alone(manual, page)
        self._stale.discard(page)
        return True

    @property
    def whole_is_due(self) -> bool:
        """Whether the checks that look at all pages have not been run on the manual as it is."""
        return self._whole_of is not self.manual

    def take_whole(self, manual: Manual, found: list[Finding]) -> None:
        """Take what those checks found in a manual, which may have changed meanwhile."""
        self._whole_of, self._whole = manual, found

    def news(self) -> Iterator[tuple[str, tuple[Finding, ...], list[Note]]]:
        """Yield the pages whose findings or notes are others than when they were last asked for.

        Only open pages have notes.
        """
        now, manual = self._by_page(), self.manual
        for page in sorted(now.keys() | self._told.keys() | self.open.keys()):
            found = tuple(sorted(now.get(page, ())))
            notes = self.folders.notes(manual, page) if page in self.open else []
            if page not in self._stale and (found, notes) != self._told.get(page, ((), [])):
                self._told[page] = found, notes
                yield page, found, notes

    def _by_page(self) -> dict[str, set[Finding]]:
        manual = self.manual
        found: dict[str, set[Finding]] = defaultdict(set)
        own = (each for page in manual.contents for each in self._found.get(page, ()))
        all_of_them: Iterable[Finding] = (*own, *self._whole, *self._of_shop)
        for finding in all_of_them:
            found[finding.place.page].add(finding)
        return found


def _is_page(name: Path) -> bool:
    """Tell whether a path below the folder of pages is that of a page."""
    hidden = any(part[0] in "._" for part in name.parts[:-1]) or name.name.startswith(".")
    return name.suffix == ENDING and not hidden
