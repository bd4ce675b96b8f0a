"""A page reads the same where the reader's shortcuts are barred and the parsers read all of it."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from typing import TYPE_CHECKING, Any

from procedures_lib.language.reading.page import Scalar
from procedures_lib.language.reading.paragraphs import paragraphs
from procedures_lib.language.reading.reader import read_page
from procedures_lib.language.reading.shortcuts import barred
from tests.fuzz.manuals import raw_of

if TYPE_CHECKING:
    from tests.fuzz.manuals import Spoilt


def same_with_the_parsers(spoilt: Spoilt) -> None:
    """Blocks, roles, words, findings, the lines of all of them, and the paragraphs of bodies."""
    raw = raw_of(spoilt.text)
    quick = read_page(raw, spoilt.page)
    bodies = [block.body for block in quick.walk()]
    shown = [paragraphs(body) for body in bodies]
    with barred():
        parsed = read_page(raw, spoilt.page)
        assert shown == [paragraphs(body) for body in bodies]
    assert laid_out(quick) == laid_out(parsed)


def laid_out(value: Any) -> Any:
    """A value as plain lists and texts, every text of the page with its line."""
    if isinstance(value, Scalar):
        return str(value), value.line
    if is_dataclass(value) and not isinstance(value, type):
        return [laid_out(getattr(value, field.name)) for field in fields(value)]
    if isinstance(value, dict):
        return [(laid_out(key), laid_out(item)) for key, item in value.items()]
    if isinstance(value, list | tuple):
        return [laid_out(item) for item in value]
    return value
