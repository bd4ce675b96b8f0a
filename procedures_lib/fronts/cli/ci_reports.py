"""Findings for programs: JSON, annotations of a pull request, SARIF 2.1.0, JUnit's XML.

Source of the format and its escapes: the workflow commands that GitHub documents for its runners.

A page without findings is a test that passed, a finding one of its own: an error has failed, a
warning has passed with its words as output. Elements and attributes are those of ``junit-10.xsd``,
the schema of the Jenkins xUnit plug-in (``testsuites``, ``testsuite``, ``testcase``, ``failure``,
``system-out``). The older one of Apache Ant's runner knows no words of a test that has passed.
"""

from __future__ import annotations

import functools
import hashlib
import os
from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import quote
from xml.etree.ElementTree import Element, SubElement, indent, tostring

from procedures_lib.findings import Finding, Level, Place
from procedures_lib.fronts.cli.explain import help_of_check
from procedures_lib.fronts.cli.loading import Checked, Folders
from procedures_lib.fronts.cli.revision import top_of
from procedures_lib.fronts.cli.terminal import printable, version
from procedures_lib.judging.checks.catalogue import CATALOGUE


@dataclass(frozen=True)
class Places:
    """The files of a manual below ``top``, the folder from which paths are counted."""

    folders: Folders
    top: Path

    @classmethod
    def of(cls, folders: Folders) -> Places:
        """Count from the top of the repository, or from the manual's folder outside of one."""
        return cls(folders, top_of(folders.pages) or folders.project)

    def path(self, page: str) -> str:
        """Return a file's path with forward slashes; from the root when it is not below."""
        path = self.folders.path_of(page)
        below = os.path.relpath(path, os.path.realpath(self.top))
        if below.split(os.sep)[0] == "..":
            below = os.path.relpath(os.path.realpath(path), os.path.realpath(self.top))
        return path.as_posix() if below.split(os.sep)[0] == ".." else Path(below).as_posix()

    def uri(self, page: str) -> str:
        """Return a file's path as a URI reference (RFC 3986), relative where it can be."""
        path = self.path(page)
        if Path(path).is_absolute():
            return Path(path).as_uri()
        return quote(path.encode("utf-8", "surrogateescape"), safe="/")

    @functools.cached_property
    def _lines(self) -> dict[str, list[str]]:
        return {}

    def line(self, page: str, number: int) -> str:
        """Return a line of a file without the space around it; "" where there is none."""
        if page not in self._lines:
            try:
                raw = self.folders.path_of(page).read_bytes()
            except OSError:
                raw = b""
            self._lines[page] = raw.decode("utf-8", "replace").splitlines()
        lines = self._lines[page]
        return lines[number - 1].strip() if 0 < number <= len(lines) else ""


def report_github(checked: Checked, folders: Folders) -> str:
    """Return a line for each finding; "" for none. No text of a page can begin a command."""
    places = Places.of(folders)
    return "".join(f"{_annotation(finding, places)}\n" for finding in checked.findings)


def _annotation(finding: Finding, places: Places) -> str:
    variants = f" [{finding.variants}]" if finding.variants else ""
    said = [printable(finding.message + variants), printable(finding.hint)]
    properties = {
        "file": printable(places.path(finding.place.page)),
        "line": str(finding.place.line),
        "title": finding.check,
    }
    listed = ",".join(f"{name}={_property(value)}" for name, value in properties.items())
    return f"::{finding.level} {listed}::{_data(chr(10).join(filter(None, said)))}"


def _data(text: str) -> str:
    return text.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def _property(text: str) -> str:
    return _data(text).replace(":", "%3A").replace(",", "%2C")


FORMAT = 1


def report_json(checked: Checked, folders: Folders) -> dict[str, Any]:
    """Return ``{format, pages, findings}``; findings in the order of page and line.

    ``path`` is relative to the current folder and ``page`` to the folder of pages, both with
    forward slashes.
    """
    return {
        "format": FORMAT,
        "pages": len(checked.pages),
        "findings": [_finding(finding, folders) for finding in checked.findings],
    }


def _finding(finding: Finding, folders: Folders) -> dict[str, Any]:
    page = finding.place.page
    return {
        "path": Path(folders.shown(page)).as_posix(),
        "page": page,
        "line": finding.place.line,
        "level": str(finding.level),
        "check": finding.check,
        "message": finding.message,
        "hint": finding.hint,
        "variants": finding.variants,
        "related": [{"page": place.page, "line": place.line} for place in finding.related],
    }


NAME = "procedures check"


def report_junit(checked: Checked, folders: Folders) -> str:
    """Return the report as an XML document; its text holds no character that XML forbids."""
    places = Places.of(folders)
    found = {finding.place.page for finding in checked.findings}
    clean = [page for page in checked.pages if page not in found]
    tests = str(len(clean) + len(checked.findings))
    counts = {"name": NAME, "tests": tests, "failures": str(len(checked.errors)), "errors": "0"}
    suites = Element("testsuites", counts)
    suite = SubElement(suites, "testsuite", {**counts, "skipped": "0"})
    for page in clean:
        _case(suite, places, page, "no findings")
    for finding in checked.findings:
        _test_case(suite, places, finding)
    indent(suites)
    text = tostring(suites, encoding="unicode")
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{text}\n'


def _case(suite: Element, places: Places, page: str, name: str) -> Element:
    return SubElement(
        suite, "testcase", {"classname": printable(places.path(page)), "name": name, "time": "0"}
    )


def _test_case(suite: Element, places: Places, finding: Finding) -> None:
    page, line = finding.place.page, finding.place.line
    case = _case(suite, places, page, f"{finding.check}, line {line}")
    variants = f" [{finding.variants}]" if finding.variants else ""
    message = printable(finding.message + variants)
    where = f"{printable(places.path(page))}:{line}"
    text = f"{where}: {message}" + (f"\n{printable(finding.hint)}" if finding.hint else "")
    if finding.level is Level.ERROR:
        SubElement(case, "failure", {"type": finding.check, "message": message}).text = text
    else:
        SubElement(case, "system-out").text = f"{finding.level}: {text}"


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
