"""What stands beside the pages, compared: data files and pictures by content, the shop's file."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence

from procedures_lib.findings import Place
from procedures_lib.judging.compare.change import Act, Change, Group, Thing, act_of, text_change
from procedures_lib.judging.compare.entity_changes import differing, thing_of
from procedures_lib.judging.compare.renamed_things import Matches
from procedures_lib.judging.compare.rows import Entry, gone_and_come, paired
from procedures_lib.judging.compare.side import texts_of
from procedures_lib.language.entities.dyno_session import DynoSession
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.picture import Picture
from procedures_lib.language.reading.page import Page
from procedures_lib.manual.shop import SHOP_PAGE, AngleGauge, Shop, TorqueWrench

Digest = Callable[[str, str], str]
"""From a page and a file's name on it to a hash of what the file holds; "" for none."""


def file_changes(matches: Matches, before: Digest, after: Digest) -> Iterator[Change]:
    """Yield the pulls and pictures whose file has the same name and holds something else."""
    yield from _pulls(matches.pairs, before, after)
    yield from _marked(matches.pairs, before, after)
    for old_name, new_name in matches.pages.items():
        old = matches.old.manual.contents[old_name].page
        new = matches.new.manual.contents[new_name].page
        if old.pointers and new.pointers:
            yield from _pictures(old, new, before, after)


def _pulls(
    pairs: Iterable[tuple[Entity, Entity]], before: Digest, after: Digest
) -> Iterator[Change]:
    """Yield the pulls whose file has the same name in both states and holds something else."""
    for old, new in pairs:
        if not isinstance(old, DynoSession) or not isinstance(new, DynoSession):
            continue
        known = {str(pull.pull): pull for pull in (*old.before, *old.after)}
        for pull in (*new.before, *new.after):
            name = str(pull.pull)
            if name not in known:
                continue
            was, now = before(old.place.page, name), after(new.place.page, name)
            if was != now:
                note = "its samples differ" if was and now else ""
                yield Change(Group.NUMBERS, pull.place, "data file", Thing("pull", name),
                             act_of(was, now), name if was else "", name if now else "", note,
                             known[name].place)  # fmt: skip


def _marked(
    pairs: Iterable[tuple[Entity, Entity]], before: Digest, after: Digest
) -> Iterator[Change]:
    """Yield the pictures with points whose file of the same name shows something else."""
    for old, new in pairs:
        if not isinstance(old, Picture) or not isinstance(new, Picture) or old.file != new.file:
            continue
        if before(old.place.page, old.file) != after(new.place.page, new.file):
            yield Change(Group.THINGS, new.place, "picture", thing_of(new), Act.CHANGED, old.file,
                         new.file, "another picture, on which its points may lie elsewhere",
                         old.place)  # fmt: skip


def _pictures(old: Page, new: Page, before: Digest, after: Digest) -> Iterator[Change]:
    known = {each.target: each for each in old.pointers if each.kind == "picture"}
    shown = {each.target: each for each in new.pointers if each.kind == "picture"}
    for name, picture in shown.items():
        if name in known and before(old.name, name) != after(new.name, name):
            was = Place(old.name, known[name].line)
            yield Change(Group.THINGS, Place(new.name, picture.line), "picture",
                         Thing("picture", name), Act.CHANGED, name, name, "another picture",
                         was)  # fmt: skip
    places = [[Entry(Thing("picture", name), Place(page.name, each.line), name)
               for name, each in pictures.items()]
              for page, pictures in ((old, known), (new, shown))]  # fmt: skip
    pairs = paired(list(known), list(shown))
    yield from gone_and_come(places[0], places[1], pairs, Group.THINGS, "picture")


# -- the shop's file ---------------------------------------------------------------------------

_TOOLS = ("torque_wrenches", "angle_gauges")
_WORDS = frozenset({"name", "manual", "notice", "address", "invented", "drive", "step"})
Tool = TorqueWrench | AngleGauge


def shop_changes(old: Shop, new: Shop) -> Iterator[Change]:
    """Yield how two shop files differ; nothing when one of the states has none."""
    if old == new or not (old.model_fields_set and new.model_fields_set):
        return
    alone = [shop.model_copy(update=dict.fromkeys(_TOOLS, ())) for shop in (old, new)]
    yield from _shop_fields(alone[0], alone[1], Thing("shop"))
    for field in _TOOLS:
        yield from _tools(getattr(old, field), getattr(new, field))


def _tools(old: Sequence[Tool], new: Sequence[Tool]) -> Iterator[Change]:
    pairs = paired([str(each.id) for each in old], [str(each.id) for each in new])
    for a, b in pairs:
        yield from _shop_fields(old[a], new[b], _tool(new[b]))
    rows = [[Entry(_tool(each), _PLACE, each.name) for each in tools] for tools in (old, new)]
    yield from gone_and_come(rows[0], rows[1], pairs, Group.NUMBERS, "shop tool")


_PLACE = Place(SHOP_PAGE, 1)


def _tool(tool: Tool) -> Thing:
    kind = "torque wrench" if isinstance(tool, TorqueWrench) else "angle gauge"
    return Thing(kind, str(tool.id), tool.name)


def _shop_fields(old: Shop | Tool, new: Shop | Tool, thing: Thing) -> Iterator[Change]:
    for field, before, after in differing(texts_of(old), texts_of(new)):
        words = field in _WORDS or field.startswith("archive ")
        group = Group.PAPERS if words else Group.NUMBERS
        yield from text_change(group, field, thing, (before, after), (_PLACE, _PLACE))
