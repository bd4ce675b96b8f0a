"""What a run of ``take-over`` tells: how the file was read, what was left, what is written."""

from __future__ import annotations

import os
from codecs import BOM_UTF8
from collections.abc import Iterable, Iterator

import click

from procedures_lib.findings import counted, printable
from procedures_lib.fronts.cli.arguments import relative
from procedures_lib.fronts.cli.publishing.disk import arriving
from procedures_lib.fronts.cli.taking_over.cells import is_blank
from procedures_lib.fronts.cli.taking_over.columns import Column
from procedures_lib.fronts.cli.taking_over.draft import Changes
from procedures_lib.fronts.cli.taking_over.entries import Entry
from procedures_lib.fronts.cli.taking_over.plan import Draft, Plan
from procedures_lib.fronts.cli.taking_over.sheet import column_name, row_ranges
from procedures_lib.fronts.cli.taking_over.tables import KINDS, TAKEN, Left, Table
from procedures_lib.fronts.cli.terminal import Refused
from procedures_lib.language.reading.page_text import LARGEST

_MOST = 30


def tell_plan(plan: Plan) -> None:
    """Print how a file is read, row for row accounted for, and what it brings to which page."""
    for line in _lines(plan):
        click.echo(printable(line))


def _lines(plan: Plan) -> Iterator[str]:
    for table in plan.source.tables:
        yield from _of_table(table)
    if plan.source.steps:
        yield f"{plan.source.file}: a step list of {counted(len(plan.source.steps.steps), 'step')}"
    for note in plan.source.notes[:_MOST]:
        yield f"  note: {note}"
    yield from _count(plan)
    yield from _of_left(plan.left)
    yield from _of_blanks(entry for page in plan.pages for entry in page.changes.brought)
    for page in plan.pages:
        yield from _of_page(page)


def _of_table(table: Table) -> Iterator[str]:
    yield f"{table.sheet.where}: a {KINDS[table.kind]}"
    for column in table.columns:
        heading = column.heading or "(no heading)"
        yield f"  {column_name(column.index):>2}  {heading:<24}  {_role(column, table.kind)}"


def _role(column: Column, kind: str) -> str:
    if column.role == "position":
        return "the rows' own numbers: not taken over"
    if not column.role:
        return "not taken over"
    if column.role not in TAKEN.get(kind, ()):
        return f"{column.role}: has no place on the page, not taken over"
    unit = f", in {column.unit}" if column.unit else ""
    return f"{column.role}{unit}{', by what stands in it' if column.by == 'content' else ''}"


def _count(plan: Plan) -> Iterator[str]:
    steps = plan.source.steps
    size = sum(table.size for table in plan.source.tables) + (steps.size if steps else 0)
    what = "line" if steps else "row"
    left = len(plan.left)
    yield f"{counted(size, what)} in: {size - left} taken over, {left} left"


def _of_left(left: Iterable[Left]) -> Iterator[str]:
    grouped: dict[tuple[str, str], list[int]] = {}
    for each in left:
        grouped.setdefault((each.where, each.why), []).append(each.number)
    for n, ((where, why), numbers) in enumerate(grouped.items()):
        if n == 10 * _MOST:
            yield f"  … and {len(grouped) - n} more reasons"
            return
        yield f"  left: {where}, row {row_ranges(numbers)}: {why}"


def _of_blanks(entries: Iterable[Entry]) -> Iterator[str]:
    blanks = [(entry, line) for entry in entries for line in entry.lines if is_blank(line)]
    if blanks:
        yield f"{counted(len(blanks), 'blank')} to fill in:"
    for entry, line in blanks[:_MOST]:
        yield f"  {entry.where}, row {entry.row}: {line.strip()}"
    if len(blanks) > _MOST:
        yield f"  … and {len(blanks) - _MOST} more: `procedures check` finds each, with its line"


def _of_page(page: Draft) -> Iterator[str]:
    changes = page.changes
    begun = "is begun" if page.old is None else "gets"
    yield (
        f"{relative(page.path)} {begun}: {len(changes.new)} new, {len(changes.changed)} changed, "
        f"{len(changes.same)} as they were"
    )
    yield from _of_changes(changes)
    if page.too_large:
        yield f"  more than the {LARGEST:,} bytes that a page may have: split the list"


def _of_changes(changes: Changes) -> Iterator[str]:
    for entry in changes.new[:2]:
        yield from (f"    {line}" for line in entry.lines)
    if len(changes.new) > 2:
        yield f"    … and {len(changes.new) - 2} more"
    for old, entry in changes.changed[:_MOST]:
        yield f"  changed: `{old.name}`, row {entry.row}"
    for old, entry in changes.held:
        line = old.start + 1
        yield f"  held: `{old.name}`, line {line}, was edited there, and row {entry.row} now says:"
        yield from (f"    {line}" for line in entry.lines)
    for entry in changes.there:
        yield f"  there: `{entry.name}`, from elsewhere, is left as it is; row {entry.row}"
    for old in changes.gone:
        yield f"  gone: `{old.name}`, line {old.start + 1}: row {old.row} is no longer in the list"


def tell_written(plan: Plan) -> None:
    """Write the pages of a plan, and print which; :class:`Refused` when one can't be."""
    for page in plan.pages:
        if page.too_large:
            raise Refused(
                f"{relative(page.path)} would be larger than a page may be: split the list."
            )
    for page in plan.pages:
        if page.changes.any:
            _write(page)
            click.echo(f"{relative(page.path)} is written.")


def _write(page: Draft) -> None:
    page.path.parent.mkdir(parents=True, exist_ok=True)
    ends = b"\r\n" if page.old and b"\r\n" in page.old else b"\n"
    mark = BOM_UTF8 if page.old and page.old.startswith(BOM_UTF8) else b""
    content = mark + page.text.encode().replace(b"\n", ends)
    target = page.path if page.old is None else page.path.resolve()
    with arriving(target, content) as made:
        if page.old is None:
            try:
                os.link(made, target)
            except FileExistsError:
                raise Refused(f"{relative(target)} exists by now: not written.") from None
            return
        if target.read_bytes() != page.old:
            raise Refused(f"{relative(target)} was changed meanwhile: not written. Try again.")
        made.replace(target)
