"""docs/reference/blocks-and-fields.md is made from the code that reads pages.

So the two can't drift apart.

``python -m tests.formats.test_blocks_and_fields`` writes its list anew.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

from procedures_lib.fronts.formats.block_schema import block_schema
from procedures_lib.language.entities.builder import COLLECTIONS
from procedures_lib.language.entities.field_types import _COUNT_SCHEMA, _DATE_SCHEMA, _YES_NO_SCHEMA
from procedures_lib.language.entities.verbs import VERBS
from procedures_lib.language.reading.block_kinds import BLOCK_KINDS, SIGNAL_WORDS, Body

PAGE = Path(__file__).resolve().parents[2] / "docs" / "reference" / "blocks-and-fields.md"
BEGIN, END = "<!-- blocks: begin -->", "<!-- blocks: end -->"
DERIVED = [kind.name for kind in BLOCK_KINDS.values() if kind.body is Body.DERIVED]


KNOWN = [
    (_YES_NO_SCHEMA, "`true` or `false`"),
    (_COUNT_SCHEMA, "a whole number, 1 to 1000"),
    (_DATE_SCHEMA, "a date: `2026-09-14`"),
    ({"type": ["number", "string"]}, "a number"),
    ({"type": "string", "pattern": "[0-9]"}, "a quantity"),
]


def takes(shape: dict[str, Any]) -> str:
    """What a field takes, in words."""
    said = {key: value for key, value in shape.items() if key not in {"title", "description"}}
    if "$ref" in said:
        return f"a mapping, *{in_words(said['$ref'])}* below"
    if "anyOf" in said:
        first, *others = said["anyOf"]
        listed = others and others[-1].get("type") == "array"
        return f"{takes(first)}, or a list" if listed else " or ".join(map(takes, said["anyOf"]))
    if "enum" in said and said != _YES_NO_SCHEMA:
        return ", ".join(f"`{word}`" for word in said["enum"])
    return next((words for known, words in KNOWN if said == known), simple(said))


def in_words(name: str) -> str:
    """A model's name as words: ``#/$defs/ContentItem`` is "content item"."""
    return re.sub(r"(?<!^)(?=[A-Z])", " ", name.rpartition("/")[2]).lower()


def simple(said: dict[str, Any]) -> str:
    """What a field of one plain type takes."""
    if "pattern" in said:
        return "an id"
    return {"object": "a mapping", "array": "a list"}.get(str(said.get("type")), "text")


def field_table(schema: dict[str, Any]) -> list[str]:
    needed = schema.get("required", [])
    rows = ["| field | needed | takes | says |", "|---|---|---|---|"]
    for name, shape in schema["properties"].items():
        mark = "needed" if name in needed else ""
        says = shape["description"].replace("|", "\\|")
        rows.append(f"| `{name}` | {mark} | {takes(shape)} | {says} |")
    return rows


def block_table() -> list[str]:
    rows = ["| block | body | after the name | says |", "|---|---|---|---|"]
    for kind in BLOCK_KINDS.values():
        after = kind.argument + ("" if kind.argument_needed or not kind.argument else ", if any")
        rows.append(f"| `{kind.name}` | {kind.body.value} | {after} | {kind.purpose} |")
    return rows


def verb_table() -> list[str]:
    rows = ["| verb | works on | takes it from → to |", "|---|---|---|"]
    for verb in VERBS.values():
        rows.append(
            f"| `{verb.name}` | {', '.join(sorted(verb.kinds)) or 'anything'} | {verb.does} |"
        )
    return rows


def fields_of_block(heading: str, block: str) -> list[str]:
    """The fields of a block, and of the mappings inside them."""
    schema = block_schema(block)
    parts = dict(schema.get("$defs", {}))
    own = parts.pop(next(iter(parts))) if block in COLLECTIONS else schema
    lines = ["", f"### {heading}", "", *field_table(own)]
    for name, part in parts.items():
        lines += ["", f"#### {in_words(name)}", "", part["description"], "", *field_table(part)]
    return lines


def written() -> str:
    """The list of blocks, fields, options and verbs."""
    lines = ["## Blocks", "", *block_table(), "", "## Fields"]
    for kind in BLOCK_KINDS.values():
        if kind.body is Body.DATA and kind.name != "expect":
            entry = ", each entry" if kind.name in COLLECTIONS else ""
            lines += fields_of_block(f"`{kind.name}`{entry}", kind.name)
    lines += ["", "## Options"]
    for heading, block in (
        ("`step`", "step"),
        ("`common-steps`", "common-steps"),
        (", ".join(f"`{word}`" for word in SIGNAL_WORDS), SIGNAL_WORDS[0]),
        (", ".join(f"`{name}`" for name in DERIVED), DERIVED[0]),
        ("`page-example`", "page-example"),
    ):
        lines += fields_of_block(heading, block)
    return "\n".join([*lines, "", "## Verbs", "", *verb_table()])


def test_the_reference_is_up_to_date() -> None:
    text = PAGE.read_text("utf-8")
    listed = text[text.index(BEGIN) + len(BEGIN) : text.index(END)].strip()
    assert listed == written(), "run: python -m tests.formats.test_blocks_and_fields"


def test_everything_is_on_it() -> None:
    text = written()
    assert all(f"| `{name}` |" in text for name in (*BLOCK_KINDS, *VERBS))
    assert text.count("### ") >= 17
    assert "| `held-by` |  | an id, or a list | the fasteners that hold it |" in text
    assert "| `name` | needed | text | what people call it |" in text
    assert "`DANGER`, `WARNING`, `CAUTION`, `NOTICE`" in text


def main() -> None:
    """Write the list anew."""
    text = PAGE.read_text("utf-8")
    before, after = text[: text.index(BEGIN) + len(BEGIN)], text[text.index(END) :]
    PAGE.write_text(f"{before}\n\n{written()}\n\n{after}", encoding="utf-8")


if __name__ == "__main__":
    main()
