"""Exact rebuilds: what each page shows of other pages, compared at the next build."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from collections.abc import Set as AbstractSet
from functools import partial
from typing import TYPE_CHECKING, Any, TypeVar

from procedures_lib.fronts.site.cards import card_said
from procedures_lib.fronts.site.change_marks import earlier_said, marks_said
from procedures_lib.fronts.site.state import Site
from procedures_lib.language.entities.car import Fastener
from procedures_lib.language.entities.dyno_session import DynoSession
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.hazard import Hazard
from procedures_lib.language.entities.picture import Picture
from procedures_lib.language.entities.work import Common, Job, Procedure
from procedures_lib.manual import Manual, Scope
from procedures_lib.manual.scope import Calls
from procedures_lib.view.claims import kit_of
from procedures_lib.view.dyno_result import sessions_of
from procedures_lib.view.uses import cars_of
from procedures_lib.walk.visit import combine

if TYPE_CHECKING:
    from sphinx.application import Sphinx
    from sphinx.environment import BuildEnvironment


E = TypeVar("E", bound="Entity")

Key = tuple[str, ...]
"""What was looked at: ("entity", page, id), ("kind", page, kind), ("steps", common id), …"""

OF_SCOPE = frozenset({"entity", "place", "kind"})
"""What can only be another when something in the page's scope is."""


def digest_of(manual: Manual, key: Key) -> str:
    """Return a short hash of what a page saw under a key; "" where there was nothing."""
    match key:
        case ("scope", page):
            seen = " ".join(_page_said(manual, name) for name in manual.scope(page).pages)
        case ("entity" | "place" as what, page, name):
            entity = manual.scope(page).get(name)
            seen = "" if entity is None else entity.digest
            if entity is not None and what == "place":
                own = ("place in the car", entity.KIND, entity.place.page, entity.id)
                seen = manual.once(own, partial(_place_in_the_car, entity))
        case ("kind", page, kind):
            scope = manual.scope(page)
            things = scope.each_hazard() if kind == Hazard.KIND else scope.entities()
            digests = (e.digest for e in things if kind == e.KIND)
            seen = " ".join(sorted(digests))
        case ("steps" | "visit" | "changed" | "earlier" | "picture" | "card" as what, name):
            seen = _SAID[what](manual, name)
        case ("session", name):
            seen = _session_said(manual, manual.head(DynoSession, name))
        case ("results", name):
            seen = repr([_session_said(manual, each) for each in sessions_of(manual, name)])
        case ("heads",):
            seen = repr(_heads(manual))
        case ("shop",):
            seen = manual.shop.model_dump_json()
        case _:
            raise ValueError(f"no such key: {key}")
    return _hash(seen) if seen else ""


def _hash(text: str) -> str:
    return hashlib.blake2b(text.encode(), digest_size=12).hexdigest()


def _page_said(manual: Manual, page: str) -> str:
    """All that the things on a page say, in their order."""
    things = manual.entities_on(page).values()
    return manual.once(("page said", page), lambda: _hash(" ".join(e.digest for e in things)))


def _steps_said(manual: Manual, name: str) -> str:
    common = manual.head(Common, name)
    if common is None:
        return ""
    steps = manual.contents[common.place.page].steps_of(common.id)
    said = [(step, step.block.data, step.block.body) for step in steps]
    return repr((common.digest, said))


_SAYS_NOTHING_OF_PLACE = {
    "how_tight", "source", "note", "also", "condition", "thread", "class_", "head", "into",
    "positions", "order", "front", "grip", "recheck", "number", "quantity", "spec", "drain",
    "fill", "adapter",
}  # fmt: skip


def _place_in_the_car(entity: Entity) -> str:
    """What the walk needs to know of a thing: what holds it, what it is on, its stages' number."""
    said = entity.model_dump_json(exclude=_SAYS_NOTHING_OF_PLACE)
    stages = ""
    if isinstance(entity, Fastener):
        stages = str([(str(when), len(each)) for when, each in entity.how_tight.by_condition])
    return f"{entity.KIND} {entity.place.page} {said} {stages}"


def _visit_said(manual: Manual, name: str) -> str:
    """A job's steps as they are worked out: their order, titles, times and sharing."""
    job = manual.head(Job, name)
    visit = combine(manual, job) if job else None
    if visit is None:
        return ""
    return repr([(v.at, v.step.step.title, v.step.step.time) for v in visit.steps])


def _picture_said(manual: Manual, name: str) -> str:
    """A picture, by its page and its id, as its page has it, and what its file holds."""
    page, _, own = name.partition(" ")
    picture = manual.entities_on(page).get(own)
    if not isinstance(picture, Picture):
        return ""
    return f"{picture.digest} {manual.files.digest(page, picture.file) if manual.files else ''}"


_SAID = {
    "steps": _steps_said, "visit": _visit_said, "changed": marks_said, "earlier": earlier_said,
    "picture": _picture_said, "card": card_said,
}  # fmt: skip
"""What is said under a name: of a head its steps, its visit, its other revisions; of a picture; of
a page, its card."""


