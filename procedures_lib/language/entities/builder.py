"""The blocks of a page to typed entities, steps, double entry and derived blocks."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from procedures_lib.findings import Place, SlipError
from procedures_lib.language.entities.car import Connection, Fastener, Fluid, Opening, Part, Vehicle
from procedures_lib.language.entities.dyno_session import DynoSession, Pull
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.expected import read_expect
from procedures_lib.language.entities.field_reader import FieldReader
from procedures_lib.language.entities.field_types import kebab, read_id
from procedures_lib.language.entities.hazard import Hazard
from procedures_lib.language.entities.kit import CONTENT_KINDS, ContentItem, Kit
from procedures_lib.language.entities.known_hazards import with_known
from procedures_lib.language.entities.picture import Picture
from procedures_lib.language.entities.verbs import read_action
from procedures_lib.language.entities.work import (
    Common,
    CommonStepsOptions,
    Content,
    Derived,
    DerivedOptions,
    Expect,
    Job,
    Procedure,
    Rule,
    RuleOptions,
    Sample,
    SampleOptions,
    Signal,
    SignalOptions,
    Step,
    StepOptions,
)
from procedures_lib.language.reading.block_kinds import BLOCK_KINDS, SIGNAL_WORDS, Body
from procedures_lib.language.reading.page import Block, Page, Scalar, Tree, line_of

COLLECTIONS: dict[str, type[Entity]] = {
    "parts": Part,
    "connections": Connection,
    "openings": Opening,
    "fasteners": Fastener,
    "fluids": Fluid,
    "hazards": Hazard,
}
HEADS: dict[str, type[Entity]] = {
    "vehicle": Vehicle,
    "kit": Kit,
    "procedure": Procedure,
    "common": Common,
    "job": Job,
    "dyno-session": DynoSession,
}
WORK_HEADS = ("procedure", "common")


def build(page: Page) -> Content:
    """Type all blocks of a page; never raises: what is wrong is among the findings."""
    builder = _Builder(page)
    for block in page.blocks:
        builder.take(block)
    return builder.content()


class _Builder:
    def __init__(self, page: Page) -> None:
        self._page = page
        self._reader = FieldReader(page.name)
        self._entities: list[Entity] = []
        self._lost: set[str] = set()
        self._lost_heads: set[str] = set()
        self._damaged: set[str] = set()
        self._expects: list[Expect] = []
        self._derived: list[Derived] = []
        self._samples: list[Sample] = []
        self._signals: list[Signal] = []
        self._work: dict[str, list[Step]] = {}
        self._headless: list[Step] = []
        self._misplaced: list[Block] = []
        self._head = ""

    def take(self, block: Block) -> None:
        """Read one block that stands on the page itself or inside a container."""
        kind = BLOCK_KINDS[block.name]
        if block.name in HEADS:
            self._take_head(block)
        elif block.name in COLLECTIONS:
            self._take_collection(block)
        elif block.name == "picture":
            self._take_picture(block)
        elif block.name == "expect":
            self._expects.append(read_expect(block, self._reader))
        elif kind.body is Body.TEXT:
            self._take_text(block)
        elif kind.body is Body.SAMPLE:
            options = self._options(SampleOptions, block)
            self._samples.append(Sample(block, options))
        elif kind.body is Body.DERIVED:
            self._derived.append(Derived(block, self._options(DerivedOptions, block)))
        if block.name != "step":
            for inner in block.blocks:
                self.take(inner)

    def content(self) -> Content:
        if self._headless and not self._work:
            line = self._headless[0].place.line
            hint = "put a `{procedure}` or `{common}` block above the first step"
            self._reader.find(line, "step-without-head", "this step belongs to no procedure", hint)
        elif self._headless:
            first = next(iter(self._work))
            self._work[first] = self._headless + self._work[first]
        return Content(
            self._page,
            tuple(self._entities),
            tuple((head, tuple(steps)) for head, steps in self._work.items()),
            tuple(self._expects),
            tuple(self._derived),
            tuple(self._samples),
            tuple(self._signals),
            frozenset(self._lost),
            frozenset(self._lost_heads),
            frozenset(self._damaged),
            tuple(self._reader.findings),
        )

    # -- entities ------------------------------------------------------------------------------

    def _take_head(self, block: Block) -> None:
        line = block.place.line
        before = len(self._reader.findings)
        head = self._id(block.argument or self._id_of_page(), line) or self._id_of_page()
        if block.name in WORK_HEADS:
            self._head = head
            self._work.setdefault(head, [])
        data = block.data
        if isinstance(data, dict):
            data = self._with_lists(block.name, data)
        what = f"{_a(block.name)} block"
        model = HEADS[block.name]
        entity = self._reader.model(
            model, data, line, what, block.lost, id=str(head), place=block.place
        )
        self._keep(head, entity, damaged=not block.readable or len(self._reader.findings) > before)
        if entity is None:
            self._lost_heads.add(str(head))

    def _with_lists(self, name: str, data: dict[Scalar, Tree]) -> dict[Scalar, Tree]:
        """Read the lists of mappings of a kit or dyno session, item by item."""
        changed: dict[Scalar, Any] = dict(data)
        for key, value in data.items():
            if name == "kit" and key == "contents":
                changed[key] = self._contents(value, key)
            elif name == "dyno-session" and key in {"before", "after"}:
                changed[key] = self._items(Pull, value, key, "a pull")
        return changed

    def _contents(self, value: Tree, key: Scalar) -> tuple[ContentItem, ...]:
        items: list[ContentItem] = []
        for item in value if isinstance(value, list) else [value]:
            line = line_of(item, key.line)
            named = [kind for kind in CONTENT_KINDS if isinstance(item, dict) and kind in item]
            if isinstance(item, dict) and len(named) != 1:
                self._reader.find(line, "missing-field", "an item of the kit is exactly one thing",
                                  f"name one of: {', '.join(CONTENT_KINDS)}")  # fmt: skip
                self._lost.update(str(text) for text in item.values() if isinstance(text, Scalar))
                continue
            made = self._items(ContentItem, [item], key, "an item of a kit")
            items += [one for one in made if any(getattr(one, kind) for kind in CONTENT_KINDS)]
        return tuple(items)

    def _items(self, model: type[Any], value: Tree, key: Scalar, what: str) -> tuple[Any, ...]:
        found = []
        for item in value if isinstance(value, list) else [value]:
            line = line_of(item, key.line)
            one = self._reader.model(model, item, line, what, place=Place(self._page.name, line))
            if one is not None:
                found.append(one)
        return tuple(found)

    def _take_collection(self, block: Block) -> None:
        model = COLLECTIONS[block.name]
        entries = self._reader.mapping(block.data, block.place.line, f"a {block.name} block")
        self._lost.update(block.lost)
        for key, tree in entries.items():
            name = self._id(key, key.line)
            if not name:
                continue
            place = Place(self._page.name, key.line)
            what = f"the {model.KIND} `{name}`"
            said = with_known(str(name), tree, key.line, self._reader) if model is Hazard else tree
            before = len(self._reader.findings)
            entity = self._reader.model(model, said, key.line, what, id=str(name), place=place)
            self._keep(name, entity, damaged=len(self._reader.findings) > before)

    def _keep(self, name: Scalar, entity: Entity | None, *, damaged: bool) -> None:
        if entity is None:
            self._lost.add(str(name))
        else:
            self._entities.append(entity)
        if damaged:
            self._damaged.add(str(name))

    def _id(self, text: Scalar, line: int) -> Scalar:
        """Return an id; of a text that is none, with a finding, the id nearest to it."""
        try:
            return read_id(text)
        except SlipError as error:
            self._reader.find(line, "bad-id", error.message, error.hint)
            return Scalar(kebab(text), line)

    def _id_of_page(self) -> Scalar:
        """The id for a head that has none, which is a finding of the reader."""
        return Scalar(kebab(self._page.docname.rpartition("/")[2]) or "page")

    def _take_picture(self, block: Block) -> None:
        """Read a picture; one without a word inside shows again what is described elsewhere."""
        if block.data is None and block.readable:
            self._derived.append(Derived(block, DerivedOptions()))
            return
        line, before = block.place.line, len(self._reader.findings)
        name = self._id(block.argument, line) if block.argument else Scalar("")
        picture = self._reader.model(Picture, block.data, line, "a picture block", block.lost,
                                     id=str(name), place=block.place)  # fmt: skip
        whole = block.readable and len(self._reader.findings) == before
        if name:
            self._keep(name, picture, damaged=not whole)

    # -- text blocks ---------------------------------------------------------------------------

    def _options(self, model: type[Any], block: Block) -> Any:
        what = f"{_a(block.name)} block"
        options = self._reader.model(model, block.data, block.place.line, what)
        return options if options is not None else model()

    def _take_text(self, block: Block) -> None:
        if block.name in SIGNAL_WORDS:
            self._signals.append(self._signal(block))
        elif block.name == "rule":
            self._take_rule(block)
        else:
            self._take_step(block)

    def _take_rule(self, block: Block) -> None:
        line = block.place.line
        before = len(self._reader.findings)
        name = self._id(block.argument, line) if block.argument else Scalar("")
        options: RuleOptions = self._options(RuleOptions, block)
        if not block.body.strip():
            self._reader.find(line, "missing-field", f"the rule `{name}` says nothing",
                              "write its sentence below the options")  # fmt: skip
        for inner in block.blocks:
            self._reader.find(inner.place.line, "unreadable-block",
                              f"`{{{inner.name}}}` can't stand inside a rule",
                              "move it out of the rule")  # fmt: skip
        if name:
            said = {field: getattr(options, field) for field in options.model_fields_set}
            rule = Rule(id=str(name), place=block.place, text=block.body, **said)
            whole = block.readable and len(self._reader.findings) == before
            self._keep(name, rule, damaged=not whole)

    def _take_step(self, block: Block) -> None:
        steps = self._work[self._head] if self._head else self._headless
        if block.name == "common-steps":
            when = self._options(CommonStepsOptions, block).when
            steps.append(Step("", block.place, block, when=when, common=block.argument))
        else:
            steps.append(self._step(block))
        misplaced, self._misplaced = self._misplaced, []
        for one in misplaced:
            self.take(one)

    def _step(self, block: Block) -> Step:
        before = len(self._reader.findings)
        options: StepOptions = self._options(StepOptions, block)
        whole = block.readable and len(self._reader.findings) == before
        actions = [(text, read_action(text, self._reader)) for text in options.do]
        inner = list(_signals_and_others(block))
        for one in inner:
            if one.name == "picture":
                self._take_picture(one)
            elif BLOCK_KINDS[one.name].body is Body.DERIVED:
                self._derived.append(Derived(one, self._options(DerivedOptions, one)))
            elif one.name not in SIGNAL_WORDS:
                self._reader.find(one.place.line, "unreadable-block",
                                  f"`{{{one.name}}}` can't stand inside a step",
                                  "move it out of the step")  # fmt: skip
                self._misplaced.append(one)
        return Step(
            title=str(block.argument),
            place=block.place,
            id=str(options.id or ""),
            actions=tuple(action for _, action in actions if action is not None),
            unread=tuple(text for text, action in actions if action is None)
            or (() if whole else (block.argument,)),
            tools=tuple(str(tool).strip() for tool in options.tools),
            supplies=tuple(str(supply).strip() for supply in options.supplies),
            people=options.people,
            time=options.time,
            when=options.when,
            hazards=options.hazards,
            signals=tuple(self._signal(one) for one in inner if one.name in SIGNAL_WORDS),
            pictures=tuple(str(one.argument) for one in inner if one.name == "picture"),
            block=block,
        )

    def _signal(self, block: Block) -> Signal:
        options: SignalOptions = self._options(SignalOptions, block)
        return Signal(
            word=block.name.upper(),
            title=str(block.argument),
            hazard=options.hazard or "",
            place=block.place,
            text=block.body,
            when=options.when,
        )


def _signals_and_others(block: Block) -> Iterator[Block]:
    """Yield the blocks inside a step, those inside its signal words too."""
    for inner in block.blocks:
        yield inner
        if inner.name in SIGNAL_WORDS:
            yield from _signals_and_others(inner)


def _a(name: str) -> str:
    return f"{'an' if name[0] in 'aeiou' else 'a'} {name}"
