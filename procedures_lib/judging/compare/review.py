"""What a reviewer has to ask about: numbers that changed, and neither revision nor source did."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator

from procedures_lib.findings import Finding
from procedures_lib.judging.compare.change import JOINT_TOPICS, Act, Change
from procedures_lib.judging.compare.renamed_things import Matches
from procedures_lib.judging.compare.side import key_of, spaced_once
from procedures_lib.judging.compare.witnesses import rows_by_thing
from procedures_lib.language.entities.car import Fastener, Fluid
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.work import Procedure
from procedures_lib.manual import Manual

REVIEW = {
    "changed-without-revision": "what a procedure or kit prints changed, and its revision did not",
    "changed-without-source": "a torque, stage or order changed, and nothing says where it is from",
}
"""The findings of a comparison: they need two states, and are no checks of one manual."""
_OF_A_STEP = ("tightening", "order of tightening")
_PRINTED = {
    Fastener.KIND: JOINT_TOPICS
    | {"condition", "reuse", "class", "thread", "count", "turns", "at", "recheck", "with"},
    Fluid.KIND: frozenset({"quantity", "spec", "drain", "fill", "bleed"}),
}
"""What of a thing a procedure prints for whoever works on it."""


def review(changes: Iterable[Change], matches: Matches) -> Iterator[Finding]:
    """Yield what is wrong about changes of torques, stages and orders."""
    told = list(changes)
    joints = [change for change in told if _of_a_joint(change)]
    printed = [change for change in told if _is_printed(change)]
    yield from _without_revision(joints, printed, matches)
    yield from _without_source(joints, matches)


def _is_printed(change: Change) -> bool:
    """Tell whether a change is one of what procedures print of a thing of a car or kit."""
    silent = change.same or change.act in {Act.MOVED, Act.RENAMED}
    return not silent and change.topic in _PRINTED.get(change.thing.kind, ())


def _of_a_joint(change: Change) -> bool:
    """Tell whether a change is one of a joint's numbers, or of a step's tightening."""
    if change.topic == "order of tightening":
        return True
    if change.same or change.act is Act.MOVED:
        return False
    return change.topic == "tightening" or (
        change.topic in JOINT_TOPICS and change.thing.kind == Fastener.KIND
    )


# -- revision ----------------------------------------------------------------------------------


def _without_revision(
    joints: list[Change], printed: list[Change], matches: Matches
) -> Iterator[Finding]:
    """Yield the kits and procedures that keep their revision although what they print changed."""
    pairs = {id(new): old for old, new in matches.pairs}
    told: dict[int, list[Change]] = defaultdict(list)
    heads: dict[int, Procedure | Kit] = {}
    asked = [(change, head) for change in joints for head in _heads_of(change, matches)]
    asked += [(change, head) for change in printed for head in _printing(change, matches)]
    for change, head in asked:
        old = pairs.get(id(head))
        stays = isinstance(old, Procedure | Kit) and head.revision in {old.revision, ""}
        if stays and change not in told[id(head)]:
            told[id(head)].append(change)
            heads[id(head)] = head
    for key, found in told.items():
        if found:
            yield _stays(heads[key], found, matches)


def _heads_of(change: Change, matches: Matches) -> list[Procedure | Kit]:
    """The heads on a number's own page: the procedures that use it, or else the kits."""
    page = change.place.page
    if change.act is Act.DROPPED and change.topic == "tightening":
        page = matches.pages.get(page, page)
    on_page = list(matches.new.manual.entities_on(page).values())
    procedures: list[Procedure | Kit] = [e for e in on_page if isinstance(e, Procedure)]
    if change.topic in _OF_A_STEP:
        return procedures
    users = {use.procedure for use in change.used}
    return [p for p in procedures if p.id in users] or [e for e in on_page if isinstance(e, Kit)]


def _printing(change: Change, matches: Matches) -> Iterator[Procedure | Kit]:
    """Yield the procedures that print what changed, on whatever page it stands."""
    for use in change.used:
        head = matches.new.manual.head(Procedure, use.procedure)
        if head is not None:
            yield head


def _stays(head: Procedure | Kit, changes: list[Change], matches: Matches) -> Finding:
    things = ", ".join(dict.fromkeys(f"{c.topic} of `{c.thing.id or c.thing.name}`"
                                     for c in changes))  # fmt: skip
    stays = f"the revision stays {head.revision}" if head.revision else "it has no revision"
    return Finding(
        matches.new.place(head.place, "revision"),
        "changed-without-revision",
        f"{things} changed, and {stays} in the {head.KIND} `{head.id}`",
        f"write `revision: {next_letter(head.revision)}`: who has the old page must see that it is",
        related=tuple(sorted({change.place for change in changes})),
    )


def next_letter(revision: str) -> str:
    """Return the revision after one: B after A, 8 after 7; B for none, ``…`` when unclear."""
    if not revision:
        return "B"
    if revision.isascii() and revision.isdigit() and len(revision) < 9:
        return str(int(revision) + 1)
    last = revision[-1]
    if last.isascii() and last.isalpha() and last.lower() != "z":
        return revision[:-1] + chr(ord(last) + 1)
    return "…"


# -- source ------------------------------------------------------------------------------------


def _without_source(joints: list[Change], matches: Matches) -> Iterator[Finding]:
    by_joint: dict[tuple[str, str], list[Change]] = defaultdict(list)
    for change in joints:
        if change.topic not in _OF_A_STEP:
            by_joint[change.thing.id, change.place.page].append(change)
    pairs = {(new.id, new.place.page): (old, new) for old, new in matches.pairs}
    for key, found in by_joint.items():
        old, new = pairs.get(key, (None, None))
        if isinstance(old, Fastener) and isinstance(new, Fastener) and new.how_tight:
            finding = _source(old, new, found, matches)
            if finding:
                yield finding


def _source(
    old: Fastener, new: Fastener, changes: list[Change], matches: Matches
) -> Finding | None:
    """Return what is wrong with the source of a joint that changed, None when it is confirmed.

    It is confirmed when its text is another, such as another issue or the day it was read again, or
    when a row of double entry has changed with it.
    """
    confirmed = new.source and spaced_once(new.source) != spaced_once(old.source)
    if confirmed or _typed_again(old, new, matches):
        return None
    what = " and ".join(dict.fromkeys(change.topic for change in changes))
    stays = f"its source stays `{new.source}`" if new.source else "it names no source"
    return Finding(
        matches.new.place(new.place, "source"),
        "changed-without-source",
        f"{what} of `{new.id}` changed, and {stays}",
        "name the issue or page that it is from, or add when it was read again "
        "(`…, read again 2026-09-14`), or type it as the source prints it in an `{expect}` row",
        related=tuple(sorted({change.place for change in changes})),
    )


def _typed_again(old: Fastener, new: Fastener, matches: Matches) -> bool:
    """Tell whether double entry has a row for the joint that was not there before."""
    before = _rows(matches.old.manual, old)
    return bool(_rows(matches.new.manual, new) - before)


def _rows(manual: Manual, joint: Fastener) -> set[tuple[str, str]]:
    """The rows of double entry that are about a joint: source and text."""
    rows = rows_by_thing(manual).get(key_of(joint), ())
    return {(spaced_once(expect.source), spaced_once(row.text)) for expect, row in rows}
