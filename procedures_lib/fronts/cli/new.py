"""``procedures new``: begins a page, with blanks to fill in.

A blank is ``‹what belongs here, such as an example›``.
"""

from __future__ import annotations

import json
import os
import re
from collections.abc import Mapping
from importlib import resources
from pathlib import Path
from typing import Any

import click

from procedures_lib.fronts.cli.arguments import Folders, Word, relative, unknown, with_manual
from procedures_lib.fronts.cli.publishing.disk import arriving
from procedures_lib.fronts.cli.terminal import EXIT_CODES, ExitCode, Refused, write_text
from procedures_lib.language.entities.builder import HEADS
from procedures_lib.language.entities.field_types import kebab
from procedures_lib.language.entities.work import Procedure
from procedures_lib.language.reading.page_text import filled
from procedures_lib.manual import Manual
from procedures_lib.manual.names import humanised

_SLOT = re.compile(r"@([a-z]+)@")
_ASKED = {
    "vehicle": "‹id of the car, such as tarrow-finch›",
    "kit": "‹id of the kit, such as tf-220›",
    "procedure": "‹id of the procedure, such as fit-tf-220›",
    "procedures": "‹id of a procedure, such as fit-tf-220›, ‹id of another, such as fit-tf-180›",
}
"""What stands where an id was not given."""


def page_from_template(name: str, given: Mapping[str, str]) -> str:
    """Return the page that a template makes with what is given, by the name of its slot."""
    folder = resources.files("procedures_lib.fronts.cli") / "page_templates"
    text = (folder / f"{name}.md").read_text("utf-8")
    return _SLOT.sub(lambda slot: given.get(slot[1]) or _ASKED[slot[1]], text)


FOLDERS = {
    "vehicle": "vehicles",
    "kit": "kits",
    "procedure": "procedures",
    "dyno-session": "results",
    "common": "common",
    "job": "jobs",
}
"""Where each kind of page stands, unless another folder is named."""

_PAGES_WITH = {
    "vehicle": {"kit", "procedure", "job", "dyno-session"},
    "kit": {"procedure"},
    "procedure": {"job", "dyno-session"},
}
"""The kinds of page that an id of each kind says something of."""

_LONGEST = 120


@click.command(epilog=EXIT_CODES, short_help="Begin a page, with blanks to fill in.")
@click.argument("kind", metavar="|".join(FOLDERS), type=click.Choice(tuple(FOLDERS)))
@click.argument("name", metavar="ID", type=Word())
@click.option(
    "--title", metavar="TEXT", type=Word(), help="The page's title.  [default: from the id]"
)
@click.option("--vehicle", metavar="ID", type=Word(), help="The car that it is for.")
@click.option("--kit", metavar="ID", type=Word(), help="The kit that a procedure fits.")
@click.option(
    "--procedure",
    "procedures",
    metavar="ID",
    type=Word(),
    multiple=True,
    help="The procedure of a dyno session; those of a job, one after another.",
)
@click.option(
    "--in", "place", metavar="FOLDER", type=Word(), help="The folder of pages that it goes into."
)
@click.option("--print", "printed", is_flag=True, help="Print the page, and write nothing.")
@with_manual
def new(
    kind: str, name: str, folders: Folders, place: str | None, printed: bool, **given: Any
) -> int:
    """Begin a page of a KIND with an ID, small letters and digits joined with hyphens.

    What is to be filled in stands between ‹ and ›, with an example, and is listed with its line.
    Filled in with what is true of the car, the page passes `procedures check`. No file is ever
    overwritten.
    """
    path = _path(kind, name, place, folders)
    manual = Manual.read(folders.pages)
    _refuse_twin(kind, name, manual)
    text = _page(kind, name, manual, **given)
    if printed:
        write_text(text)
        return ExitCode.CLEAN
    _write(path, text)
    way = relative(path)
    click.echo(f"{way} is begun. Fill in:")
    for blank in filled(text)[1]:
        click.echo(f"{way}:{blank.line}: {blank.content}, such as {blank.example}")
    return ExitCode.CLEAN


def _path(kind: str, name: str, place: str | None, folders: Folders) -> Path:
    """The file of the new page; :class:`Refused` for a bad id, or outside of the pages."""
    if kebab(name) != name or len(name) > _LONGEST:
        guess = kebab(name)[:_LONGEST].strip("-")
        hint = f": write `{guess}`" if guess else "."
        raise Refused(f"{name!r} is no id: small letters and digits, joined with hyphens{hint}")
    folder = folders.pages / (FOLDERS[kind] if place is None else place)
    try:
        inside = folder.resolve().relative_to(folders.pages.resolve())
    except ValueError:
        raise Refused(
            f"{relative(folder)} is outside the manual, whose pages are in "
            f"{relative(folders.pages)}.\nName a folder in there."
        ) from None
    if any(part[0] in "._" for part in inside.parts):
        raise Refused(f"{relative(folder)} holds no pages: folders that begin with . or _ do not.")
    return folder / f"{name}.md"


def _refuse_twin(kind: str, name: str, manual: Manual) -> None:
    """:class:`Refused` when a head of this kind and id stands somewhere already."""
    head = manual.head(HEADS[kind], name)
    if head is not None:
        raise Refused(f"there is a {kind} `{name}` already, at {head.place}: take another id.")


def _page(
    kind: str,
    name: str,
    manual: Manual,
    title: str | None,
    vehicle: str | None,
    kit: str | None,
    procedures: tuple[str, ...],
) -> str:
    asked = [("vehicle", vehicle), ("kit", kit), *(("procedure", each) for each in procedures)]
    _refuse_unfit(kind, [(other, id_) for other, id_ in asked if id_ is not None], manual)
    words = _title(title) if title else humanised(name)
    given = {
        "id": name,
        "title": words,
        "name": json.dumps(words, ensure_ascii=False) if title else words,
        "vehicle": vehicle or _vehicle_of(procedures, manual),
        "kit": kit or "",
        "procedure": "".join(procedures[:1]),
        "procedures": ", ".join(procedures),
    }
    return page_from_template("procedure-with-kit" if kit else kind, given)


def _refuse_unfit(kind: str, named: list[tuple[str, str]], manual: Manual) -> None:
    """:class:`Refused` for an option that says nothing of this kind of page, or an unknown id."""
    for other, _ in named:
        if kind not in _PAGES_WITH[other]:
            raise Refused(f"--{other} says nothing of a {kind}: leave it out.")
    for other, id_ in named:
        if manual.head(HEADS[other], id_) is None:
            raise unknown(other, id_, (head.id for head in manual.heads(HEADS[other])))


def _vehicle_of(procedures: tuple[str, ...], manual: Manual) -> str:
    found = manual.head(Procedure, procedures[0]) if procedures else None
    return str(found.vehicle) if found else ""


def _title(text: str) -> str:
    if not text.isprintable() or not text.strip() or len(text) > _LONGEST:
        raise Refused(
            f"--title: one line of at most {_LONGEST} characters, and no control character"
        )
    return text.strip()


def _write(path: Path, text: str) -> None:
    """Put the page in place at one stroke; :class:`Refused` when something is there."""
    path.parent.mkdir(parents=True, exist_ok=True)
    try:
        with arriving(path, text.encode()) as made:
            os.link(made, path)
    except FileExistsError:
        raise Refused(f"{relative(path)} exists, and is left as it is: take another id.") from None
