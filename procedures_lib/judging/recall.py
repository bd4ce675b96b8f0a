"""Which jobs were done to a number, an order or a part that has changed since."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from procedures_lib.findings import Place
from procedures_lib.judging.compare import Act, Change, Comparison, Group
from procedures_lib.judging.compare.change import Thing, Unread, Use
from procedures_lib.judging.compare.concerned import Concerned
from procedures_lib.judging.compare.side import Side
from procedures_lib.judging.records.job import Job
from procedures_lib.judging.records.sheet import Sheet, sheet_of
from procedures_lib.language.entities.car import Vehicle
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.work import Procedure
from procedures_lib.manual import Manual

RECALLED = frozenset({Group.JOINTS, Group.SAFETY, Group.NUMBERS, Group.BOX})
"""Groups of changes after which one may have to look at the cars again."""

_KINDS = frozenset({"fastener", "part", "connection", "fluid", "kit", "step"})
_SILENT = frozenset({Act.MOVED, Act.RENAMED, Act.REWORDED})
_HEADS: tuple[type[Procedure | Kit | Vehicle], ...] = (Procedure, Kit, Vehicle)

OLD, OTHER, UNKNOWN, NOT_COMPARED = "old", "other", "unknown", "not-compared"
DONE_TO = {
    OLD: "done to the old state",
    OTHER: "done to another state than either",
    UNKNOWN: "the record can't tell: look at the car",
    NOT_COMPARED: "not compared",
}


@dataclass(frozen=True, slots=True)
class Concern:
    """What cars may have to be looked at for: a change, or what could not be compared.

    ``procedures`` brought it onto cars, by their names in both states; ``ids`` is what the thing
    is called in them. ``why`` says what kept it from being compared, "" where it was.
    """

    change: Change
    procedures: frozenset[str]
    ids: frozenset[str] = frozenset()
    why: str = ""
    side: str = ""


@dataclass(frozen=True, slots=True)
class Recalled:
    """A job that has to be looked at again because of a change.

    ``done_to`` is a key of :data:`DONE_TO`; ``readings`` are what was read at the joint, in words.
    """

    job: Job
    concern: Concern
    done_to: str
    readings: tuple[str, ...] = ()

    @property
    def change(self) -> Change:
        """The change, or what stands for what could not be compared."""
        return self.concern.change


def recall(
    concerns: Iterable[Concern],
    jobs: Iterable[Job],
    old: Manual,
    new: Manual,
    renamed: Mapping[str, str] | None = None,
) -> list[Recalled]:
    """Return the jobs that :func:`concerns_of` two states concern, by car and day.

    A job is left out when its own sheet says what the new state says, or when the joint is not on
    its car. One whose record can't tell is named, and not passed over; so is one done by something
    that could not be compared. ``renamed`` has the old names of procedures by their new ones.
    """
    known = list(concerns)
    after_names = {before: after for after, before in (renamed or {}).items()}
    pairs: dict[str, tuple[Sheet | None, Sheet | None]] = {}
    for name in {name for each in known for name in each.procedures}:
        before = (renamed or {}).get(name, name)
        pairs[name] = _sheet(old, before), _sheet(new, after_names.get(before, before))
    found: list[Recalled] = []
    for job in jobs:
        for concern in known:
            if job.record.procedure in concern.procedures:
                found += _judged(job, concern, *pairs[job.record.procedure])
    return sorted(found, key=lambda each: (each.job.vehicle, str(each.job.day), each.job.name))


# -- what cars are looked at for ---------------------------------------------------------------


def renamed_procedures(comparison: Comparison) -> dict[str, str]:
    """Return the old names of the procedures that have another one now, by their new ones."""
    return {change.thing.id: change.old for change in comparison.changes
            if change.topic == "id" and change.thing.kind == Procedure.KIND}  # fmt: skip


def concerns_of(comparison: Comparison, old: Manual, new: Manual) -> list[Concern]:
    """Return what cars may have to be looked at for after a change from one state to the other.

    What could not be read in one of them comes first, then what the new one has no more.
    """
    names = renamed_procedures(comparison)
    sides = Concerned(Side(old)), Concerned(Side(new))
    found = [_unread(each, sides, names) for each in _once(comparison.unread)]
    found += _withdrawn(comparison, old, new, sides[0])
    ids = {(change.place.page, change.thing.kind, change.thing.id): change.old
           for change in comparison.changes if change.topic == "id"}  # fmt: skip
    for change in filter(matters, comparison.changes):
        thing = change.thing
        before = ids.get((change.place.page, thing.kind, thing.id), thing.id)
        used = _procedures_of(change, before, old, sides[0])
        found.append(Concern(change, _in_both(used, names), frozenset({thing.id, before})))
    return found


def matters(change: Change) -> bool:
    """Tell whether cars may have to be looked at after a change: not for a word or a name."""
    told = change.group in RECALLED and change.thing.kind in _KINDS
    return told and not change.same and change.act not in _SILENT


def _in_both(used: Collection[str], names: Mapping[str, str]) -> frozenset[str]:
    """Procedures by their names in both states."""
    both = ({after, before} for after, before in names.items())
    return frozenset(used).union(*(pair for pair in both if not pair.isdisjoint(used)))


def _procedures_of(change: Change, id_before: str, old: Manual, side: Concerned) -> set[str]:
    """The procedures of both states by which a change came onto cars."""
    place = change.was or change.place
    as_it_was = replace(change, place=place, thing=replace(change.thing, id=id_before))
    entity = side.entity(as_it_was)
    used = _named([*change.used, *(side.of_thing(entity) if entity else ())])
    if not used and change.kits:
        used = {str(plan.head.id) for plan in old.plans()
                if plan.kit and str(plan.kit.id) in change.kits}  # fmt: skip
    if not used and change.thing.kind == "step":
        used = {str(head.id) for head in old.heads(Procedure) if head.place.page == place.page}
    return used


def _named(uses: Iterable[Use]) -> set[str]:
    return {str(use.procedure) for use in uses}


def _once(unread: Iterable[Unread]) -> list[Unread]:
    """Of what stands at one line, the thing that is lost by it, with what is wrong there."""
    found: dict[tuple[Place, str], Unread] = {}
    for each in unread:
        other = found.setdefault((each.place, each.side), each)
        if other is not each:
            thing, fault = (each, other) if each.what.startswith("`") else (other, each)
            found[each.place, each.side] = replace(thing, why=fault.why)
    return list(found.values())


def _unread(each: Unread, sides: tuple[Concerned, Concerned], names: Mapping[str, str]) -> Concern:
    thing = Thing("page", each.place.page, each.what)
    change = Change(Group.PAGES, each.place, "unread", thing, Act.CHANGED)
    own = sides[each.side == "new"].side.manual
    used: set[str] = set()
    for side in sides:
        content = side.side.manual.contents.get(each.place.page)
        entities = content.entities if content else ()
        if each.what == "a field" and side.side.manual is own:
            above = [one for one in entities if one.place.line <= each.place.line]
            lost = above[-1:]
        else:
            lost = [one for one in entities if f"`{one.id}`" == each.what]
        used |= _users(lost, side)
    for side in sides if not used else ():
        content = side.side.manual.contents.get(each.place.page)
        heads = [one for one in content.entities if isinstance(one, _HEADS)] if content else []
        used |= _users(heads, side) | _named(side.of_page(each.place.page))
    return Concern(change, _in_both(used, names), why=each.why, side=each.side)


def _users(entities: Iterable[Entity], side: Concerned) -> set[str]:
    return {name for each in entities for name in _named(side.of_thing(each))}


def _withdrawn(
    comparison: Comparison, old: Manual, new: Manual, side: Concerned
) -> Iterator[Concern]:
    """Yield the procedures, kits and cars that the new state has under no name and on no page."""
    gone = {(change.thing.kind, change.old) for change in comparison.changes
            if change.topic == "id"}  # fmt: skip
    unread = {each.place.page for each in comparison.unread if each.side == "new"}
    for kind in _HEADS:
        for head in old.heads(kind):
            known = (kind.KIND, str(head.id)) in gone or new.head(kind, head.id) is not None
            if not known and head.place.page not in unread:
                thing = Thing(kind.KIND, str(head.id))
                change = Change(Group.PAGES, head.place, kind.KIND, thing, Act.DROPPED)
                why = "the new state has it no more"
                yield Concern(change, frozenset(_users([head], side)), why=why, side="old")


# -- jobs --------------------------------------------------------------------------------------


def _sheet(manual: Manual, name: str) -> Sheet | None:
    head = manual.head(Procedure, name)
    return sheet_of(manual.plan(head), head.revision) if head else None


def _judged(
    job: Job, concern: Concern, before: Sheet | None, after: Sheet | None
) -> Iterator[Recalled]:
    if concern.why:
        yield Recalled(job, concern, NOT_COMPARED)
        return
    known = {sheet.digest: sheet for sheet in (after, before) if sheet}
    sheet = job.sheet or known.get(job.record.digest)
    sheets = [sheet] if sheet else list(known.values())
    if sheets and not any(_on_car(job, concern, each) for each in sheets):
        return
    done_to = _done_to(job, sheet, concern, before, after)
    if done_to:
        yield Recalled(job, concern, done_to, tuple(_readings(job, concern)))


def _on_car(job: Job, concern: Concern, sheet: Sheet) -> bool:
    asked = [each for each in sheet.readings if each.joint in concern.ids]
    return not asked or any(sheet.is_for(each.when, job.record.car) is not False for each in asked)


def _done_to(
    job: Job, sheet: Sheet | None, concern: Concern, before: Sheet | None, after: Sheet | None
) -> str:
    old, new = _said(before, concern), _said(after, concern)
    if sheet is not None and old != new:
        mine = _said(sheet, concern)
        return OLD if mine == old else "" if mine == new else OTHER
    letter = job.record.revision
    if before is None or (after is not None and before.revision == after.revision):
        return UNKNOWN
    if letter == before.revision:
        return OLD
    return "" if after is not None and letter == after.revision else UNKNOWN


def _said(sheet: Sheet | None, concern: Concern) -> list[tuple[str, ...]]:
    """What a sheet says of the thing that changed; [] where sheets say nothing of such things."""
    if sheet is None:
        return []
    thing, ids = concern.change.thing, concern.ids
    said: list[tuple[str, ...]]
    said = [(str(each.stage), each.wanted, each.order, str(each.count))
            for each in sheet.readings if each.joint in ids]  # fmt: skip
    said += [(item.number, item.packed) for item in sheet.items if item.what in ids]
    if thing.kind == "kit":
        said += [(item.what, item.number, item.packed) for item in sheet.items]
    if thing.kind == "step":
        said += [(step.digest,) for step in sheet.steps if thing.name in {step.title}]
    return said


def _readings(job: Job, concern: Concern) -> Iterator[str]:
    for reading in job.record.readings:
        if reading.joint in concern.ids:
            tool = f" with {reading.wrench}" if reading.wrench else ""
            who = f" by {reading.initials}" if reading.initials else ""
            yield f"stage {reading.stage}: {reading.value} {reading.unit}{tool}{who}"
