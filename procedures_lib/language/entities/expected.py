"""Rows of an ``{expect}`` block: the number as a source prints it, typed a second time."""

from __future__ import annotations

from procedures_lib.engineering.quantities import QuantityError, quantity_of, read_quantity
from procedures_lib.engineering.threads.designation import read_thread
from procedures_lib.engineering.tightening import read_stages
from procedures_lib.findings import Place, SlipError
from procedures_lib.language.entities.field_reader import FieldReader
from procedures_lib.language.entities.how_tight import on_every_car, read_how_tight
from procedures_lib.language.entities.work import Expect, ExpectRow
from procedures_lib.language.reading.page import Block, Scalar, Tree

_HARDWARE = frozenset({"count", "thread", "class"})
"""The words before what a source prints of the hardware itself."""


def read_expect(block: Block, reader: FieldReader) -> Expect:
    """Read the rows; a row that can't be read is a finding and is left out."""
    line = block.place.line
    rows = []
    before = len(reader.findings)
    for key, value in reader.mapping(block.data, line, "an expect block").items():
        row = _row(key, value, reader)
        if row is not None:
            rows.append(row)
    if not rows and block.readable and len(reader.findings) == before:
        reader.find(line, "missing-field", "this expect block has no row",
                    "write `id: number unit`, as the source prints it")  # fmt: skip
    return Expect(source=str(block.argument), rows=tuple(rows), place=block.place)


def _row(key: Scalar, value: Tree, reader: FieldReader) -> ExpectRow | None:
    if isinstance(value, dict):
        return _row_by_key(key, value, reader)
    texts = value if isinstance(value, list) else [value]
    if not all(isinstance(text, Scalar) and text for text in texts):
        reader.find(key.line, "wrong-shape", f"`{key}` needs one text",
                    f"write `{key}: 89 lbf·in`")  # fmt: skip
        return None
    text = ", ".join(str(t) for t in texts)
    line = next((t.line for t in texts if isinstance(t, Scalar)), key.line)
    place = Place(reader.page, line)
    printed, order = _split(text)
    hardware, stage_texts = _sorted_out(printed)
    try:
        if len(stage_texts) == 1 and not hardware and _is_volume(stage_texts[0]):
            amount = read_quantity(stage_texts[0], "volume")
            return ExpectRow(id=key, text=text, amount=amount, place=place)
        return ExpectRow(
            id=key,
            text=text,
            how_tight=on_every_car(read_stages(stage_texts)),
            order=order,
            count=_count(hardware.get("count")),
            thread=read_thread(hardware["thread"]) if "thread" in hardware else None,
            grade=hardware.get("class", ""),
            place=place,
        )
    except SlipError as error:
        reader.find(line, error.check, f"`{key}`: {error.message}", error.hint)
    return None


def _row_by_key(key: Scalar, value: dict[Scalar, Tree], reader: FieldReader) -> ExpectRow | None:
    """Read a row as a mapping: stages by condition, or in words (``until``, ``see``)."""
    parted = {name: _parted(given) if "=" in name else given for name, given in value.items()}
    try:
        how = read_how_tight(parted)
    except SlipError as error:
        reader.find(error.line or key.line, error.check, f"`{key}`: {error.message}", error.hint)
        return None
    place = Place(reader.page, key.line)
    return ExpectRow(id=key, text=how.written(), how_tight=how, place=place)


def _parted(given: Tree) -> Tree:
    """The stages that one text names, parted at its commas."""
    if not isinstance(given, Scalar):
        return given
    return [Scalar(part.strip(), given.line) for part in given.split(",")]


def _split(text: str) -> tuple[list[str], tuple[str, ...]]:
    """Split a row into what it prints and, after the word ``order``, the order."""
    printed: list[str] = []
    parts = [part.strip() for part in text.split(",") if part.strip()]
    for n, part in enumerate(parts):
        if part.startswith("order "):
            return printed, (part.removeprefix("order ").strip(), *parts[n + 1 :])
        printed.append(part.removeprefix("then ").strip())
    return printed, ()


def _sorted_out(printed: list[str]) -> tuple[dict[str, str], list[str]]:
    """Tell ``count 4``, ``thread M6x1.0`` and ``class 8.8`` from the stages."""
    hardware: dict[str, str] = {}
    stages = []
    for part in printed:
        word, _, rest = part.partition(" ")
        if word in _HARDWARE and rest:
            hardware[word] = rest.strip()
        else:
            stages.append(part)
    return hardware, stages


def _count(text: str | None) -> int | None:
    if text is None:
        return None
    if not text.isascii() or not text.isdigit():
        raise QuantityError("not-a-number", f"`count {text}` is no count", "write `count 4`")
    return int(text)


def _is_volume(text: str) -> bool:
    amount = quantity_of(text)
    return amount is not None and amount.kind == "volume"
