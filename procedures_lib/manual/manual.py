"""The manual: every page typed, every id resolved from the page that mentions it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from procedures_lib.language.entities.base import Entity
from procedures_lib.language.entities.builder import HEADS
from procedures_lib.language.entities.car import Vehicle
from procedures_lib.language.entities.content import Content, leans_on
from procedures_lib.language.entities.dyno_session import DynoSession
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.work import Common, Job, Procedure, Step
from procedures_lib.language.variants import ALWAYS, Condition
from procedures_lib.manual.collector import uncollected
from procedures_lib.manual.folder import UNREAD, DataFiles, page_names, read_contents
from procedures_lib.manual.replacement import with_replacements
from procedures_lib.manual.scope import Scope, called_by
from procedures_lib.manual.shop import Shop

if TYPE_CHECKING:
    from concurrent.futures import Executor


E = TypeVar("E", bound="Entity")
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class NumberedStep:
    """A step in its place in a procedure: ``number`` counts from 1, the same on every car.

    ``page`` is the page it is written on; ``through`` is the ``{common-steps}`` that calls for it.
    """

    number: int
    step: Step
    when: Condition
    page: str
    through: Step | None = None


@dataclass(frozen=True)
class Plan:
    """A procedure with all it needs: its page, kit and vehicle found, its steps in one row.

    ``kits`` are the kits as sold; ``kit`` is the one, or for a visit with several procedures what
    their boxes hold together.
    """

    head: Procedure | Common
    content: Content
    scope: Scope
    steps: tuple[NumberedStep, ...]
    vehicle: Vehicle | None
    kit: Kit | None
    kits: tuple[Kit, ...] = ()

    @property
    def title(self) -> str:
        """The procedure's title: the head's own, or the page's."""
        own = self.head.title if isinstance(self.head, Procedure) else self.head.name
        return own or self.content.page.title or self.head.id

    @property
    def common_heads(self) -> frozenset[str]:
        """The ids of the common heads that its own page calls for."""
        return frozenset(str(n.through.common) for n in self.steps if n.through)

    @cached_property
    def hazards_called(self) -> frozenset[str]:
        """The ids of all hazards that its steps call for or declare."""
        steps = [numbered.step for numbered in self.steps]
        declared = {str(name) for step in steps for name in step.hazards}
        actions = [action for step in steps for action in step.actions]
        return frozenset(declared.union(*(called_by(action, self.scope) for action in actions)))

    @cached_property
    def hazards_by_step(self) -> dict[int, list[str]]:
        """The hazards worked out so far, by the step's number: pages ask several times."""
        return {}

    def step_number(self, name: str) -> int | None:
        """The number of the step with this id."""
        return next((s.number for s in self.steps if s.step.id == name), None)


class Manual:
    """All pages of a manual, resolved. It does not change: a changed page makes a new one.

    ``files`` are the files beside the pages; None for pages that stand in no folder. Not ``whole``
    is one that has some of its folder's pages: what leads to the others is not judged.
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
        self._sorted: dict[type[Entity], tuple[Entity, ...]] = {}
        for ids in self._ids.values():
            for entity in ids.values():
                if entity.KIND in HEADS:
                    self._heads.setdefault((entity.KIND, entity.id), entity)
        self._lost_at = {
            head: name for name, content in self.contents.items() for head in content.lost_heads
        }
        for kit in self.heads(Kit):
            self._replace_in(kit)
        self._scopes: dict[str, Scope] = {}
        self._whole: dict[str, bool] = {}
        self._plans: dict[tuple[str, str], Plan] = {}

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
        if kind not in self._sorted:
            found = [entity for entity in self._heads.values() if isinstance(entity, kind)]
            self._sorted[kind] = tuple(sorted(found, key=lambda entity: entity.place))
        return list(self._sorted[kind])  # type: ignore[arg-type]

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
        """Tell whether all heads that a page leans on could be found and read.

        When not, an id that seems unknown there may well be known: it is no finding of its own.
        """
        if page not in self._whole:
            named = [ref for entity in self._ids.get(page, {}).values() for ref in leans_on(entity)]
            self._whole[page] = not self.contents[page].lost_heads and all(
                (kind, str(ref.target)) in self._heads for ref in named for kind in ref.kinds
            )
        return self._whole[page]

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
        """Whether a ``{common}`` head stands on a page, be it one whose id another has already."""

        def asked() -> bool:
            return any(isinstance(entity, Common) for entity in self.entities_on(page).values())

        return self.once(("common", page), asked)

    @cached_property
    def common_pages(self) -> tuple[str, ...]:
        """The pages that hold a ``{common}`` head."""
        return tuple(sorted({common.place.page for common in self.heads(Common)}))

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
        if page not in self._scopes:
            pages = self._pages_seen_from(page)
            self._scopes[page] = Scope(tuple((name, self.entities_on(name)) for name in pages))
        return self._scopes[page]

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
        key = (head.KIND, head.id)
        if key not in self._plans:
            self._plans[key] = self._make_plan(head)
        return self._plans[key]

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
        steps = tuple(
            NumberedStep(n, *placed)
            for n, placed in enumerate(self._in_a_row(head, ALWAYS, None, (head.id,)), start=1)
        )
        name = head.kit if isinstance(head, Procedure) else None
        kit = self.head(Kit, name) if name else None
        return Plan(
            head,
            content,
            self.scope(head.place.page),
            steps,
            self.head(Vehicle, head.vehicle) if head.vehicle else None,
            kit,
            (kit,) if kit else (),
        )

    def _in_a_row(
        self,
        head: Procedure | Common,
        when: Condition,
        through: Step | None,
        heads: tuple[str, ...],
    ) -> Iterator[tuple[Step, Condition, str, Step | None]]:
        """Yield the steps of a head and of the common steps it calls for, each where it is done.

        ``through`` is the outermost call. A head that is already among ``heads`` is not entered
        again: the call is a finding.
        """
        page = head.place.page
        for step in self.contents[page].steps_of(head.id):
            both = when & step.when
            if step.common is None:
                yield step, both, page, through
                continue
            common = self.head(Common, str(step.common))
            if common is not None and common.id not in heads:
                yield from self._in_a_row(common, both, through or step, (*heads, common.id))


def _by_id(content: Content) -> dict[str, Entity]:
    ids: dict[str, Entity] = {}
    for entity in content.entities:
        ids.setdefault(entity.id, entity)
    return ids
