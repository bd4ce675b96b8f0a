"""Rows of an ``{expect}`` block: what a source prints of a thing, typed a second time."""

from __future__ import annotations

from dataclasses import dataclass, field

from procedures_lib.engineering.quantities import quantity_of
from procedures_lib.engineering.tightening import read_stages
from procedures_lib.findings import Place, SlipError
from procedures_lib.language.entities.field_reader import FieldReader
from procedures_lib.language.entities.field_types import refuse
from procedures_lib.language.entities.how_tight import (
    NOTHING_SAID,
    STAGE_KEYS,
    HowTight,
    on_every_car,
    read_how_tight,
)
from procedures_lib.language.entities.printed import SAYS, STEP, kinds_with, read_printed, words
from procedures_lib.language.entities.work import Expect, ExpectRow, Printed
from procedures_lib.language.reading.page import Block, Scalar, Tree, line_of
from procedures_lib.spelling import suggestion

_NEW_EVERY_TIME = "new every time"
_FASTENER = ("fastener",)
_TEXTS = ("rule", "procedure", "common", "job")
SAID_BY = frozenset({STEP, "vehicle", "kit", "dyno-session", *_TEXTS})
"""What has prose of its own, and so may have ``says``."""


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


@dataclass(slots=True)
class _Given:
    """What stands in a row, not yet read: stages, their order, and fields by their words."""

    text: str
    line: int
    how_tight: HowTight = NOTHING_SAID
    order: tuple[str, ...] = ()
    fields: dict[Scalar, Tree] = field(default_factory=dict)


def _row(key: Scalar, value: Tree, reader: FieldReader) -> ExpectRow | None:
    texts: list[Tree] = value if isinstance(value, list) else [value]
    by_key = isinstance(value, dict) and bool(value)
    if not by_key and not all(isinstance(text, Scalar) and text for text in texts):
        reader.find(key.line, "wrong-shape", f"`{key}` needs one text",
                    f"write `{key}: 89 lbf·in`")  # fmt: skip
        return None
    line = key.line if by_key else line_of(texts[0], key.line)
    try:
        given = _by_key(value, line) if isinstance(value, dict) else _in_one_line(texts, line)
        return _read(key, given, Place(reader.page, line))
    except SlipError as error:
        reader.find(error.line or line, error.check, f"`{key}`: {error.message}", error.hint)
    return None


def _read(key: Scalar, given: _Given, place: Place) -> ExpectRow:
    kinds = _kinds(given)
    printed = tuple(
        Printed(str(name), _value(kinds, name, tree), Place(place.page, name.line or place.line))
        for name, tree in given.fields.items()
    )
    return ExpectRow(
        id=key,
        text=given.text,
        place=place,
        how_tight=given.how_tight,
        order=given.order,
        printed=printed,
        kinds=kinds,
    )


def _value(kinds: tuple[str, ...], name: Scalar, tree: Tree) -> object:
    try:
        return read_printed(kinds, name, tree)
    except SlipError as error:
        line = error.line or line_of(tree, name.line)
        refuse(error.check, f"`{name}`: {error.message}", error.hint, line)


def _kinds(given: _Given) -> tuple[str, ...]:
    """Return the kinds that have all of the fields; refuses fields that nothing has, or no one."""
    for name in given.fields:
        if name not in words():
            refuse("unknown-field", f"nothing has a field `{name}` that a source could print",
                   suggestion(name, words()), name.line)  # fmt: skip
    names = [name for name in given.fields if name != SAYS]
    kinds = kinds_with(names)
    if given.how_tight or given.order:
        kinds = tuple(kind for kind in kinds if kind in _FASTENER)
    if len(names) < len(given.fields):
        kinds = tuple(kind for kind in (*kinds, *_TEXTS) if kind in SAID_BY)
        kinds = kinds if not names else tuple(kind for kind in kinds if kind not in _TEXTS)
    if not kinds:
        said = " and ".join(f"`{name}`" for name in given.fields)
        stages = ", and stages" if given.how_tight or given.order else ""
        refuse("unknown-field", f"no thing has {said}{stages}",
               "write a row for each thing, by its id", next(iter(given.fields)).line)  # fmt: skip
    return kinds


