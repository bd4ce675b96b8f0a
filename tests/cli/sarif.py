"""The shape that the SARIF standard gives to what a log holds, as an outside model has it.

The classes and their properties are those of ``sarif-om``, which was generated from the schema of
SARIF 2.1.0; it says which properties there are and which are needed, but not what a value may be.
The closed lists of words and the bounds below are from the standard's text (clauses in brackets).
"""

from __future__ import annotations

import re
from typing import Any

import attr
import sarif_om

PARTS: dict[tuple[str, str], str] = {
    ("SarifLog", "runs"): "Run",
    ("Run", "tool"): "Tool",
    ("Run", "results"): "Result",
    ("Tool", "driver"): "ToolComponent",
    ("ToolComponent", "rules"): "ReportingDescriptor",
    ("ReportingDescriptor", "shortDescription"): "MultiformatMessageString",
    ("ReportingDescriptor", "help"): "MultiformatMessageString",
    ("ReportingDescriptor", "defaultConfiguration"): "ReportingConfiguration",
    ("Result", "message"): "Message",
    ("Result", "locations"): "Location",
    ("Result", "relatedLocations"): "Location",
    ("Location", "physicalLocation"): "PhysicalLocation",
    ("PhysicalLocation", "artifactLocation"): "ArtifactLocation",
    ("PhysicalLocation", "region"): "Region",
}
"""The class of what stands under a property."""

LEVELS = {"none", "note", "warning", "error"}  # [3.27.10, 3.50.3]
OPEN = {"properties", "partialFingerprints", "originalUriBaseIds"}
"""Properties whose own names the standard leaves open [3.8, 3.27.17, 3.14.14]."""


def faults_of(log: Any, kind: str = "SarifLog") -> list[str]:
    """What is wrong with a log, or a part of it, by the model."""
    if not isinstance(log, dict):
        return [f"{kind} is no object"]
    fields = attr.fields(getattr(sarif_om, kind))
    known = {field.metadata["schema_property_name"]: field for field in fields}
    needed = {name for name, field in known.items() if field.default is attr.NOTHING}
    faults = [f"{kind} has no property {name}" for name in log.keys() - known.keys()]
    faults += [f"{kind} lacks {name}" for name in needed - log.keys()]
    for name, value in log.items():
        part = PARTS.get((kind, name))
        for each in value if isinstance(value, list) else [value]:
            if part:
                faults += faults_of(each, part)
            elif isinstance(each, dict) and name not in OPEN:
                faults.append(f"{kind}.{name} is of no known class")
    return faults + _value_faults(kind, log)


def _value_faults(kind: str, log: dict[str, Any]) -> list[str]:
    faults = []
    if kind == "SarifLog" and log.get("version") != "2.1.0":  # [3.13.2]
        faults.append("the version is another")
    if log.get("level", "none") not in LEVELS:
        faults.append(f"no such level: {log['level']}")
    if kind == "Region" and log["startLine"] < 1:  # [3.30.5]
        faults.append("lines count from 1")
    if kind == "ArtifactLocation" and not re.fullmatch(r"[\w%./:~-]+", log["uri"], re.ASCII):
        faults.append(f"no URI: {log['uri']}")  # RFC 3986, as [3.4.3] asks
    if kind == "Message" and re.sub(r"\{\{|\}\}", "", log["text"]).strip("{}") != re.sub(
        r"\{\{|\}\}|[{}]", "", log["text"]
    ):
        faults.append("a brace that stands alone")  # [3.11.5]
    return faults


def rule_faults(run: dict[str, Any]) -> list[str]:
    """Results whose rule is not the one at their index [3.27.6, 3.52.5]."""
    rules = run["tool"]["driver"]["rules"]
    return [r["ruleId"] for r in run["results"] if rules[r["ruleIndex"]]["id"] != r["ruleId"]]
