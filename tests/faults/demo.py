"""The demo as the faults are seeded into it: its pages, and what is found after an edit."""

from __future__ import annotations

from functools import cache, cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from procedures_lib.judging.checks import check_page
from procedures_lib.judging.checks.mentions import leans_on
from procedures_lib.language.entities.builder import build
from procedures_lib.language.reading.reader import read_page
from procedures_lib.manual import Manual
from procedures_lib.manual.folder import page_names, read_contents
from procedures_lib.manual.shop import read_shop
from tests.faults.source import Source, edited

if TYPE_CHECKING:
    from collections.abc import Iterator

    from procedures_lib.findings import Finding
    from procedures_lib.language.entities.entity import Entity
    from procedures_lib.language.entities.work import Action
    from procedures_lib.manual import Plan
    from tests.faults.kinds import Fault

PROJECT = Path(__file__).resolve().parents[2]
FOLDERS = ("vehicles", "kits", "procedures", "common", "jobs")
"""The folders of ``docs`` that hold the demo's work."""


class Demo:
    """The clean demo."""

    def __init__(self, manual: Manual, sources: dict[str, Source]) -> None:
        self.manual = manual
        self.sources = sources

    def pages(self, *folders: str) -> Iterator[Source]:
        """Yield the pages of some folders, in the order of their names."""
        for name, source in self.sources.items():
            if name.partition("/")[0] in folders:
                yield source

    def entities(self, kind: type[Entity]) -> Iterator[tuple[Source, Entity]]:
        """Yield the entities of a kind that a block describes, each with its page."""
        for source in self.sources.values():
            for entity in source.content.entities:
                if isinstance(entity, kind):
                    yield source, entity

    def reached_from(self, page: str) -> list[str]:
        """The pages that a change of one page may touch, itself first.

        A procedure that begins where another ends is among them, and a kit that a procedure fits.
        """
        others = (name for name, asked in self.leaning.items() if page in asked)
        return list(dict.fromkeys([page, *others]))

    def findings(self, fault: Fault) -> list[Finding]:
        """Return what the checks find after a fault, on the first page that has any finding."""
        contents, reached = [], list[str]()
        for page, edits in fault.by_page().items():
            text = edited(self.sources[page].text, edits)
            assert text != self.sources[page].text, f"{fault} changes nothing"
            contents.append(build(read_page(text.encode(), page)))
            reached += self.reached_from(page)
        changed = self.manual.with_pages(contents)
        for page in dict.fromkeys(reached):
            if found := check_page(changed, page):
                return found
        return []

    @cached_property
    def leaning(self) -> dict[str, set[str]]:
        """The pages that the findings of each page depend on."""
        return {name: leans_on(self.manual, name) for name in self.manual.contents}

    @cached_property
    def actions(self) -> list[tuple[Plan, Action]]:
        """Every action of every procedure, those of common steps too."""
        plans = self.manual.plans()
        return [(p, a) for p in plans for n in p.steps for a in n.step.actions]

    @cached_property
    def names(self) -> dict[str, tuple[str, ...]]:
        """What every id of the demo is called, and what it carries."""
        found: dict[str, list[str]] = {}
        for source in self.sources.values():
            for entity in source.content.entities:
                told = (getattr(entity, key, "") for key in ("name", "carries", "kind"))
                found.setdefault(entity.id, []).extend(str(text) for text in told if text)
        return {name: tuple(texts) for name, texts in found.items()}


@cache
def demo() -> Demo:
    """Read the demo."""
    root = PROJECT / "docs"
    names = [name for name in page_names(root) if name.partition("/")[0] in FOLDERS]
    shop, _ = read_shop(PROJECT / "conf" / "shop.toml")
    contents = list(read_contents(root, names))
    texts = {name: root.joinpath(name).read_text(encoding="utf-8") for name in names}
    sources = {content.page.name: Source(content, texts[content.page.name]) for content in contents}
    return Demo(Manual(contents, shop), sources)
