"""Findings for people, and for programs: JSON, annotations, SARIF 2.1.0, JUnit's XML.

Annotations of a pull request: the workflow commands that GitHub documents for its runners, and
their escapes. SARIF: the standard of OASIS, whose clauses are named below. JUnit: elements and
attributes are those of ``junit-10.xsd``, the schema of the Jenkins xUnit plug-in; a page without
findings is a test that passed, a finding one of its own: an error has failed, a warning has passed
with its words as output. The older schema of Apache Ant's runner knows no words of a test that has
passed.
"""

from __future__ import annotations

import hashlib
import os
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from urllib.parse import quote
from xml.etree.ElementTree import Element, SubElement, indent, tostring

import click

from procedures_lib.findings import Finding, Level, Place, Unjudged, printable
from procedures_lib.fronts.cli.arguments import Folders
from procedures_lib.fronts.cli.checked_manual import Checked
from procedures_lib.fronts.cli.explain import help_of_check
from procedures_lib.fronts.cli.revision import top_of
from procedures_lib.fronts.cli.terminal import version
from procedures_lib.judging.checks.catalogue import CATALOGUE
from procedures_lib.judging.unjudged import counts_by_kind

_COLOURS = {Level.ERROR: "red", Level.WARNING: "yellow"}


def message_of(finding: Finding) -> str:
    """Return what is wrong, and on which cars, on one line."""
    cars = f" [{finding.variants}]" if finding.variants else ""
    return printable(finding.message + cars)


def report_text(checked: Checked, folders: Folders) -> str:
    """Return all findings and the line that counts them, coloured.

    Each begins with ``path:line:``, the path relative to the current folder.
    """
    texts = [finding_text(finding, folders) for finding in checked.findings]
    return "\n".join([*texts, checked.summary(folders)])


def finding_text(finding: Finding, folders: Folders) -> str:
    """Return one finding: where and what, its hint, and the places related to it."""

    def where(place: Place) -> str:
        return f"{printable(folders.way_to(place.page))}:{place.line}"

    level = click.style(f"{finding.level}:", fg=_COLOURS[finding.level], bold=True)
    check = click.style(finding.check, bold=True)
    lines = [f"{where(finding.place)}: {level} {check}: {message_of(finding)}"]
    if finding.hint:
        lines.append(f"    {printable(finding.hint)}")
    lines += [f"    see {where(place)}" for place in finding.related]
    return "\n".join(lines)


def report_unjudged(checked: Checked, folders: Folders) -> str:
    """Return what can't be judged, as :func:`report_text` shows findings; "" for nothing."""

    def where(place: Place) -> str:
        return f"{printable(folders.way_to(place.page))}:{place.line}"

    level = click.style("not judged:", fg="cyan", bold=True)
    lines = []
    for each in checked.unjudged:
        said = printable(f"{each.what}: {each.why}")
        lines.append(f"{where(each.place)}: {level} {click.style(each.kind, bold=True)}: {said}")
        lines += [f"    see {where(place)}" for place in each.related]
    return "\n".join(lines)


FORMAT = 1


def report_json(checked: Checked, folders: Folders, unjudged: bool = False) -> dict[str, Any]:
    """Return ``{format, pages, findings, not_judged}``; findings in the order of page and line.

    ``path`` is relative to the current folder and ``page`` to the folder of pages, both with
    forward slashes. ``not_judged`` has a number for each kind; what is counted follows as
    ``unjudged`` when it is asked for.
    """
    listed = [_unjudged_json(each, folders) for each in checked.unjudged]
    return {
        **_findings_json(checked, folders),
        "not_judged": counts_by_kind(checked.unjudged),
        **({"unjudged": listed} if unjudged else {}),
    }


def _unjudged_json(each: Unjudged, folders: Folders) -> dict[str, Any]:
    return {
        "path": Path(folders.way_to(each.place.page)).as_posix(),
        "page": each.place.page,
        "line": each.place.line,
        "kind": each.kind,
        "what": each.what,
        "why": each.why,
        "related": [{"page": place.page, "line": place.line} for place in each.related],
    }


def _findings_json(checked: Checked, folders: Folders) -> dict[str, Any]:
    return {
        "format": FORMAT,
        "pages": len(checked.pages),
        "findings": [
            {
                "path": Path(folders.way_to(finding.place.page)).as_posix(),
                "page": finding.place.page,
                "line": finding.place.line,
                "level": str(finding.level),
                "check": finding.check,
                "message": finding.message,
                "hint": finding.hint,
                "variants": finding.variants,
                "related": [{"page": place.page, "line": place.line} for place in finding.related],
            }
            for finding in checked.findings
        ],
    }