# -- one line --------------------------------------------------------------------------------------


def _in_one_line(texts: list[Tree], line: int) -> _Given:
    """Read ``thread M8x1.25, count 4, 18 lbf·ft, +45°, order a, b, c``."""
    given = _Given(", ".join(str(text) for text in texts), line)
    stages: list[str] = []
    parts = [part.strip() for part in given.text.split(",") if part.strip()]
    for n, part in enumerate(parts):
        if part.startswith("order "):
            given.order = (part.removeprefix("order ").strip(), *parts[n + 1 :])
            break
        name, said = _field_in(part)
        if not name:
            stages.append(part.removeprefix("then ").strip())
        elif name in given.fields:
            refuse("duplicate-key", f"`{name}` stands twice in this row", "leave one of them out")
        else:
            given.fields[Scalar(name, line)] = Scalar(said, line)
    given.how_tight = on_every_car(read_stages(stages))
    return given


def _field_in(part: str) -> tuple[str, str]:
    """Return the field and its value that a part of a row says; "" for a stage."""
    if part == _NEW_EVERY_TIME:
        return "reuse", "never"
    amount = quantity_of(part)
    if amount is not None and amount.kind == "volume":
        return "quantity", part
    word, _, rest = part.partition(" ")
    is_stage = word == "at" and rest.lstrip().startswith("most ")
    return (word, rest.strip()) if word in words() and rest and not is_stage else ("", "")


# -- by key ----------------------------------------------------------------------------------------


def _by_key(value: dict[Scalar, Tree], line: int) -> _Given:
    """Read fields by key; stages by condition, in words (``until``, ``see``) or as ``tighten``."""
    fields = {name: tree for name, tree in value.items() if not _is_of_stages(name, value)}
    tight = {
        name: _parted(tree) if "=" in name or " in " in name else tree
        for name, tree in value.items()
        if name not in fields
    }
    order = () if tight.keys() & STAGE_KEYS else _names(fields.pop(Scalar("order"), []))
    stages = fields.pop(Scalar("tighten"), None)
    if stages is not None and tight:
        refuse("wrong-shape", "the stages stand twice in this row",
               "write them once, under `tighten`", line)  # fmt: skip
    how = read_how_tight(_parted(stages) if stages is not None else tight)
    given = _Given("", line, how, order, _unnested(fields))
    said = [f"{name} {_text(tree)}" for name, tree in given.fields.items()]
    ordered = [f"order {', '.join(order)}"] if order else []
    given.text = ", ".join([*said, *([how.written()] if how else []), *ordered])
    return given


def _is_of_stages(name: Scalar, row: dict[Scalar, Tree]) -> bool:
    """Tell whether a key is a condition, or a word of a stage; ``order`` alone is a field."""
    if "=" in name or " in " in name:
        return True
    words_of_stage = STAGE_KEYS - {"order"}
    return name in words_of_stage or (name == "order" and bool(row.keys() & words_of_stage))


def _unnested(fields: dict[Scalar, Tree]) -> dict[Scalar, Tree]:
    """Turn ``into: {material: steel}`` into ``into material``, where that is a field."""
    found: dict[Scalar, Tree] = {}
    for name, tree in fields.items():
        parts = tree if isinstance(tree, dict) else {}
        if parts and all(f"{name} {part}" in words() for part in parts):
            found.update({Scalar(f"{name} {part}", part.line): of for part, of in parts.items()})
        else:
            found[name] = tree
    return found


def _names(tree: Tree) -> tuple[str, ...]:
    if isinstance(tree, list):
        return tuple(str(name).strip() for name in tree)
    return tuple(part.strip() for part in str(tree).split(","))


def _parted(given: Tree) -> Tree:
    """The stages that one text names, parted at its commas."""
    if not isinstance(given, Scalar):
        return given
    return [Scalar(part.strip(), given.line) for part in given.split(",")]


def _text(tree: Tree) -> str:
    if isinstance(tree, dict):
        return ", ".join(f"{key}: {_text(of)}" for key, of in tree.items())
    return ", ".join(map(_text, tree)) if isinstance(tree, list) else str(tree)
