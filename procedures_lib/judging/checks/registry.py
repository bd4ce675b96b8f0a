"""The check functions, in the order they run, over one page or all of them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace

from procedures_lib.findings import Finding, Level
from procedures_lib.judging.checks import (
    agreement,
    boxes,
    conditions,
    double_entry,
    dyno_sessions,
    foreign_signs,
    gear,
    hands,
    hardware,
    ids,
    joints,
    kinds,
    links,
    orders,
    page_blocks,
    pictures,
    practice,
    prose,
    publishing,
    replaced,
    signal_words,
    step_text,
    twins,
    walks,
)
from procedures_lib.judging.checks.catalogue import CATALOGUE
from procedures_lib.manual import Manual
from procedures_lib.manual.folder import uncollected

WholeCheck = Callable[[Manual], Iterator[Finding]]
Check = Callable[[Manual, str], Iterator[Finding]]


CHECKS: tuple[Check, ...] = (
    kinds.as_read,
    prose.code_in_page,
    ids.duplicate_ids,
    ids.unknown_ids,
    walks.begins_and_ends,
    ids.step_ids,
    ids.endless_steps,
    ids.unused_entities,
    kinds.wrong_verbs,
    kinds.roles,
    orders.orders,
    orders.order_patterns,
    orders.drawings,
    pictures.pictures,
    page_blocks.elsewhere,
    joints.no_wrench,
    joints.past_due,
    joints.joints,
    joints.sources,
    joints.no_torque,
    joints.torque_by_condition,
    conditions.options,
    conditions.steps_that_apply,
    conditions.kit_items,
    conditions.joined,
    conditions.jobs_that_apply,
    walks.chains,
    walks.procedures,
    signal_words.before_step_1,
    signal_words.signal_words,
    signal_words.titles,
    signal_words.signs_below,
    foreign_signs.foreign_signs,
    hardware.threads,
    hardware.counts,
    replaced.unlike,
    replaced.nuts,
    twins.twins,
    hardware.kit_statements,
    hardware.programs_without,
    hardware.ways_of_fluids,
    hardware.left_out,
    hardware.unused_supplies,
    hardware.fluids,
    walks.conflicts,
    walks.visits,
    double_entry.expect_rows,
    step_text.named_in,
    step_text.without_drawing,
    agreement.words_and_facts,
    agreement.unsaid_left_hand,
    agreement.unsaid_carries,
    boxes.years,
    boxes.returned,
    boxes.twofold,
    boxes.octane,
    boxes.revisions,
    agreement.engagements,
    prose.blanks_left,
    gear.at_hand,
    hands.hands,
    practice.figures_of_work,
    practice.figures_of_things,
    prose.hand_typed,
    prose.lost_roles,
    prose.ambiguous_sides,
    dyno_sessions.sessions,
)
"""Checks of one page and what it leans on."""

OF_POINTERS: tuple[Check, ...] = (
    links.links,
    links.labels,
    links.headings,
    signal_words.words_that_call,
    signal_words.unused_rules,
    double_entry.no_witness,
    page_blocks.lacking,
)
"""Checks of where a page leads, which any other page can change."""

OF_FOLDER: tuple[WholeCheck, ...] = (publishing.contents, publishing.files)
"""Checks of all pages together, and of the files beside them."""


def check_page(manual: Manual, page: str) -> list[Finding]:
    """Return all findings of one page, sorted by line, each once."""
    whole = [finding for finding in check_whole(manual) if finding.place.page == page]
    return sorted({*check_alone(manual, page), *whole})


def check_alone(manual: Manual, page: str) -> list[Finding]:
    """Return what the checks find that look at one page and what it leans on."""
    found = {finding for check in CHECKS for finding in check(manual, page)}
    return sorted({_levelled(each) for each in found if not _follows_a_blank(manual, each)})


def _follows_a_blank(manual: Manual, finding: Finding) -> bool:
    """Tell whether a finding is about the example that stands in for a blank: no second one."""
    content = manual.contents.get(finding.place.page)
    blanks = content.page.blanks if content else ()
    if not blanks or finding.check == "blank-left":
        return False
    return any(blank.line == finding.place.line for blank in blanks)


def check_whole(manual: Manual) -> list[Finding]:
    """Return what the checks find that look at all pages, and at the files beside them.

    Of a page they ask little, so that they can be run again after every change.
    """
    return manual.once(("whole",), lambda: _check_whole(manual))


def _check_whole(manual: Manual) -> list[Finding]:
    found = {finding for check in OF_FOLDER for finding in check(manual)}
    for page in manual.contents:
        found.update(finding for check in OF_POINTERS for finding in check(manual, page))
    return sorted({_levelled(finding) for finding in found})


def _levelled(finding: Finding) -> Finding:
    """A finding of a check that only warns is a warning; any other is what its check made it."""
    if CATALOGUE[finding.check].level is Level.WARNING:
        return replace(finding, level=Level.WARNING)
    return finding


def check_manual(
    manual: Manual, pages: Iterable[str] | None = None, progress: Callable[[], None] = lambda: None
) -> list[Finding]:
    """Return the findings of these pages, or of all, sorted by page and line."""
    chosen = None if pages is None else frozenset(pages)
    with uncollected():
        found = {
            finding
            for finding in check_whole(manual)
            if chosen is None or finding.place.page in chosen
        }
        for page in manual.contents if chosen is None else sorted(chosen):
            found.update(check_alone(manual, page))
            progress()
    return sorted(found)
