"""Findings for the tools of a reviewer: SARIF, annotations, a test report; hostile text in each."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st
from junitparser import JUnitXml

from procedures_lib.findings import Finding, Level, Place
from procedures_lib.fronts.cli.arguments import Folders
from procedures_lib.fronts.cli.checked_manual import Checked
from procedures_lib.fronts.cli.report import report_github, report_junit, report_sarif
from tests.cli.repository import commit_all
from tests.cli.sarif import faults_of, rule_faults
from tests.cli.sarif_schema import schema_faults
from tests.cli.world import UNREADABLE, run, write

NOWHERE = Folders(Path("/nowhere/docs"), Path("/nowhere/conf"), Path("/nowhere/conf/shop.toml"))
HOSTILE = (
    "x\n::error file=a.md::stolen%0A::add-mask::y\r\x1b[2J\x00\ufffe<![CDATA[&]]>{0}[a](1)\u2028z"
)
WARNED = """
    ```{kit} spare-kit
    name: Spare kit
    fits: {vehicle: mule}
    contents:
      - {paper: Card}
    ```

    ```{fasteners}
    spare-screw: {kind: screw}
    ```
    """


@pytest.fixture
def folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Folders:
    monkeypatch.chdir(tmp_path)
    return Folders(tmp_path / "docs", tmp_path / "conf", tmp_path / "conf" / "shop.toml")


def hostile(text: str = HOSTILE) -> Checked:
    """A finding whose every text wants to be something else."""
    found = Finding(
        Place("a.md", 3), "left-loose", text, text, variants=text, related=(Place("b.md", 1),)
    )
    return Checked(("a.md", "b.md"), (found,))


# -- SARIF ---------------------------------------------------------------------------------------


def sarif_of(*words: str) -> dict[str, Any]:
    log: dict[str, Any] = json.loads(run("check", "--format", "sarif", *words).stdout)
    assert faults_of(log) == schema_faults(log) == []
    assert rule_faults(log["runs"][0]) == []
    return log


def test_a_log_has_the_shape_of_the_standard(manual: Path) -> None:
    write(manual, {"docs/bad.md": UNREADABLE, "docs/kits/spare-kit.md": WARNED})
    sarif = sarif_of()["runs"][0]
    assert [(r["ruleId"], r["level"]) for r in sarif["results"]] == [
        ("unknown-field", "error"),
        ("unused-entity", "warning"),
    ]
    assert sarif["results"][0]["locations"] == [
        {
            "physicalLocation": {
                "artifactLocation": {"uri": "docs/bad.md", "uriBaseId": "SRCROOT"},
                "region": {"startLine": 4},
            }
        }
    ]
    assert sarif["results"][0]["message"]["text"].endswith(". did you mean `name`?")


def test_an_empty_log(manual: Path) -> None:
    log = sarif_of()
    assert log["runs"][0]["results"] == log["runs"][0]["tool"]["driver"]["rules"] == []


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        ({"version": "2.0.0"}, "the version is another"),
        ({"runs": [{}]}, "Run lacks tool"),
        ({"runz": []}, "SarifLog has no property runz"),
        ({"runs": [{"tool": {"driver": {}}}]}, "ToolComponent lacks name"),
    ],
)
def test_the_shape_is_told_from_others(manual: Path, change: dict[str, Any], fault: str) -> None:
    assert fault in faults_of({**sarif_of(), **change})


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        ({"version": "2.0.0"}, "version: '2.0.0' is not one of ['2.1.0']"),
        ({"runs": {}}, "runs: {} is not of type 'array'"),
        ({"runs": [{}]}, "runs/0: 'tool' is a required property"),
        (
            {"runs": [{"tool": {"driver": {"name": 7}}}]},
            "runs/0/tool/driver/name: 7 is not of type 'string'",
        ),
    ],
)
def test_the_schema_tells_it_from_others(manual: Path, change: dict[str, Any], fault: str) -> None:
    assert fault in schema_faults({**sarif_of(), **change})


def test_rules_have_help_from_the_manual_s_own_page(manual: Path) -> None:
    page = """
        # unknown-field

        Finds a field that this block does not have.

        ````{page-example} A wrong field
        :finds: [unknown-field]
        # Lid

        ```{parts}
        lid: {nam: Lid}
        ```
        ````
        """
    write(manual, {"docs/bad.md": UNREADABLE})
    plain = sarif_of()["runs"][0]["tool"]["driver"]["rules"][0]
    assert plain["help"] == {"text": "Finds a field that this block does not have."}
    write(manual, {"docs/checks/unknown-field.md": page})
    helped = sarif_of()["runs"][0]["tool"]["driver"]["rules"][0]
    assert helped["properties"] == {"tags": ["reading"]}
    assert helped["help"]["markdown"].splitlines() == [
        "# unknown-field",
        "",
        "Finds a field that this block does not have.",
        "",
        "*A wrong field:*",
        "",
        "````md",
        "# Lid",
        "",
        "```{parts}",
        "lid: {nam: Lid}",
        "```",
        "````",
    ]


@pytest.mark.skipif(shutil.which("git") is None, reason="git is not installed")
def test_paths_count_from_the_top_of_the_repository(
    manual: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(manual, {"docs/bad ü%.md": UNREADABLE})
    commit_all(manual.parent)
    monkeypatch.chdir(manual / "docs")
    (result,) = [r for r in sarif_of()["runs"][0]["results"] if r["ruleId"] == "unknown-field"]
    located = result["locations"][0]["physicalLocation"]
    assert located["artifactLocation"]["uri"] == "project/docs/bad%20%C3%BC%25.md"
    told = run("check", "--format", "github").stdout
    assert "::error file=project/docs/bad ü%25.md,line=4,title=unknown-field::" in told


def prints_of(log: dict[str, Any]) -> list[str]:
    return [r["partialFingerprints"]["checkAndLine/v1"] for r in log["runs"][0]["results"]]


def test_a_fingerprint_stays_when_the_line_moves(manual: Path) -> None:
    write(manual, {"docs/bad.md": UNREADABLE})
    first = prints_of(sarif_of())
    write(manual, {"docs/bad.md": "\n    One more line.\n" + UNREADABLE})
    assert prints_of(sarif_of()) == first
    write(manual, {"docs/bad.md": UNREADABLE.replace("Lid", "Cover")})
    assert prints_of(sarif_of()) != first


def test_like_findings_have_fingerprints_of_their_own(folders: Folders) -> None:
    same = Finding(Place("a.md", 3), "left-loose", "one")
    other = Finding(Place("a.md", 3), "left-loose", "two")
    found = prints_of(report_sarif(Checked(("a.md",), (same, other)), folders))
    assert len(set(found)) == 2


def test_related_places_have_ids_of_their_own(folders: Folders) -> None:
    related = (Place("b.md", 1), Place("shop.toml", 9))
    found = Finding(Place("a.md", 3), "left-loose", "one", related=related)
    log = report_sarif(Checked(("a.md",), (found,)), folders)
    assert faults_of(log) == schema_faults(log) == []
    places = log["runs"][0]["results"][0]["relatedLocations"]
    assert [place["id"] for place in places] == [0, 1]
    uris = [place["physicalLocation"]["artifactLocation"]["uri"] for place in places]
    assert uris == ["docs/b.md", "conf/shop.toml"]


def test_a_page_can_put_no_link_or_placeholder_into_a_message(folders: Folders) -> None:
    log = report_sarif(hostile(), folders)
    assert faults_of(log) == schema_faults(log) == []
    text = log["runs"][0]["results"][0]["message"]["text"]
    assert text.isprintable()
    assert "{{0}}" in text
    assert "[a](1)" not in text


# -- annotations ---------------------------------------------------------------------------------


def test_annotations(manual: Path) -> None:
    write(manual, {"docs/bad.md": UNREADABLE, "docs/kits/spare-kit.md": WARNED})
    result = run("check", "--format", "github")
    assert result.exit_code == 1
    first, second = result.stdout.splitlines()
    assert first == (
        "::error file=docs/bad.md,line=4,title=unknown-field::"
        "the part `lid` has no field `nam`%0Adid you mean `name`?"
    )
    assert second.startswith("::warning file=docs/kits/spare-kit.md,line=9,title=unused-entity::")


def test_a_clean_manual_has_none(manual: Path) -> None:
    assert run("check", "--format", "github").stdout == ""


@given(st.text())
def test_no_text_begins_a_command_of_its_own(text: str) -> None:
    for said in (text, f"{HOSTILE}{text}"):
        printed = report_github(hostile(said), NOWHERE)
        assert printed.endswith("\n")
        lines = printed.removesuffix("\n").splitlines()
        assert len(lines) == 1
        assert lines[0].startswith("::error file=docs/a.md,line=3,title=left-loose::")
        assert lines[0].split("::", 2)[2].count("%0A") <= 1, "but for the one before the hint"


def test_a_file_name_is_no_command_either(folders: Folders) -> None:
    page = "a,line=1::x\n::error::y.md"
    found = Checked((page,), (Finding(Place(page, 3), "left-loose", "one"),))
    assert report_github(found, folders) == (
        "::error file=docs/a%2Cline=1%3A%3Ax %3A%3Aerror%3A%3Ay.md,line=3,title=left-loose::one\n"
    )


# -- a test report -------------------------------------------------------------------------------

SUITE = {"name", "tests", "failures", "errors"}
NEEDED = {"testsuite": SUITE, "testcase": {"name"}}
ALLOWED = {
    "testsuites": ({*SUITE, "time"}, {"testsuite"}),
    "testsuite": (
        {*SUITE, "group", "time", "skipped", "timestamp", "hostname", "id", "package", "file",
         "log", "url"},
        {"testsuite", "properties", "testcase", "system-out", "system-err"},
    ),
    "testcase": (
        {"name", "time", "classname", "group"},
        {"skipped", "error", "failure", "system-out", "system-err"},
    ),
    "failure": ({"type", "message"}, set[str]()),
    "system-out": (set[str](), set[str]()),
}  # fmt: skip
"""Attributes and elements of ``junit-10.xsd`` (repository jenkinsci/xunit-plugin, commit 031e285e),
by which CI servers read such reports; but for elements of reruns."""


def xml_faults(text: str) -> list[str]:
    root = ElementTree.fromstring(text)  # noqa: S314 - our own text
    faults = [] if root.tag == "testsuites" else [root.tag]
    for element in root.iter():
        attributes, children = ALLOWED[element.tag]
        needed = NEEDED.get(element.tag, set())
        faults += [f"{element.tag} {name}" for name in set(element.attrib) - attributes]
        faults += [f"{element.tag} without {name}" for name in needed - set(element.attrib)]
        faults += [f"{element.tag} {c.tag}" for c in element if c.tag not in children]
    return faults


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        (' errors="0"', "", "testsuite without errors"),
        (' name="no findings"', "", "testcase without name"),
        ("classname=", "class=", "testcase class"),
        ("testsuites", "testsuite", "testsuite"),
    ],
)
def test_the_schema_tells_a_report_from_others(
    folders: Folders, old: str, new: str, fault: str
) -> None:
    report = report_junit(Checked(("a.md",), ()), folders)
    assert xml_faults(report) == []
    assert fault in xml_faults(report.replace(old, new))


def test_a_report_as_another_reader_has_it(manual: Path) -> None:
    write(manual, {"docs/bad.md": UNREADABLE, "docs/kits/spare-kit.md": WARNED})
    result = run("check", "--format", "junit")
    assert result.exit_code == 1
    assert xml_faults(result.stdout) == []
    suites = JUnitXml.fromstring(result.stdout.encode())
    assert (suites.tests, suites.failures, suites.errors) == (4, 1, 0)
    cases = [case for suite in suites for case in suite]
    assert [(case.classname, case.name, case.is_passed) for case in cases] == [
        ("docs/procedures/renew-cover.md", "no findings", True),
        ("docs/vehicles/mule.md", "no findings", True),
        ("docs/bad.md", "unknown-field, line 4", False),
        ("docs/kits/spare-kit.md", "unused-entity, line 9", True),
    ]
    assert cases[2].result[0].type == "unknown-field"
    assert cases[2].result[0].text.endswith("did you mean `name`?")
    assert cases[3].system_out.startswith("warning: docs/kits/spare-kit.md:9: ")


@given(st.text())
def test_any_text_makes_a_readable_report(text: str) -> None:
    for said in (text, HOSTILE):
        printed = report_junit(hostile(said), NOWHERE)
        assert xml_faults(printed) == []
        case = next(iter(next(iter(JUnitXml.fromstring(printed.encode())))))
        assert case.name == "no findings"
        assert "stolen" not in printed.partition("<failure")[0]


def test_warnings_alone_fail_no_test(folders: Folders) -> None:
    found = Finding(Place("a.md", 3), "no-source", "one", level=Level.WARNING)
    suites = JUnitXml.fromstring(report_junit(Checked(("a.md",), (found,)), folders).encode())
    assert (suites.tests, suites.failures) == (1, 0)
