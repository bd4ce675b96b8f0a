"""The manual: every page typed, every id resolved from the page that mentions it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cached_property, partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from procedures_lib.language.entities.builder import HEADS
from procedures_lib.language.entities.car import Vehicle
from procedures_lib.language.entities.dyno_session import DynoSession
from procedures_lib.language.entities.entity import Entity, leans_on
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.work import Common, Content, Job, Procedure, Rule
from procedures_lib.manual.folder import UNREAD, DataFiles, page_names, read_contents, uncollected
from procedures_lib.manual.plan import Plan, numbered_steps
from procedures_lib.manual.replacement import with_replacements
from procedures_lib.manual.scope import Scope, key_of
from procedures_lib.manual.shop import Shop

if TYPE_CHECKING:
    from concurrent.futures import Executor


E = TypeVar("E", bound="Entity")
T = TypeVar("T")


class Manual:
    """All pages of a manual, resolved. It does not change: a changed page makes a new one.

    ``files`` are the files beside the pages; None for pages that stand in no folder. Not ``whole``
    is one that has some of its folder's pages: what leads to the others is not judged. ``twice``
    holds the kind and id of each head that there are two of, which is a finding.
    """

    def __init__(
        self,
        contents: Iterable[Content],
        shop: Shop | None = None,
        files: DataFiles | None = None,
        whole: bool = True,
    ) -> None:
        self.contents = {content.page.name: content for content in contents}
        self.shop = shop or Shop()
        self.files = files
        self.whole = whole
        self._kept: dict[tuple[str, ...], Any] = {}
        self._ids = {name: _by_id(content) for name, content in self.contents.items()}
        self._heads: dict[tuple[str, str], Entity] = {}
        self.twice: set[tuple[str, str]] = set()
        for ids in self._ids.values():
            for entity in ids.values():
                if entity.KIND in HEADS:
                    first = self._heads.setdefault((entity.KIND, entity.id), entity)
                    self.twice |= {(entity.KIND, entity.id)} if first is not entity else set()
        self._lost_at = {
            head: name for name, content in self.contents.items() for head in content.lost_heads
        }
        for content in self.contents.values():
            for kit in (each for each in content.entities if isinstance(each, Kit)):
                self._replace_in(kit)

    @classmethod
    def read(
        cls,
        root: Path,
        shop: Shop | None = None,
        executor: Executor | None = None,
        progress: Callable[[], None] = lambda: None,
    ) -> Manual:
        """Read every page below ``root``."""
        with uncollected():
            contents = list(read_contents(root, page_names(root), executor, progress))
        return cls(contents, shop, DataFiles(root))

    def with_pages(self, changed: Iterable[Content], gone: Iterable[str] = ()) -> Manual:
        """Return the manual with some pages read anew, and some gone."""
        contents = {**self.contents, **{content.page.name: content for content in changed}}
        for name in gone:
            contents.pop(name, None)
        pages = (contents[name] for name in sorted(contents))
        return Manual(pages, self.shop, self.files, self.whole)

    def once(self, key: tuple[str, ...], make: Callable[[], T]) -> T:
        """Return what is kept under a key, made the first time it is asked for."""
        if key not in self._kept:
            self._kept[key] = make()
        found: T = self._kept[key]
        return found

    def _replace_in(self, kit: Kit) -> None:
        page = kit.place.page
        vehicle = self._heads.get(("vehicle", str(kit.fits.vehicle)))
        near = [self._ids[page], self._ids[vehicle.place.page] if vehicle else {}]

        def find(name: str) -> Entity | None:
            return next((ids[name] for ids in near if name in ids), None)

        self._ids[page] = with_replacements(self._ids[page], kit, find)

    # -- heads ---------------------------------------------------------------------------------

    def head(self, kind: type[E], name: str) -> E | None:
        """Return the vehicle, kit, procedure, common, job or dyno session with this id."""
        found = self._heads.get((kind.KIND, name))
        return found if isinstance(found, kind) else None

    def heads(self, kind: type[E]) -> list[E]:
        """Return all heads of a kind, sorted by page and line."""

        def asked() -> list[E]:
            found = [entity for entity in self._heads.values() if isinstance(entity, kind)]
            return sorted(found, key=lambda entity: entity.place)

        return list(self.once(("heads", kind.KIND), asked))

    @cached_property
    def pages_by_kit(self) -> Mapping[str, frozenset[str]]:
        """The pages of the procedures of each kit, by its id."""
        pages: dict[str, set[str]] = defaultdict(set)
        for procedure in self.heads(Procedure):
            if procedure.kit is not None:
                pages[str(procedure.kit)].add(procedure.place.page)
        return {kit: frozenset(found) for kit, found in pages.items()}

    def page_of(self, kind: type[Entity], name: str) -> str | None:
        """Return the page of a head with this id, be it one that could not be read."""
        found = self._heads.get((kind.KIND, name))
        return found.place.page if found else self._lost_at.get(name)

    def sees_all(self, page: str) -> bool:
        """Tell whether all heads that a page leans on could be found and read, and each is one.

        When not, an id that seems unknown there may well be known: it is no finding of its own.
        """

        def asked() -> bool:
            named = (ref for entity in self.entities_on(page).values() for ref in leans_on(entity))
            heads = {(kind, str(ref.target)) for ref in named for kind in ref.kinds}
            known = heads <= self._heads.keys() - self.twice
            return known and not self.contents[page].lost_heads

        return self.once(("sees all", page), asked)

    def is_lost(self, head: str) -> bool:
        """Tell whether this is the id of a head that could not be read."""
        return head in self._lost_at

    @cached_property
    def has_loose_procedures(self) -> bool:
        """Whether some head could not be read, or some procedure names a kit that is not there."""
        return bool(self._lost_at) or any(
            p.kit is not None and self.head(Kit, p.kit) is None for p in self.heads(Procedure)
        )

    @cached_property
    def has_unread_pages(self) -> bool:
        """Whether some page could not be read at all."""
        return any(
            found.check in UNREAD and not content.page.blocks
            for content in self.contents.values()
            for found in content.page.findings
        )

    def is_damaged(self, entity: Entity) -> bool:
        """Tell whether an entity was read without all its fields, which is a finding already."""
        return entity.id in self.contents[entity.place.page].damaged

    def entities_on(self, page: str) -> Mapping[str, Entity]:
        """Return the entities that stand on a page, by id."""
        return self._ids.get(page, {})

    def is_common(self, page: str) -> bool:
        """Whether all procedures see a page: it has a ``{common}`` head, or rules and no head."""

        def asked() -> bool:
            kinds = {entity.KIND for entity in self.entities_on(page).values()}
            return Common.KIND in kinds or (Rule.KIND in kinds and kinds.isdisjoint(HEADS))

        return self.once(("common", page), asked)

    @cached_property
    def common_pages(self) -> tuple[str, ...]:
        """The pages that all procedures see."""
        heads = {common.place.page for common in self.heads(Common)}
        return tuple(sorted(heads.union(filter(self.is_common, self.contents))))

    @cached_property
    def known_ids(self) -> Mapping[str, frozenset[str]]:
        """The kinds of every id anywhere in the manual: what a common page's words may mean."""
        kinds: dict[str, set[str]] = defaultdict(set)
        for ids in self._ids.values():
            for name, entity in ids.items():
                kinds[name].add(entity.KIND)
        return {name: frozenset(found) for name, found in kinds.items()}

    # -- scopes --------------------------------------------------------------------------------

    def scope(self, page: str) -> Scope:
        """Return what the page can see, nearest first."""

        def asked() -> Scope:
            pages = self._pages_seen_from(page)
            return Scope(tuple((name, self.entities_on(name)) for name in pages))

        return self.once(("scope", page), asked)

    def _pages_seen_from(self, page: str) -> list[str]:
        seen = dict.fromkeys([page])
        heads = list(self.entities_on(page).values())
        procedures = [head for head in heads if isinstance(head, Procedure)]
        for head in heads:
            named: tuple[str, ...] = ()
            if isinstance(head, Job):
                named = head.procedures
            elif isinstance(head, DynoSession) and head.procedure:
                named = (head.procedure,)
            found = (self.head(Procedure, name) for name in named)
            procedures += [procedure for procedure in found if procedure]
        for procedure in procedures:
            seen[procedure.place.page] = None
        kits = [head for head in heads if isinstance(head, Kit)]
        kits += [kit for p in procedures if p.kit and (kit := self.head(Kit, p.kit))]
        seen.update(dict.fromkeys(kit.place.page for kit in kits))
        lost = (self._lost_at.get(str(p.kit)) for p in procedures)
        seen.update(dict.fromkeys(page for page in lost if page))
        vehicles = [str(p.vehicle) for p in procedures]
        vehicles += [str(kit.fits.vehicle) for kit in kits]
        vehicles += [
            str(head.vehicle)
            for head in heads
            if isinstance(head, Common | Job | DynoSession) and head.vehicle
        ]
        for name in vehicles:
            if at := self.page_of(Vehicle, name):
                seen[at] = None
        seen.update(dict.fromkeys(self.common_pages))
        return list(seen)

    # -- plans ---------------------------------------------------------------------------------

    def plan(self, head: Procedure | Common) -> Plan:
        """Return a procedure (or common page) with its steps in one numbered row."""
        return self.once(("plan", head.KIND, head.id), lambda: self._make_plan(head))

    def plans(self) -> Iterator[Plan]:
        """Yield the plan of every procedure."""
        for procedure in self.heads(Procedure):
            yield self.plan(procedure)

    def plan_of_page(self, page: str, name: str = "") -> Plan | None:
        """Return the plan a derived block on a page is about: the one named, or the page's own."""
        if name:
            found = self.head(Procedure, name)
            return self.plan(found) if found else None
        for entity in self.entities_on(page).values():
            if isinstance(entity, Procedure | Common):
                return self.plan(entity)
        return None

    def _make_plan(self, head: Procedure | Common) -> Plan:
        content = self.contents[head.place.page]
        steps = numbered_steps(head, self.contents, partial(self.head, Common))
        vehicle = self.head(Vehicle, head.vehicle) if head.vehicle else None
        kit = self.head(Kit, head.kit) if isinstance(head, Procedure) and head.kit else None
        scope = self.scope(head.place.page)
        return Plan(head, content, scope, steps, vehicle, kit, (kit,) if kit else ())


def _by_id(content: Content) -> dict[str, Entity]:
    """Return the entities of a page, each under its id; the others of one id under their kind too.

    A head is found by its kind, so that a thing comes before it; else the first one does.
    """
    things = {entity.id for entity in content.entities if entity.KIND not in HEADS}
    ids: dict[str, Entity] = {}
    for entity in content.entities:
        second = entity.id in ids or (entity.KIND in HEADS and entity.id in things)
        ids.setdefault(key_of(type(entity), entity.id) if second else entity.id, entity)
    return ids
