"""``procedures new``: begins a page, with blanks to fill in.

A blank is ``‹what belongs here, such as an example›``.
"""

from __future__ import annotations

import json
import os
import re
import tempfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from importlib import resources
from pathlib import Path
from typing import Any

import click

from procedures_lib.findings import suggestion
from procedures_lib.fronts.cli.loading import Folders, Word, relative, with_manual
from procedures_lib.fronts.cli.terminal import EXIT_CODES, ExitCode, Refused, write_text
from procedures_lib.language.entities.builder import HEADS
from procedures_lib.language.entities.field_types import kebab
from procedures_lib.language.entities.work import Procedure
from procedures_lib.manual import Manual
from procedures_lib.manual.scope import humanised

_BLANK = re.compile(r"‹([^›]*), such as ([^›]*)›")
_SLOT = re.compile(r"@([a-z]+)@")
_ASKED = {
    "vehicle": "‹id of the car, such as tarrow-finch›",
    "kit": "‹id of the kit, such as tf-220›",
    "procedure": "‹id of the procedure, such as fit-tf-220›",
    "procedures": "‹id of a procedure, such as fit-tf-220›, ‹id of another, such as fit-tf-180›",
}
"""What stands where an id was not given."""


@dataclass(frozen=True, slots=True)
class Blank:
    """A place to fill in: its line on the page (from 1), what belongs there, an example."""

    line: int
    wanted: str
    example: str


def page_from_template(name: str, given: Mapping[str, str]) -> str:
    """Return the page that a template makes with what is given, by the name of its slot."""
    folder = resources.files("procedures_lib.fronts.cli") / "page_templates"
    text = (folder / f"{name}.md").read_text("utf-8")
    return _SLOT.sub(lambda slot: given.get(slot[1]) or _ASKED[slot[1]], text)


def blanks_in(text: str) -> Iterator[Blank]:
    """Yield the blanks of a page, in its order."""
    for match in _BLANK.finditer(text):
        yield Blank(text.count("\n", 0, match.start()) + 1, match[1], match[2])


def filled_in(text: str) -> str:
    """Return a page with the example in each blank."""
    return _BLANK.sub(lambda match: match[2], text)


FOLDERS = {
    "vehicle": "vehicles",
    "kit": "kits",
    "procedure": "procedures",
    "dyno-session": "results",
    "common": "common",
    "job": "jobs",
}
"""Where each kind of page stands, unless it is said otherwise."""

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
    "--in",
    "place",
    metavar="FOLDER",
    type=Word(),
    help="The folder of pages that it goes into.",
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
    _unknown(kind, name, manual)
    text = _page(kind, name, manual, **given)
    if printed:
        write_text(text)
        return ExitCode.CLEAN
    _write(path, text)
    shown = relative(path)
    click.echo(f"{shown} is begun. Fill in:")
    for blank in blanks_in(text):
        click.echo(f"{shown}:{blank.line}: {blank.wanted}, such as {blank.example}")
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


def _unknown(kind: str, name: str, manual: Manual) -> None:
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
    _fits(kind, vehicle, kit, procedures)
    for wanted, asked in (
        ("vehicle", vehicle),
        ("kit", kit),
        *(("procedure", p) for p in procedures),
    ):
        _known(wanted, asked, manual)
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


def _fits(kind: str, vehicle: str | None, kit: str | None, procedures: tuple[str, ...]) -> None:
    """:class:`Refused` for an option that says nothing of this kind of page."""
    wrong = [
        option
        for option, given, kinds in (
            ("--vehicle", vehicle, {"kit", "procedure", "job", "dyno-session"}),
            ("--kit", kit, {"procedure"}),
            ("--procedure", procedures, {"job", "dyno-session"}),
        )
        if given and kind not in kinds
    ]
    if wrong:
        raise Refused(f"{wrong[0]} says nothing of a {kind}: leave it out.")


def _known(kind: str, name: str | None, manual: Manual) -> None:
    if name is None or manual.head(HEADS[kind], name) is not None:
        return
    hint = suggestion(name, (head.id for head in manual.heads(HEADS[kind])))
    raise Refused(f"there is no {kind} `{name}`" + (f": {hint}" if hint else "."))


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
    handle, made = tempfile.mkstemp(prefix=".", suffix=".new", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(text.encode())
        Path(made).chmod(0o666 & ~_umask())
        os.link(made, path)
    except FileExistsError:
        raise Refused(f"{relative(path)} exists, and is left as it is: take another id.") from None
    finally:
        Path(made).unlink()


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
