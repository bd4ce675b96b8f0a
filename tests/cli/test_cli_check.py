"""``procedures check``: what it prints, for people and for programs, and its exit codes."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from procedures_lib.judging.checks import check_manual
from procedures_lib.judging.unjudged import KINDS, counts_by_kind, unjudged_in
from procedures_lib.manual import Manual
from tests.cli.world import UNREADABLE, make_manual, run, write

NOTHING = dict.fromkeys(KINDS, 0)
WARNED = """
    # A kit with a leftover

    ```{kit} spare-kit
    name: Kit
    fits: {vehicle: mule}
    contents: [{supply: Rag}]
    ```

    ```{parts}
    shim: {name: Shim}
    ```
    """


def test_a_clean_manual_prints_nothing(manual: Path) -> None:
    result = run("check")
    assert (result.exit_code, result.stdout, result.stderr) == (0, "", "")


def test_verbose_says_that_nothing_was_found(manual: Path) -> None:
    assert run("check", "--verbose").stdout == "2 pages, no findings\n"
    assert run("check", "--verbose", "docs/vehicles").stdout == "1 page, no findings\n"


def test_an_error_names_path_line_check_and_hint(manual: Path) -> None:
    write(manual, {"docs/bad.md": UNREADABLE})
    result = run("check")
    first, hint, last = result.stdout.splitlines()
    assert result.exit_code == 1
    assert first.startswith("docs/bad.md:4: error: unknown-field: ")
    assert hint == "    did you mean `name`?"
    assert last == "1 error in 1 of 3 pages"


def test_paths_are_relative_to_the_current_folder(
    manual: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write(manual, {"docs/bad.md": UNREADABLE})
    monkeypatch.chdir(manual / "docs" / "vehicles")
    assert run("check").stdout.startswith("../bad.md:4: ".replace("/", os.sep))


def test_warnings_alone_are_no_failure(manual: Path) -> None:
    write(manual, {"docs/kits/spare-kit.md": WARNED})
    result = run("check")
    assert ": warning: unused-entity: " in result.stdout
    assert result.stdout.endswith("1 warning in 1 of 3 pages\n")
    assert result.exit_code == 0


def test_paths_limit_what_is_shown(manual: Path) -> None:
    write(manual, {"docs/bad.md": UNREADABLE, "docs/vehicles/bad.md": UNREADABLE})
    assert run("check", "docs/vehicles/mule.md").exit_code == 0
    both = run("check", "docs/bad.md", "docs/vehicles")
    assert both.stdout.endswith("2 errors in 2 of 3 pages\n")
    assert run("check", "docs/vehicles").stdout.endswith("1 error in 1 of 2 pages\n")
    assert run("check", "docs").stdout == run("check").stdout


@pytest.mark.parametrize(
    ("path", "words"),
    [
        ("elsewhere.md", "outside the manual"),
        ("../..", "outside the manual"),
        ("docs/vehicles/mul.md", "did you mean docs/vehicles/mule.md?"),
        ("docs/nothing", "does not exist"),
        ("docs/picture.svg", "is no page"),
        ("docs/empty", "holds no page"),
    ],
)
def test_a_path_that_is_no_page_is_refused(manual: Path, path: str, words: str) -> None:
    write(manual, {"elsewhere.md": "# Page", "docs/picture.svg": "<svg/>"})
    (manual / "docs" / "empty").mkdir()
    result = run("check", path)
    assert (result.exit_code, result.stdout) == (2, "")
    assert path in result.stderr
    assert words.replace("/", os.sep) in result.stderr


def test_a_link_is_the_page_that_it_is_called(manual: Path) -> None:
    write(manual, {"docs/kept/bad.md": UNREADABLE})
    (manual / "docs" / "linked.md").symlink_to(manual / "docs" / "kept" / "bad.md")
    result = run("check", "docs/linked.md")
    assert result.stdout.startswith(f"{Path('docs/linked.md')}:4: error: ")


def test_json_holds_what_the_library_found(manual: Path) -> None:
    write(manual, {"docs/bad.md": UNREADABLE, "docs/kits/spare-kit.md": WARNED})
    found = check_manual(Manual.read(manual / "docs"))
    result = run("check", "--format", "json")
    assert result.exit_code == 1
    assert json.loads(result.stdout) == {
        "format": 1,
        "pages": 4,
        "findings": [
            {
                "path": f"docs/{finding.place.page}",
                "page": finding.place.page,
                "line": finding.place.line,
                "level": finding.level.value,
                "check": finding.check,
                "message": finding.message,
                "hint": finding.hint,
                "variants": finding.variants,
                "related": [{"page": p.page, "line": p.line} for p in finding.related],
            }
            for finding in found
        ],
        "not_judged": NOTHING,
    }
    assert [finding.check for finding in found] == ["unknown-field", "unused-entity"]


def test_json_of_a_clean_manual(manual: Path) -> None:
    result = run("check", "--format", "json")
    assert json.loads(result.stdout) == {
        "format": 1,
        "pages": 2,
        "findings": [],
        "not_judged": NOTHING,
    }
    assert result.exit_code == 0


LOOSE = """
    # A joint that nothing is known of

    ```{vehicle} ox
    name: Ox
    ```

    ```{fasteners}
    hub-bolts: {name: Hub bolts, kind: bolt, tighten: 25 N·m, source: Sheet 4}
    ```
    """
COUNTED = "not judged: 1 joint, 1 number typed once"


def test_the_last_line_counts_what_is_not_judged(manual: Path) -> None:
    write(manual, {"docs/vehicles/ox.md": LOOSE})
    hint = f"{COUNTED} (`procedures check --unjudged` lists them)\n"
    result = run("check")
    assert (result.exit_code, result.stdout, result.stderr) == (0, hint, "")
    assert run("check", "--verbose").stdout == f"3 pages, no findings\n{hint}"
    assert run("check", "docs/vehicles/mule.md").stdout == "", (
        "only of the pages that are asked for"
    )
    assert run("check", "--jobs", "2").stdout == hint
    write(manual, {"docs/bad.md": UNREADABLE})
    found = run("check")
    assert found.exit_code == 1
    assert found.stdout.endswith(f"1 error in 1 of 4 pages\n{hint}")


def test_what_is_not_judged_is_listed_with_its_lines(manual: Path) -> None:
    write(manual, {"docs/vehicles/ox.md": LOOSE})
    result = run("check", "--unjudged", "docs/vehicles")
    assert (result.exit_code, result.stderr) == (0, "")
    assert result.stdout.replace("\u00a0", " ").replace(os.sep, "/").splitlines() == [
        "docs/vehicles/ox.md:8: not judged: joint: `hub-bolts`: 25 N·m, and no thread is given",
        "docs/vehicles/ox.md:8: not judged: number: `hub-bolts`: 25 N·m stands in no `expect` row",
        COUNTED,
    ]
    assert run("check", "--unjudged", "docs/vehicles/mule.md").stdout == ""
    assert (
        "\x1b[36m\x1b[1mnot judged:\x1b[0m" in run("check", "--unjudged", "--colour=always").stdout
    )


def test_a_procedure_that_is_not_walked_names_the_cause(manual: Path) -> None:
    car = manual / "docs" / "vehicles" / "mule.md"
    car.write_text(car.read_text("utf-8").replace("name: Top cover", "nam: Top cover"), "utf-8")
    result = run("check", "--unjudged")
    assert result.exit_code == 1
    lines = result.stdout.replace(os.sep, "/").splitlines()
    at = next(n for n, line in enumerate(lines) if ": not judged: procedure: " in line)
    assert lines[at].endswith("`renew-cover`: not walked: `cover` can't be read whole")
    assert lines[at + 1] == "    see docs/vehicles/mule.md:10"
    assert lines[-1] == "not judged: 1 procedure not walked"


def test_json_counts_by_kind_and_lists_when_asked(manual: Path) -> None:
    write(manual, {"docs/vehicles/ox.md": LOOSE})
    found = unjudged_in(Manual.read(manual / "docs"))
    counted = json.loads(run("check", "--format", "json").stdout)
    assert counted["not_judged"] == {**NOTHING, "joint": 1, "number": 1} == counts_by_kind(found)
    assert "unjudged" not in counted
    listed = json.loads(run("check", "--format", "json", "--unjudged").stdout)
    assert listed["unjudged"] == [
        {
            "path": f"docs/{each.place.page}",
            "page": each.place.page,
            "line": each.place.line,
            "kind": each.kind,
            "what": each.what,
            "why": each.why,
            "related": [],
        }
        for each in found
    ]


@pytest.mark.parametrize("form", ["sarif", "github", "junit"])
def test_formats_of_findings_alone_list_nothing_else(manual: Path, form: str) -> None:
    write(manual, {"docs/vehicles/ox.md": LOOSE})
    assert "not judged" not in run("check", "--format", form).stdout
    refused = run("check", "--unjudged", "--format", form)
    assert (refused.exit_code, refused.stdout) == (2, "")
    assert "--unjudged goes with --format text or json" in refused.stderr


def test_the_shop_file_is_checked_too(manual: Path) -> None:
    write(manual, {"conf/shop.toml": '[shop]\nnam = "Shop"\n'})
    result = run("check")
    assert result.exit_code == 1
    assert result.stdout.startswith(f"{Path('conf/shop.toml')}:")
    assert result.stdout.endswith(f"1 error in {Path('conf/shop.toml')}\n")
    assert run("check", "conf/shop.toml").stdout == result.stdout
    assert run("check", "docs").stdout == "", "not when only pages are asked for"
    value = json.loads(run("check", "--format", "json").stdout)
    assert [(f["path"], f["page"]) for f in value["findings"]] == [("conf/shop.toml", "shop.toml")]


def test_a_shop_file_elsewhere(manual: Path, tmp_path: Path) -> None:
    write(tmp_path, {"shop.toml": '[shop]\nname = "Shop"\n', "bad.toml": "[shop\n"})
    assert run("check", "--shop", str(tmp_path / "shop.toml")).exit_code == 0
    refused = run("check", "--shop", str(tmp_path / "bad.toml"))
    assert refused.exit_code == 2
    assert "is not TOML" in refused.stderr
    assert run("check", "--shop", "no.toml").exit_code == 2


def test_the_manual_is_found_from_below_or_by_name(
    manual: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    other = make_manual(tmp_path / "other", {"bad.md": UNREADABLE})
    monkeypatch.chdir(manual / "docs" / "vehicles")
    assert run("check", "--verbose").stdout == "2 pages, no findings\n"
    assert run("check", "--manual", str(other / "docs")).exit_code == 1
    monkeypatch.chdir(tmp_path)
    nowhere = run("check")
    assert nowhere.exit_code == 2
    assert "no manual found" in nowhere.stderr


def test_a_folder_without_pages_is_refused(manual: Path, tmp_path: Path) -> None:
    (tmp_path / "docs").mkdir()
    result = run("check", "--manual", str(tmp_path / "docs"))
    assert result.exit_code == 2
    assert "holds no pages" in result.stderr


def test_a_page_that_is_no_text_is_one_finding(manual: Path) -> None:
    (manual / "docs" / "bad.md").write_bytes(b"\xff\xfe\x00")
    result = run("check")
    assert result.exit_code == 1
    assert "docs/bad.md:1: error: unreadable-page: " in result.stdout.replace(os.sep, "/")


def test_colour_only_when_asked_for(manual: Path) -> None:
    write(manual, {"docs/bad.md": UNREADABLE})
    assert "\x1b[" not in run("check").stdout
    assert "\x1b[" not in run("check", "--colour", "never").stdout
    assert "\x1b[31m\x1b[1merror:\x1b[0m" in run("check", "--colour", "always").stdout


def test_calibrations_are_judged_for_a_day(manual: Path) -> None:
    settings = """
        [[torque-wrench]]
        id = "click"
        name = "Click wrench"
        range = "5–25 N·m"
        calibration-due = 2027-01-31

        [shop]
        name = "Test shop"
        """
    write(manual, {"conf/shop.toml": settings})
    assert run("check", "--on", "2027-01-31").stdout == ""
    late = run("check", "--on", "2027-02-01")
    assert late.exit_code == 0, "a warning fails nothing"
    assert "warning: wrench-out-of-date: joints are planned with `click`" in late.stdout
    refused = run("check", "--on", "tomorrow")
    assert (refused.exit_code, "is no date: write 2026-09-14" in refused.stderr) == (2, True)


def test_several_processes_print_the_same(manual: Path) -> None:
    write(manual, {"docs/kits/spare.md": WARNED, "docs/bad.md": UNREADABLE})
    alone = run("check")
    shared = run("check", "--jobs", "2")
    assert alone.exit_code == 1
    assert (shared.exit_code, shared.stdout) == (alone.exit_code, alone.stdout)
    assert run("check", "--jobs", "none").exit_code == 2


@pytest.mark.parametrize("named", ["project", "project/docs"])
def test_the_manual_is_named_by_the_folder_of_its_pages_or_the_one_around_it(
    named: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    make_manual(tmp_path / "project", {"bad.md": UNREADABLE})
    write(tmp_path, {"project/conf/shop.toml": "[shop]\nnam = 'x'\n"})
    monkeypatch.chdir(tmp_path)
    found = run("check", "--manual", named).stdout
    assert "project/docs/bad.md:4: error" in found
    assert "project/conf/shop.toml:2: error" in found
