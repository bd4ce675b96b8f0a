"""Findings as the report of a test run: XML as JUnit's runners write it.

A page without findings is a test that passed, a finding one of its own: an error has failed, a
warning has passed with its words as output. Elements and attributes are those of ``junit-10.xsd``,
the schema of the Jenkins xUnit plug-in (``testsuites``, ``testsuite``, ``testcase``, ``failure``,
``system-out``). The older one of Apache Ant's runner knows no words of a test that has passed.
"""

from __future__ import annotations

from typing import TYPE_CHECKING
from xml.etree.ElementTree import Element, SubElement, indent, tostring

from procedures_lib.cli.report_places import Places
from procedures_lib.cli.wording import printable
from procedures_lib.findings import Level

if TYPE_CHECKING:
    from procedures_lib.cli.folders import Folders
    from procedures_lib.cli.loading import Checked
    from procedures_lib.findings import Finding

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
        _finding(suite, places, finding)
    indent(suites)
    text = tostring(suites, encoding="unicode")
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{text}\n'


def _case(suite: Element, places: Places, page: str, name: str) -> Element:
    return SubElement(
        suite, "testcase", {"classname": printable(places.path(page)), "name": name, "time": "0"}
    )


def _finding(suite: Element, places: Places, finding: Finding) -> None:
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
