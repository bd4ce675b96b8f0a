"""Rows of an ``{expect}`` block: the number as a source prints it, typed a second time."""

from __future__ import annotations

from typing import TYPE_CHECKING

from procedures_lib.entities.work import Expect, ExpectRow
from procedures_lib.findings import Place
from procedures_lib.quantities import QuantityError, read_quantity
from procedures_lib.reading.scalar import Scalar
from procedures_lib.tightening import StageError, read_stages

if TYPE_CHECKING:
    from procedures_lib.entities.fields import FieldReader
    from procedures_lib.reading.page import Block
    from procedures_lib.reading.scalar import Tree


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
    texts = value if isinstance(value, list) else [value]
    if not all(isinstance(text, Scalar) and text for text in texts):
        reader.find(key.line, "wrong-shape", f"`{key}` needs one text",
                    f"write `{key}: 89 lbf·in`")  # fmt: skip
        return None
    text = ", ".join(str(t) for t in texts)
    line = next((t.line for t in texts if isinstance(t, Scalar)), key.line)
    stage_texts, order = _split(text)
    place = Place(reader.page, line)
    try:
        if len(stage_texts) == 1 and _is_volume(stage_texts[0]):
            amount = read_quantity(stage_texts[0], "volume")
            return ExpectRow(id=key, text=text, amount=amount, place=place)
        stages = read_stages(stage_texts)
    except (StageError, QuantityError) as error:
        reader.find(line, error.check, f"`{key}`: {error.message}", error.hint)
        return None
    return ExpectRow(id=key, text=text, stages=stages, order=order, place=place)


def _split(text: str) -> tuple[list[str], tuple[str, ...]]:
    """Split a row into its stages and, after the word ``order``, the order."""
    stages: list[str] = []
    parts = [part.strip() for part in text.split(",") if part.strip()]
    for n, part in enumerate(parts):
        if part.startswith("order "):
            return stages, (part.removeprefix("order ").strip(), *parts[n + 1 :])
        stages.append(part.removeprefix("then ").strip())
    return stages, ()


def _is_volume(text: str) -> bool:
    try:
        return read_quantity(text).kind == "volume"
    except QuantityError:
        return False
