"""``procedures order``: a tightening order, proposed for a layout or for a group of fasteners."""

from __future__ import annotations

import click

from procedures_lib.engineering.tightening.order_proposal import LAYOUTS, layout, propose
from procedures_lib.engineering.tightening.pattern import Point
from procedures_lib.fronts.cli.arguments import Folders, Word, unknown, with_folders
from procedures_lib.fronts.cli.checked_manual import read_manual
from procedures_lib.fronts.cli.terminal import EXIT_CODES, ExitCode, Refused, write_json
from procedures_lib.language.entities.car import Fastener, Vehicle
from procedures_lib.language.entities.kit import Kit
from procedures_lib.language.entities.work import Common, Procedure
from procedures_lib.manual import Manual
from procedures_lib.spelling import suggestion

_HEADS = (Procedure, Kit, Vehicle, Common)


@click.command(epilog=EXIT_CODES)
@click.argument("where", type=Word(), metavar=f"PAGE-ID|{'|'.join(LAYOUTS)}")
@click.argument("what", type=Word(), metavar="FASTENER|COUNT")
@click.option("--json", "as_json", is_flag=True, help="Write the answer as JSON.")
@with_folders
def order(where: str, what: str, as_json: bool, folders: Folders) -> int:
    """Propose a tightening order: `order circle 8`, or `order fit-tf-220 cooler-220-bolts`.

    PAGE-ID is the id of a procedure, kit, vehicle or common page from which the FASTENER is seen.
    A circle is worked across, as in the legacy tables of ASME PCC-1; anything else from the middle
    to the ends. It is a proposal: an order that the source prints comes first.
    """
    if where in LAYOUTS:
        positions, note = _layout(where, what), f"{LAYOUTS[where].capitalize()}."
    else:
        manual, _ = read_manual(folders)
        positions, note = _positions(where, what, manual), ""
    word, names = propose(positions)
    if as_json:
        write_json({"format": 1, "pattern": word, "order": list(names)})
    else:
        click.echo(f"{word}: {', '.join(names)}")
        if note:
            click.echo(note)
    return ExitCode.CLEAN


def _layout(word: str, count: str) -> dict[str, Point]:
    try:
        return layout(word, int(count) if count.isdecimal() else 0)
    except ValueError as error:
        raise Refused(f"`{word} {count}`: {error}") from None


def _positions(page_id: str, name: str, manual: Manual) -> dict[str, Point]:
    """The positions of a group; :class:`Refused`, with the nearest id, when it is not there."""
    heads = [head for kind in _HEADS for head in manual.heads(kind)]
    head = next((head for head in heads if head.id == page_id), None)
    if head is None:
        raise unknown("page or layout", page_id, [*LAYOUTS, *(head.id for head in heads)])
    scope = manual.scope(head.place.page)
    fastener = scope.of(Fastener, name)
    if fastener is None:
        placed = [each.id for each in scope.all(Fastener) if each.positions]
        hint = suggestion(name, placed) or "no fastener seen from there has positions"
        raise Refused(f"`{page_id}` sees no fastener `{name}`: {hint}")
    if not fastener.positions:
        raise Refused(f"`{name}` has no positions: give each a place, `name: [x, y]`, in mm")
    return dict(fastener.positions)
