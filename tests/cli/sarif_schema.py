"""What the schema of SARIF 2.1.0 allows for the objects and properties that our logs have.

Types, bounds, closed lists and what is needed are those of OASIS's ``sarif-schema-2.1.0.json``
(repository oasis-tcs/sarif-spec, commit 0a8091f7, "errata01/os"), written down anew and for these
properties alone: any other is a fault here, whether the standard has it or not.
"""

from __future__ import annotations

from typing import Any

from jsonschema import Draft4Validator

_TEXT = {"type": "string"}
_INDEX = {"type": "integer", "minimum": -1}
_LEVEL = {"enum": ["none", "note", "warning", "error"]}
_TEXTS = {"type": "object", "additionalProperties": _TEXT}


def _the(name: str) -> dict[str, Any]:
    return {"$ref": f"#/definitions/{name}"}


def _row(item: dict[str, Any], *, unlike: bool = False) -> dict[str, Any]:
    return {"type": "array", "items": item, "uniqueItems": unlike}


def _object(properties: dict[str, Any], *needed: str, **more: Any) -> dict[str, Any]:
    shape = {"type": "object", "properties": properties, "additionalProperties": False, **more}
    return shape | ({"required": list(needed)} if needed else {})


_OBJECTS = {
    "run": _object(
        {
            "tool": _the("tool"),
            "originalUriBaseIds": {"type": "object", "additionalProperties": _the("artifact")},
            "columnKind": {"enum": ["utf16CodeUnits", "unicodeCodePoints"]},
            "results": _row(_the("result")),
        },
        "tool",
    ),
    "tool": _object({"driver": _the("component")}, "driver"),
    "component": _object(
        {"name": _TEXT, "version": _TEXT, "rules": _row(_the("rule"), unlike=True)}, "name"
    ),
    "rule": _object(
        {
            "id": _TEXT,
            "shortDescription": _the("words"),
            "help": _the("words"),
            "defaultConfiguration": _object({"level": _LEVEL}),
            "properties": {"type": "object", "properties": {"tags": _row(_TEXT, unlike=True)}},
        },
        "id",
    ),
    "words": _object({"text": _TEXT, "markdown": _TEXT}, "text"),
    "result": _object(
        {
            "ruleId": _TEXT,
            "ruleIndex": _INDEX,
            "level": _LEVEL,
            "message": _the("message"),
            "locations": _row(_the("location")),
            "relatedLocations": _row(_the("location"), unlike=True),
            "partialFingerprints": _TEXTS,
        },
        "message",
    ),
    "message": _object({"text": _TEXT}, "text"),
    "location": _object({"id": _INDEX, "physicalLocation": _the("place")}),
    "place": _object({"artifactLocation": _the("artifact"), "region": _the("region")},
                     "artifactLocation"),
    "artifact": _object({"uri": _TEXT, "uriBaseId": _TEXT, "description": _the("message")}),
    "region": _object({"startLine": {"type": "integer", "minimum": 1}}, "startLine"),
}  # fmt: skip

SCHEMA = _object(
    {"$schema": _TEXT, "version": {"enum": ["2.1.0"]}, "runs": _row(_the("run"))},
    "version",
    "runs",
    definitions=_OBJECTS,
)
Draft4Validator.check_schema(SCHEMA)  # the draft that the standard's own schema is written in


def schema_faults(log: Any) -> list[str]:
    """What is wrong with a log by the schema: where, and what."""
    return [
        f"{'/'.join(map(str, error.absolute_path))}: {error.message}"
        for error in Draft4Validator(SCHEMA).iter_errors(log)
    ]