@dataclass(frozen=True)
class Places:
    """The files of a manual below ``top``, the folder from which paths are counted."""

    folders: Folders
    top: Path
    _lines: dict[str, list[str]] = field(default_factory=dict)

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
    path = _property(printable(places.path(finding.place.page)))
    about = f"file={path},line={finding.place.line},title={_property(finding.check)}"
    lines = filter(None, [message_of(finding), printable(finding.hint)])
    return f"::{finding.level} {about}::{_data(chr(10).join(lines))}"


def _data(text: str) -> str:
    return text.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def _property(text: str) -> str:
    return _data(text).replace(":", "%3A").replace(",", "%2C")


def report_junit(checked: Checked, folders: Folders) -> str:
    """Return the report as an XML document; its text holds no character that XML forbids."""
    places = Places.of(folders)
    found = {finding.place.page for finding in checked.findings}
    clean = [page for page in checked.pages if page not in found]
    tests = str(len(clean) + len(checked.findings))
    failures = str(len(checked.errors))
    totals = {"name": "procedures check", "tests": tests, "failures": failures, "errors": "0"}
    suites = Element("testsuites", totals)
    suite = SubElement(suites, "testsuite", {**totals, "skipped": "0"})
    for page in clean:
        _test_case(suite, printable(places.path(page)), "no findings")
    for finding in checked.findings:
        _test_case_of(finding, suite, printable(places.path(finding.place.page)))
    indent(suites)
    text = tostring(suites, encoding="unicode")
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{text}\n'


def _test_case(suite: Element, path: str, name: str) -> Element:
    return SubElement(suite, "testcase", {"classname": path, "name": name, "time": "0"})


def _test_case_of(finding: Finding, suite: Element, path: str) -> None:
    line = finding.place.line
    case = _test_case(suite, path, f"{finding.check}, line {line}")
    message = message_of(finding)
    hint = f"\n{printable(finding.hint)}" if finding.hint else ""
    text = f"{path}:{line}: {message}{hint}"
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
    names = sorted({finding.check for finding in checked.findings})
    rules = [_rule(name, folders) for name in names]
    twins: Counter[str] = Counter()
    run = {
        "tool": {"driver": {"name": "procedures", "version": version(), "rules": rules}},
        "originalUriBaseIds": {TOP: {"description": {"text": "The top of the repository."}}},
        "columnKind": "unicodeCodePoints",
        "results": [_result(each, names, places, twins) for each in checked.findings],
    }
    return {"$schema": SCHEMA, "version": "2.1.0", "runs": [run]}


def _rule(name: str, folders: Folders) -> dict[str, Any]:
    check = CATALOGUE[name]
    finds = f"Finds {check.finds}."
    page = help_of_check(name, folders)
    return {
        "id": name,
        "shortDescription": {"text": finds},
        "help": {"text": page, "markdown": page} if page else {"text": finds},
        "defaultConfiguration": {"level": str(check.level)},
        "properties": {"tags": [check.family]},
    }


def _result(
    finding: Finding, rules: list[str], places: Places, twins: Counter[str]
) -> dict[str, Any]:
    message = ". ".join(filter(None, [message_of(finding), printable(finding.hint)]))
    result: dict[str, Any] = {
        "ruleId": finding.check,
        "ruleIndex": rules.index(finding.check),
        "level": str(finding.level),
        "message": {"text": _without_links(message)},
        "locations": [_location(finding.place, places)],
        "partialFingerprints": {FINGERPRINT: _fingerprint(finding, places, twins)},
    }
    if finding.related:
        result["relatedLocations"] = [
            {"id": n, **_location(place, places)} for n, place in enumerate(finding.related)
        ]
    return result


def _without_links(text: str) -> str:
    """A message without placeholders (clause 3.11.5) and embedded links (3.11.6)."""
    return text.replace("{", "{{").replace("}", "}}").replace("](", "\\](")


def _location(place: Place, places: Places) -> dict[str, Any]:
    uri = places.uri(place.page)
    artifact = {"uri": uri} if "://" in uri else {"uri": uri, "uriBaseId": TOP}
    return {"physicalLocation": {"artifactLocation": artifact, "region": {"startLine": place.line}}}


def _fingerprint(finding: Finding, places: Places, twins: Counter[str]) -> str:
    """The same while the page, the check and the text of the line are; not its number."""
    page, line = finding.place.page, finding.place.line
    text = "\n".join([finding.check, page, finding.variants, places.line(page, line)])
    twins[text] += 1
    digest = hashlib.blake2b(text.encode("utf-8", "surrogatepass"), digest_size=16)
    return f"{digest.hexdigest()}:{twins[text]}"
