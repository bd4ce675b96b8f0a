"""Cells of a sheet as fields of a page: what is clear as a value, what is not as a blank."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable

from procedures_lib.engineering.quantities import (
    NO_BREAK_SPACE,
    Quantity,
    QuantityError,
    quantity_of,
    read_quantity,
    units_of,
)
from procedures_lib.engineering.threads import ThreadError, read_thread
from procedures_lib.fronts.cli.taking_over.sheet import Cell
from procedures_lib.language.entities.car import CONDITIONS
from procedures_lib.language.entities.field_types import PACKED_BY

_SAFE = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9·°±–./()+ -]*[A-Za-z0-9·°.)])?")
_BARE = re.compile(r"[0-9][0-9.,/ ]*(?:\s?(?:±|\+/-|–|-|to)\s?[0-9][0-9.,/ ]*)?")
_COUNTED = re.compile(
    r"[x×]?\s?([1-9][0-9]{0,3})\s?(?:[x×]|off|pcs?\.?|pieces?|ea\.?|each|stk?\.?)?", re.I
)
_MADE_DATE = re.compile(
    r"\d{1,2}[-/. ](?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*(?:[-/. ]\d{2,4})?"
    r"|(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*[-/. ]\d{2,4}",
    re.I,
)
_POWER = re.compile(r"\d(?:[.,]\d+)?E\+?\d+", re.I)
_HEADS = ("hex", "torx", "socket", "12-point", "cross", "slot", "triple", "external", "square")
_BY_WORD = {
    "lock": "thread-locker", "anti": "anti-seize", "copper": "anti-seize", "seal": "thread-sealant",
    "oil": "oiled", "greas": "greased", "dry": "dry", "clean": "dry", "supplied": "as supplied",
}  # fmt: skip
"""Parts of words by which a sheet says the condition of a thread (common practice, no source)."""


def scalar(text: str) -> str:
    """Return a text as a YAML value: plain where it can't be mistaken, else in quotes."""
    return (
        text if _SAFE.fullmatch(text) and "  " not in text else json.dumps(text, ensure_ascii=False)
    )


def blank(what: str, example: str) -> str:
    """Return a blank, with what belongs there."""
    return f"‹{what.replace(', such as ', ': ')}, such as {example}›"


def is_blank(value: str) -> bool:
    """Tell whether a field has a blank in it."""
    return "‹" in value


def doubtful(called: str, cell: Cell, example: str) -> str:
    """Return the blank for a cell that may not hold what was typed."""
    return blank(f"{called}: the sheet has {cell.doubt}", example)


def tidy(quantity: Quantity) -> str:
    """Return a quantity with its own figures and its unit spelled the one way."""
    return quantity.tidy.replace(NO_BREAK_SPACE, " ")


def unread(called: str, kind: str, text: str, error: QuantityError, example: str) -> str:
    """Return the blank for a quantity that can't be read: both readings, where it has two."""
    if error.check == "ambiguous-unit":
        readings = error.message.partition("did you mean ")[2].rstrip("?")
        first = error.hint.removeprefix("write ").partition(" or ")[0]
        return blank(f"{called}: the sheet has {text}: {readings}?", first)
    if error.check == "no-unit" and error.message.endswith("has no unit"):
        units = " or ".join(unit.symbol for unit in units_of(kind)[:3])
        return blank(
            f"{called}: the sheet has {text} and no unit: {units}?",
            f"{text} {example.rpartition(' ')[2]}",
        )
    example = _meant(error.hint, kind) or example
    return blank(f"{called}: the sheet has {text}: {error.hint or error.message}", example)


_MEND = re.compile(r"write ([^,;]+?)(?:,| for two|$)")


def _meant(hint: str, kind: str) -> str:
    """What a hint says to write instead, where that is a quantity."""
    found = _MEND.search(hint)
    quantity = quantity_of(found[1], kind) if found and "N·m, 12" not in hint else None
    return tidy(quantity) if quantity else ""


def with_unit(text: str, unit: str) -> str:
    """Return a bare number or range with the unit of its column; any other text as it is."""
    return f"{text} {unit}" if unit and _BARE.fullmatch(text) else text


