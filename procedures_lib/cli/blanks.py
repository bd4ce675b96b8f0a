"""Pages to be filled in: the templates of ``procedures new``, and the blanks in them.

A blank is ``‹what belongs here, such as an example›``.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from importlib import resources
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

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
    folder = resources.files("procedures_lib.cli") / "page_templates"
    text = (folder / f"{name}.md").read_text("utf-8")
    return _SLOT.sub(lambda slot: given.get(slot[1]) or _ASKED[slot[1]], text)


def blanks_in(text: str) -> Iterator[Blank]:
    """Yield the blanks of a page, in its order."""
    for match in _BLANK.finditer(text):
        yield Blank(text.count("\n", 0, match.start()) + 1, match[1], match[2])


def filled_in(text: str) -> str:
    """Return a page with the example in each blank."""
    return _BLANK.sub(lambda match: match[2], text)
