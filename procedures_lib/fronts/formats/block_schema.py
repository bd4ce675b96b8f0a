"""JSON Schema (draft 2020-12) of what each block holds, made from the models that read it.

A schema is for editors and other programs: it knows fields, words and shapes. What depends on
another page (ids, options, the order of work) only the checks know.
"""

from __future__ import annotations

from functools import cache
from typing import Any

from procedures_lib.engineering.quantities.units import kind_named
from procedures_lib.language.entities.builder import COLLECTIONS, HEADS
from procedures_lib.language.entities.car import Fastener, Into
from procedures_lib.language.entities.dyno_session import Air, Dyno, EngineKind, Pull
from procedures_lib.language.entities.entity import Model, fields_of, note_on
from procedures_lib.language.entities.field_types import STRINGS
from procedures_lib.language.entities.hazard import BUILTIN_HAZARDS, Hazard
from procedures_lib.language.entities.how_tight import CONDITION_KEY, OF_ONE_STAGE, STAGES
from procedures_lib.language.entities.how_tight import SCHEMA as TIGHTEN
from procedures_lib.language.entities.kit import (
    CONTENT_KINDS,
    Claims,
    ContentItem,
    Emissions,
    Fits,
    Needs,
)
from procedures_lib.language.entities.picture import Picture
from procedures_lib.language.entities.printed import PRINTED_OF, SAYS, paths_of, words
from procedures_lib.language.entities.work import (
    CommonStepsOptions,
    DerivedOptions,
    RuleOptions,
    SampleOptions,
    SignalOptions,
    StepOptions,
)
from procedures_lib.language.reading.block_kinds import BLOCK_KINDS, SIGNAL_WORDS, BlockKind, Body

DIALECT = "https://json-schema.org/draft/2020-12/schema"
_BY_NAME: dict[str, type[Model]] = {
    **HEADS,
    **COLLECTIONS,
    **dict.fromkeys(SIGNAL_WORDS, SignalOptions),
    "step": StepOptions,
    "common-steps": CommonStepsOptions,
    "rule": RuleOptions,
    "picture": Picture,
}
_BY_BODY: dict[Body, type[Model]] = {Body.DERIVED: DerivedOptions, Body.SAMPLE: SampleOptions}
_ID = {"pattern": "^[a-z0-9]+(?:-[a-z0-9]+)*$"}
_TEXT = {"type": ["string", "number", "boolean"]}


def model_of(block: str) -> type[Model] | None:
    """Return the model of a block, of an entry of a collection, or of the options of a text block.

    None for ``expect``, whose rows are free.
    """
    return _BY_NAME.get(block) or _BY_BODY.get(BLOCK_KINDS[block].body)


def block_schema(block: str) -> dict[str, Any]:
    """Return the JSON Schema of a block: of its YAML, or of the options of a text block.

    KeyError for a block that does not exist.
    """
    kind = BLOCK_KINDS[block]
    return {"$schema": DIALECT, **_head(kind), **_body(block)}


def _head(kind: BlockKind) -> dict[str, Any]:
    what = "" if kind.body is Body.DATA else "the options of a block that says "
    return {"title": kind.name, "description": what + kind.purpose}


def _body(block: str) -> dict[str, Any]:
    model = model_of(block)
    if model is None:
        return _expect()
    parts: dict[str, Any] = {}
    made = _object(model, parts)
    if block in COLLECTIONS:
        parts = {model.__name__: made, **parts}
        entry = {"$ref": f"#/$defs/{model.__name__}"}
        made = {"type": "object", "propertyNames": _ID, "additionalProperties": entry}
        if model is Hazard:
            known = {key: value for key, value in parts["Hazard"].items() if key != "required"}
            parts["KnownHazard"] = {"description": "one that the library knows", **known}
            entry = {"$ref": "#/$defs/KnownHazard"}
            made["properties"] = dict.fromkeys(BUILTIN_HAZARDS, entry)
    return {**made, **({"$defs": parts} if parts else {})}


