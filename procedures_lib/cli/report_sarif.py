"""Findings as SARIF 2.1.0 (OASIS Standard, with errata 01), for code review tools."""

from __future__ import annotations

import hashlib
from collections import Counter
from typing import TYPE_CHECKING, Any

from procedures_lib.checks.catalogue import CATALOGUE
from procedures_lib.cli.check_page import help_of_check
from procedures_lib.cli.faults import version
from procedures_lib.cli.report_places import Places
from procedures_lib.cli.wording import printable

if TYPE_CHECKING:
    from procedures_lib.cli.folders import Folders
    from procedures_lib.cli.loading import Checked
    from procedures_lib.findings import Finding, Place

SCHEMA = (
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
)
TOP = "SRCROOT"
"""The name for the top of the repository, which a reader of the file knows (clause 3.14.14)."""
FINGERPRINT = "checkAndLine/v1"


def report_sarif(checked: Checked, folders: Folders) -> dict[str, Any]:
    """Return a log with one run: the checks that found something as rules, then the findings.

    Paths are relative to the top of the repository.
    """
    places = Places.of(folders)
    rules = sorted({finding.check for finding in checked.findings})
    seen: Counter[str] = Counter()
    results = [_result(finding, rules, places, seen) for finding in checked.findings]
    driver = {
        "name": "procedures",
        "version": version(),
        "rules": [_rule(name, folders) for name in rules],
    }
    run = {
        "tool": {"driver": driver},
        "originalUriBaseIds": {TOP: {"description": {"text": "The top of the repository."}}},
        "columnKind": "unicodeCodePoints",
        "results": results,
    }
    return {"$schema": SCHEMA, "version": "2.1.0", "runs": [run]}


def _rule(name: str, folders: Folders) -> dict[str, Any]:
    check = CATALOGUE[name]
    finds = f"Finds {check.finds}."
    shown = help_of_check(name, folders)
    helped = {"text": shown, "markdown": shown} if shown else {"text": finds}
    return {
        "id": name,
        "shortDescription": {"text": finds},
        "help": helped,
        "defaultConfiguration": {"level": str(check.level)},
        "properties": {"tags": [check.family]},
    }


def _result(
    finding: Finding, rules: list[str], places: Places, seen: Counter[str]
) -> dict[str, Any]:
    variants = f" [{finding.variants}]" if finding.variants else ""
    said = ". ".join(filter(None, [finding.message + variants, finding.hint]))
    result: dict[str, Any] = {
        "ruleId": finding.check,
        "ruleIndex": rules.index(finding.check),
        "level": str(finding.level),
        "message": {"text": _message(said)},
        "locations": [_location(finding.place, places)],
        "partialFingerprints": {FINGERPRINT: _fingerprint(finding, places, seen)},
    }
    if finding.related:
        result["relatedLocations"] = [
            {"id": n, **_location(place, places)} for n, place in enumerate(finding.related)
        ]
    return result


def _message(text: str) -> str:
    """A message without placeholders (clause 3.11.5) and embedded links (3.11.6)."""
    braces = printable(text).replace("{", "{{").replace("}", "}}")
    return braces.replace("](", "\\](")


def _location(place: Place, places: Places) -> dict[str, Any]:
    uri = places.uri(place.page)
    artifact = {"uri": uri} if "://" in uri else {"uri": uri, "uriBaseId": TOP}
    return {"physicalLocation": {"artifactLocation": artifact, "region": {"startLine": place.line}}}


def _fingerprint(finding: Finding, places: Places, seen: Counter[str]) -> str:
    """The same while the page, the check and the text of the line are; not its number."""
    page, line = finding.place.page, finding.place.line
    said = "\n".join([finding.check, page, finding.variants, places.line(page, line)])
    seen[said] += 1
    digest = hashlib.blake2b(said.encode("utf-8", "surrogatepass"), digest_size=16)
    return f"{digest.hexdigest()}:{seen[said]}"
