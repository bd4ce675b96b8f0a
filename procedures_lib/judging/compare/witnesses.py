"""What a changed number or sentence can be held against: its double entry, its source."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping

from procedures_lib.judging.compare.change import JOINT_TOPICS, Change
from procedures_lib.judging.compare.renamed_things import Matches
from procedures_lib.judging.compare.side import Key, key_of
from procedures_lib.language.entities.car import Fastener
from procedures_lib.language.entities.entity import Entity
from procedures_lib.language.entities.hazard import Hazard
from procedures_lib.language.entities.work import Expect, ExpectRow, Rule
from procedures_lib.manual import Manual, NumberedStep, Plan

NUMBERS = JOINT_TOPICS | {"quantity", "recheck", "spec", "needs fuel"}
"""Topics of numbers of things that a source prints."""
_NAMES_A_PAGE = re.compile(
    r"\b(?:page|pages|p\.|pp\.|sheet|table|figure|fig\.|section|chapter|clause|paragraph|rule|step|"
    r"drawing|card)\s*[\w.-]*\d",
    re.IGNORECASE,
)


def _states(row: ExpectRow, topic: str) -> bool:
    """Tell whether a row has what changed: a tear-down list says nothing of a torque."""
    if topic in JOINT_TOPICS:
        return bool(row.order if topic == "order" else row.how_tight.by_condition)
    return any(printed.name.endswith(topic.replace(" ", "-")) for printed in row.printed)


def rows_by_thing(manual: Manual) -> Mapping[Key, list[tuple[Expect, ExpectRow]]]:
    """Return the rows of double entry by what they are about, each with its block."""

    def asked() -> dict[Key, list[tuple[Expect, ExpectRow]]]:
        found: dict[Key, list[tuple[Expect, ExpectRow]]] = defaultdict(list)
        for page, content in manual.contents.items():
            for expect in content.expects:
                for row in expect.rows:
                    meant = manual.scope(page).get(row.id)
                    if meant is not None:
                        found[key_of(meant)].append((expect, row))
        return found

    return manual.once(("rows by thing",), asked)


class Witnesses:
    """The numbers that changed, and the rows of double entry that are about them."""

    def __init__(self, matches: Matches, changes: Iterable[Change]) -> None:
        self._manual = matches.new.manual
        told = list(changes)
        self._typed = {change.place for change in told if change.topic == "double entry"}
        self._numbers = {
            (change.place.page, change.thing.id) for change in told if change.topic in NUMBERS
        }

    def has_none(self, change: Change) -> bool:
        """Tell whether a changed number has no row that still says the old one.

        Then no rule can tell: the number changed in all places where it stands, or stands once.
        """
        if change.topic == "amount in the text":
            return True
        if change.topic not in NUMBERS or change.same or not change.new:
            return False
        rows = rows_by_thing(self._manual).get((change.place.page, change.thing.id), ())
        return all(row.place in self._typed for _, row in rows if _states(row, change.topic))

    def told_with_joint(self, change: Change) -> bool:
        """Tell whether a row of double entry changed with the number that it is about."""
        if change.topic != "double entry":
            return False
        meant = self._manual.scope(change.place.page).get(change.thing.id)
        return meant is not None and key_of(meant) in self._numbers

    def source(
        self, change: Change, entity: Entity | None, met: list[tuple[Plan, NumberedStep]]
    ) -> str:
        """Return what to hold a change against, "" when nothing on the pages says so.

        A number against the sheet of its double entry, or its source; a sentence against the
        sources of what its step tightens, or the sheets that its page types again.
        """
        if isinstance(entity, Fastener):
            rows = rows_by_thing(self._manual).get(key_of(entity), ())
            return _said([*(expect.source for expect, _ in rows), entity.source])
        if isinstance(entity, Rule):
            return _said([entity.source])
        if entity is not None and not isinstance(entity, Hazard):
            rows = rows_by_thing(self._manual).get(key_of(entity), ())
            return _said([expect.source for expect, _ in rows])
        for plan, numbered in met[:1]:
            names = [str(name) for action in numbered.step.actions if action.verb == "tighten"
                     for name in action.objects]  # fmt: skip
            joints = (plan.scope.of(Fastener, name) for name in names)
            sources = [joint.source for joint in joints if joint]
            return _said(sources) or _said(self._sheets(change.place.page))
        return _said(self._sheets(change.place.page))

    def _sheets(self, page: str) -> list[str]:
        content = self._manual.contents.get(page)
        return [expect.source for expect in content.expects] if content else []


def _said(sources: Iterable[str]) -> str:
    """The first source, said so when it names no page."""
    first = next(filter(None, sources), "")
    return first if not first or _NAMES_A_PAGE.search(first) else f"{first} (names no page)"