def _expect() -> dict[str, Any]:
    """The schema of double entry: a row is a text, or has the fields of what it is about."""
    parts: dict[str, Any] = {}
    fields: dict[str, list[dict[str, Any]]] = {name: [] for name in sorted(words())}
    for kind, model in PRINTED_OF.items():
        for name, path in paths_of(kind).items():
            shape = _printed(model, path, parts)
            if shape not in fields[name]:
                fields[name].append(shape)
    row = {
        "type": "object",
        "minProperties": 1,
        "properties": {
            **{name: _any_of(shapes) for name, shapes in fields.items()},
            SAYS: {"description": "the amounts that its text states with `{q}`", **STRINGS},
            **{name: {"description": "how tight, in words", **_TEXT} for name in ("until", "see")},
            "tighten": {"description": note_on(Fastener, "tighten"), **TIGHTEN},
            "order": {"description": note_on(Fastener, "order"), **STRINGS},
        },
        "patternProperties": {CONDITION_KEY: STAGES},
        "additionalProperties": False,
    }  # fmt: skip
    texts = {"type": "array", "items": _TEXT, "minItems": 1}
    return {
        "type": "object",
        "minProperties": 1,
        "propertyNames": _ID,
        "additionalProperties": {"anyOf": [_TEXT, texts, OF_ONE_STAGE, {"$ref": "#/$defs/Row"}]},
        "$defs": {"Row": row, **parts},
    }


def _printed(model: type[Model], path: tuple[str, ...], parts: dict[str, Any]) -> dict[str, Any]:
    """The schema of a field as a source prints it; what is never used again says so in a word."""
    name = next(written for written, attribute in fields_of(model).items() if attribute == path[0])
    raw = _schema_of(model)
    if path == ("contents",):
        how_many = {"type": ["integer", "string"]}
        return {"description": note_on(model, name), "type": "object",
                "additionalProperties": how_many}  # fmt: skip
    shape = _field(model, name, raw["properties"][name], raw, parts)
    if len(path) > 1:
        inner = parts[shape["$ref"].rpartition("/")[2]]["properties"]
        shape = next(of for key, of in inner.items() if key.replace("-", "_") == path[1])
    shape = {key: of for key, of in shape.items() if key != "title"}
    if name == "reuse":
        shape["enum"] = [*shape["enum"], "never"]
    return shape


def _any_of(shapes: list[dict[str, Any]]) -> dict[str, Any]:
    return shapes[0] if len(shapes) == 1 else {"anyOf": shapes}


def _object(model: type[Model], parts: dict[str, Any]) -> dict[str, Any]:
    """The schema of one mapping; those inside it go into ``parts``."""
    written = fields_of(model)
    raw = _schema_of(model)
    needed = [name for name in raw.get("required", []) if name in written]
    fields = {name: _field(model, name, raw["properties"][name], raw, parts) for name in written}
    made = {"type": "object", "properties": fields, "additionalProperties": False}
    if needed:
        made["required"] = needed
    if model is ContentItem:
        made["oneOf"] = [{"required": [kind]} for kind in CONTENT_KINDS]
    return made


@cache
def _schema_of(model: type[Model]) -> dict[str, Any]:
    """What pydantic makes of a model; nothing may write into it."""
    return model.model_json_schema(by_alias=True)


def _field(
    model: type[Model], name: str, raw: dict[str, Any], whole: dict[str, Any], parts: dict[str, Any]
) -> dict[str, Any]:
    shape = _shape(raw, whole, parts)
    kind = shape.pop("x-kind", "")
    note = note_on(model, name) + (f" ({kind_named(kind).called}: number and unit)" if kind else "")
    return {"title": name, "description": note, **shape}


def _shape(raw: dict[str, Any], whole: dict[str, Any], parts: dict[str, Any]) -> dict[str, Any]:
    """A field's schema as a page writes it: an empty value is none, and defaults are not said."""
    if "$ref" in raw:
        name = raw["$ref"].rpartition("/")[2]
        if name not in parts:
            parts[name] = {}
            parts[name] = {"description": whole["$defs"][name].get("description", ""),
                           **_object(_MODELS[name], parts)}  # fmt: skip
        return {"$ref": f"#/$defs/{name}"}
    shape = {key: value for key, value in raw.items() if key not in {"default", "title"}}
    if raw.get("type") == "array" and "$ref" in raw.get("items", {}):
        one = _shape(raw["items"], whole, parts)
        return {"anyOf": [one, {"type": "array", "items": one}]}
    if "anyOf" in raw:
        others = [each for each in raw["anyOf"] if each != {"type": "null"}]
        if len(others) == 1:
            return _shape(others[0], whole, parts)
        shape["anyOf"] = [_shape(each, whole, parts) for each in others]
    return shape


_MODELS: dict[str, type[Model]] = {
    model.__name__: model
    for model in (Fits, ContentItem, Needs, Claims, Emissions, Into, Dyno, EngineKind, Air, Pull)
}
"""The models that stand inside others."""