def volume(cell: Cell, unit: str) -> str:
    """Return how much of a fluid a row has, "" for nothing."""
    if not cell:
        return ""
    if cell.doubt:
        return doubtful("how much", cell, "1 L")
    text = with_unit(cell.text, unit)
    try:
        return tidy(read_quantity(text, "volume"))
    except QuantityError as error:
        return unread("how much", "volume", text, error, "1 L")


def count(cell: Cell, unit: str = "", amounts: bool = False) -> str:
    """Return how many there are; with ``amounts``, a length, volume or mass too."""
    if not cell:
        return ""
    if cell.doubt:
        return doubtful("how many", cell, "1")
    counted = _COUNTED.fullmatch(cell.text)
    if counted and int(counted[1]) <= 1000:
        amount = quantity_of(f"{cell.text} {unit}") if unit and amounts else None
        return tidy(amount) if amount and amount.kind in PACKED_BY else counted[1]
    amount = quantity_of(cell.text)
    if amounts and amount is not None and amount.kind in PACKED_BY:
        return tidy(amount)
    return blank(f"how many: the sheet has {cell.text}", "1")


def thread(cell: Cell) -> str:
    """Return a thread, "" for none."""
    if not cell:
        return ""
    if cell.doubt:
        return doubtful("thread", cell, "M6x1.0")
    try:
        read_thread(cell.text)
    except ThreadError as error:
        size = _METRIC.match(cell.text)
        example = str(read_thread(f"M{size[1]}")) if size else "M6x1.0"
        return blank(f"thread: the sheet has {cell.text}: {error.hint}", example)
    return scalar(cell.text)


_METRIC = re.compile(r"M ?(3|4|5|6|8|10|12|14|16|18|20)(?![0-9.])")
_IN_A_NAME = re.compile(r"\bM\d{1,2}(?:\.\d)?(?: ?[x×] ?\d+(?:\.\d+)?)?(?![\w.])")


def thread_in(name: str) -> str:
    """Return the thread that a name gives: "M8x1.25", and a blank for M8x25; "" for none."""
    found = _IN_A_NAME.search(name)
    return thread(Cell(found[0])) if found else ""


def head(cell: Cell) -> str:
    """Return what takes hold of a fastener: only a size leaves open of what."""
    if not cell:
        return ""
    if cell.doubt:
        return doubtful("what takes hold of them", cell, "hex 10 mm")
    if cell.text.casefold().startswith(_HEADS):
        return scalar(cell.text)
    return blank(f"what takes hold of them: the sheet has {cell.text}", "hex 10 mm")


def condition(cell: Cell) -> str:
    """Return the condition of a thread in the word of the page language."""
    text = cell.text.casefold()
    if not cell:
        return ""
    found = [word for part, word in _BY_WORD.items() if part in text]
    if text in CONDITIONS or len(set(found)) == 1:
        return text if text in CONDITIONS else found[0]
    return blank(f"state of the threads: the sheet has {cell.text or cell.doubt}", "dry")


def lost_zeros(cells: Iterable[Cell]) -> int:
    """Return how many digits numbers had that kept their zeros in front; 0 if none did."""
    widths = {len(cell.text) for cell in cells if cell.text.isdigit() and cell.text[0] == "0"}
    return max(widths, default=0)


def part_number(cell: Cell, digits: int) -> str:
    """Return a part number; a blank where the program that made the sheet has changed it.

    ``digits`` is what :func:`lost_zeros` gives for its column.
    """
    if not cell:
        return ""
    if cell.doubt:
        return doubtful("part number", cell, "TF-220-01")
    if _MADE_DATE.fullmatch(cell.text) or _POWER.fullmatch(cell.text):
        said = f"part number: the sheet has {cell.text}, which the program may have made of another"
        return blank(said, "TF-220-01")
    if digits and cell.text.isdigit() and len(cell.text) < digits:
        said = f"part number: the sheet has {cell.text}, which may have lost a zero in front"
        return blank(said, cell.text.zfill(digits))
    return scalar(cell.text)