def _heads(manual: Manual) -> list[tuple[str, ...]]:
    heads: list[tuple[str, ...]] = []
    for kind in (Procedure, Job):
        for head in manual.heads(kind):
            title = manual.contents[head.place.page].page.title
            cars = str(cars_of(manual.plan(head))) if isinstance(head, Procedure) else ""
            heads.append((head.digest, title, cars))
    for name in ("vehicle", "kit"):
        heads += [(e.digest,) for ids in manual.contents.values() for e in ids.entities
                  if name == e.KIND]  # fmt: skip
    return heads


def _session_said(manual: Manual, session: DynoSession | None) -> str:
    """A dyno session with the kit whose claims it is held against, and what its files hold."""
    if session is None:
        return ""
    kit = kit_of(manual, session)
    page = session.place.page
    pulls = (*session.before, *session.after)
    files = [manual.files.digest(page, each.pull) for each in pulls] if manual.files else []
    return repr((session.digest, kit.digest if kit else "", files))


class Shown:
    """The keys that one page has looked at, with what it saw."""

    def __init__(self, manual: Manual, page: str, into: dict[Key, str]) -> None:
        self._manual = manual
        self._page = page
        self._into = into
        self.note("scope", page)

    def note(self, *key: str) -> None:
        """Note that the page shows what is under this key."""
        if key not in self._into:
            self._into[key] = digest_of(self._manual, key)

    def note_entity(self, name: str) -> None:
        """Note that the page shows the entity with this id, or that there is none."""
        self.note("entity", self._page, name)

    def note_place(self, name: str) -> None:
        """Note that the page tells where the thing with this id stands in the car."""
        self.note("place", self._page, name)

    def scope(self) -> Scope:
        """The page's scope, which notes what is looked up in it."""
        return _NotingScope(self._manual.scope(self._page), self)

    def note_kind(self, kind: str) -> None:
        """Note that the page shows all entities of a kind that it can see."""
        self.note("kind", self._page, kind)


class _NotingScope(Scope):
    """A scope that notes each look-up."""

    __slots__ = ("_inner", "_shown")

    def __init__(self, inner: Scope, shown: Shown) -> None:
        super().__init__(())
        self.pages = inner.pages
        self._levels = inner._levels
        self._inner = inner
        self._shown = shown

    def get(self, name: str) -> Entity | None:
        self._shown.note_entity(str(name))
        return self._inner.get(name)

    def all(self, kind: type[E]) -> tuple[E, ...]:
        self._shown.note_kind(kind.KIND)
        return self._inner.all(kind)

    def each_hazard(self) -> Iterator[Hazard]:
        self._shown.note_kind(Hazard.KIND)
        return self._inner.each_hazard()

    @property
    def calls(self) -> Calls:
        self._shown.note_kind(Hazard.KIND)
        return self._inner.calls


def shown_by_page(env: BuildEnvironment) -> dict[str, dict[Key, str]]:
    """What each page (by docname) showed when it was last read; kept with Sphinx's environment."""
    if not hasattr(env, "procedures_shown"):
        env.procedures_shown = {}  # type: ignore[attr-defined]
    found: dict[str, dict[Key, str]] = env.procedures_shown  # type: ignore[attr-defined]
    return found


def shown_on(env: BuildEnvironment, site: Site, docname: str) -> Shown:
    """Return the notebook of a page that is being read."""
    into = shown_by_page(env).setdefault(docname, {})
    return Shown(site.manual, f"{docname}.md", into)


def add_rebuilding(app: Sphinx, site: Site) -> None:
    """Have pages re-read when an entity that they show has changed, and only then."""

    def outdated(_app: Sphinx, env: BuildEnvironment, *_: AbstractSet[str]) -> list[str]:
        seen: dict[Key, str] = {}

        def now(key: Key) -> str:
            if key not in seen:
                seen[key] = digest_of(site.manual, key)
            return seen[key]

        def is_other(docname: str, shown: dict[Key, str]) -> bool:
            scope = ("scope", f"{docname}.md")
            same = now(scope) == shown[scope]
            return any(
                now(key) != digest
                for key, digest in shown.items()
                if key != scope and not (same and key[0] in OF_SCOPE)
            )

        pages = shown_by_page(env).items()
        return sorted(docname for docname, shown in pages if is_other(docname, shown))

    app.connect("env-get-outdated", outdated)
    app.connect("env-purge-doc", _purge)
    app.connect("env-merge-info", _merge)


def _purge(_app: Sphinx, env: BuildEnvironment, docname: str) -> None:
    shown_by_page(env).pop(docname, None)


def _merge(_app: Sphinx, env: BuildEnvironment, docnames: AbstractSet[str], other: Any) -> None:
    theirs = shown_by_page(other)
    shown_by_page(env).update({name: theirs[name] for name in docnames if name in theirs})
