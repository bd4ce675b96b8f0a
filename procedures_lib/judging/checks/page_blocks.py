"""Blocks that the library fills: those that a page lacks, and those that stand elsewhere."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from procedures_lib.findings import Finding
from procedures_lib.judging.checks.mentions import things
from procedures_lib.language.entities.verbs import VERBS
from procedures_lib.language.entities.work import Procedure
from procedures_lib.manual import Manual, Plan

_FEWEST = 5
_USUAL = 0.8
"""What so many procedures of a manual show, and so many of them in relation, is the rule there."""

_BLOCKS = ("preparation", "torque-table", "parts-list", "tool-list", "close-up", "handover")


def lacking(manual: Manual, page: str) -> Iterator[Finding]:
    """Find procedures without a block that nearly all others of the manual show."""
    procedures = things(manual, page, Procedure)
    if not manual.whole or not procedures:
        return
    usual = manual.once(("usual blocks",), lambda: _usual_blocks(manual))
    shown = _shown(manual, page)
    for procedure in procedures:
        for block in (each for each in _BLOCKS if each in usual and each not in shown):
            if block == "torque-table" and not _tightens(manual.plan(procedure)):
                continue
            said = f"the page of `{procedure.id}` has no {{{block}}}, as {usual[block]} have"
            hint = f"add ```{{{block}}}```: it fills itself"
            yield Finding(procedure.place, "block-missing", said, hint)


def _usual_blocks(manual: Manual) -> Mapping[str, str]:
    """The blocks that nearly all pages of procedures show, each with how many do, in words."""
    pages = {head.place.page for head in manual.heads(Procedure)}
    often = Counter(name for page in pages for name in _shown(manual, page))
    return {
        name: f"{number} of {len(pages)} pages of procedures"
        for name, number in often.items()
        if number >= max(_FEWEST, _USUAL * len(pages))
    }


def _shown(manual: Manual, page: str) -> set[str]:
    return {derived.block.name for derived in manual.contents[page].derived}


def _tightens(plan: Plan) -> bool:
    return any(VERBS[a.verb].turns_in for numbered in plan.steps for a in numbered.step.actions)


def elsewhere(manual: Manual, page: str) -> Iterator[Finding]:
    """Find blocks between two steps that tell of another step than the one above them."""
    content = manual.contents[page]
    for derived in content.derived:
        after, line = derived.options.after, derived.block.place.line
        plan = manual.plan_of_page(page) if after and not derived.block.argument else None
        if plan is None:
            continue
        rows = [(n, (n.through or n.step).place.line) for n in plan.steps]
        above = [n for n, at in rows if at < line]
        known = any(n.step.id == after for n, _ in rows)
        if known and above and len(above) < len(rows) and above[-1].step.id != after:
            said = f"the {{{derived.block.name}}} below step {above[-1].number} tells of `{after}`"
            own = above[-1].step.id
            hint = f"write `:after: {own}`, or move it" if own else "give the step above an `id`"
            yield Finding(derived.block.place, "after-another-step", said, hint)
