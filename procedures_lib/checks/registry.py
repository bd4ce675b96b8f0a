"""The check functions, in the order they run."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.checks import (
    beginnings,
    code_examples,
    contents,
    double_entry,
    dyno,
    files,
    hardware,
    hazards,
    ids,
    jobs,
    joints,
    kinds,
    links,
    order_patterns,
    orders,
    prose,
    read,
    step_ids,
    unused,
    variants,
    walking,
    wrenches,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from procedures_lib.findings import Finding
    from procedures_lib.manual import Manual

    WholeCheck = Callable[[Manual], Iterator[Finding]]
    Check = Callable[[Manual, str], Iterator[Finding]]

CHECKS: tuple[Check, ...] = (
    read.as_read,
    code_examples.code_in_page,
    ids.duplicate_ids,
    ids.unknown_ids,
    beginnings.begins_with,
    step_ids.step_ids,
    step_ids.endless_steps,
    unused.unused_entities,
    kinds.wrong_verbs,
    kinds.roles,
    orders.orders,
    order_patterns.order_patterns,
    order_patterns.drawings,
    wrenches.no_wrench,
    wrenches.past_due,
    joints.joints,
    joints.said_of_torques,
    variants.options,
    variants.steps_that_apply,
    variants.kit_items,
    variants.jobs_that_apply,
    walking.chains,
    walking.walked,
    hazards.shown,
    hazards.signal_words,
    hardware.threads,
    hardware.counts,
    hardware.unused_supplies,
    jobs.conflicts,
    jobs.visits,
    double_entry.expect_rows,
    prose.hand_typed,
    prose.ambiguous_sides,
    dyno.sessions,
)
"""Checks of one page and what it leans on."""

OF_POINTERS: tuple[Check, ...] = (links.links, links.labels, links.headings)
"""Checks of where a page leads, which any other page can change."""

OF_FOLDER: tuple[WholeCheck, ...] = (contents.contents, files.files)
"""Checks of all pages together, and of the files beside them."""
