"""``procedures new``: pages that pass the check once they are filled in, and never overwrite."""

from __future__ import annotations

import re
import sys
from typing import TYPE_CHECKING

import pytest

from procedures_lib.fronts.cli.new import FOLDERS
from procedures_lib.judging.checks import check_manual
from procedures_lib.language.reading.page_text import filled
from procedures_lib.manual import Manual
from tests.cli.world import run, write

if TYPE_CHECKING:
    from pathlib import Path

PULL = "speed [rpm],torque [N·m]\n"


@pytest.fixture
def empty(manual: Path) -> Path:
    """A manual without pages but for one that says nothing."""
    for path in (manual / "docs").rglob("*.md"):
        path.unlink()
    write(manual, {"docs/index.md": "# The manual\n"})
    return manual


def begin(*words: str) -> str:
    result = run("new", *words)
    assert (result.exit_code, result.stderr) == (0, "")
    return result.stdout


def fill(folder: Path) -> None:
    """Put the example into every blank of every page."""
    for path in folder.rglob("*.md"):
        text = re.sub("‹[^›]*, such as ([^›]*)›", r"\1", path.read_text("utf-8"))
        path.write_bytes(text.encode())


def found_in(folder: Path) -> list[str]:
    return [finding.text() for finding in check_manual(Manual.read(folder))]


def write_pulls(folder: Path) -> None:
    """Three pulls before and three after, each a little off the others, 20 N·m apart."""
    for gain, side in ((0, "before"), (20, "after")):
        for n in (1, 2, 3):
            rows = (f"{rpm},{200 + gain + n / 2 - (rpm - 4000) ** 2 / 2e5:.2f}\n"
                    for rpm in range(2000, 6001, 20))  # fmt: skip
            write(folder, {f"docs/results/data/{side}-{n}.csv": PULL + "".join(rows)})


def test_every_kind_filled_in_passes_the_check(empty: Path) -> None:
    begin("vehicle", "tarrow-finch", "--title", "Tarrow Finch: 1.6 “turbo” #1")
    begin("common", "cool-down")
    fill(empty)
    begin("kit", "tc-1", "--vehicle", "tarrow-finch")
    begin("procedure", "look-below", "--vehicle", "tarrow-finch")
    fill(empty)
    begin("procedure", "fit-tc-1", "--vehicle", "tarrow-finch", "--kit", "tc-1")
    fill(empty)
    begin("job", "spring", "--vehicle", "tarrow-finch", "--procedure", "look-below")
    begin("dyno-session", "finch-tc-1", "--procedure", "fit-tc-1")
    fill(empty)
    write_pulls(empty)
    assert found_in(empty / "docs") == []
    pages = sorted(p.relative_to(empty / "docs").as_posix() for p in empty.rglob("docs/*/*.md"))
    assert pages == [
        "common/cool-down.md",
        "jobs/spring.md",
        "kits/tc-1.md",
        "procedures/fit-tc-1.md",
        "procedures/look-below.md",
        "results/finch-tc-1.md",
        "vehicles/tarrow-finch.md",
    ]


@pytest.mark.parametrize("kind", FOLDERS)
def test_a_page_with_blanks_does_not_pass(empty: Path, kind: str) -> None:
    begin(kind, "some-id")
    assert run("check").exit_code == 1


def test_a_row_of_drafts_has_one_finding_a_blank_and_no_other(empty: Path) -> None:
    begin("vehicle", "small-hatch")
    begin("kit", "lamp-kit", "--vehicle", "small-hatch")
    begin("procedure", "fit-lamp", "--vehicle", "small-hatch", "--kit", "lamp-kit")
    findings = check_manual(Manual.read(empty / "docs"))
    texts = [path.read_text("utf-8") for path in (empty / "docs").rglob("*.md")]
    blanks = [each for each in findings if each.check == "blank-left"]
    assert {each.check for each in findings} - {"blank-left"} <= {"not-in-contents"}
    wanted = {(p, b.line, b.content) for p, t in enumerate(texts) for b in filled(t)[1]}
    assert len(blanks) == len(wanted) > 30


def test_what_there_is_for_a_blank_is_offered(empty: Path) -> None:
    begin("vehicle", "small-hatch")
    fill(empty)
    begin("kit", "lamp-kit")
    findings = check_manual(Manual.read(empty / "docs"))
    (hint,) = (each.hint for each in findings if "id of the car" in each.message)
    assert hint == "write it in the place of ‹…›, such as `tarrow-finch`; there is `small-hatch`"


@pytest.mark.parametrize("kind", FOLDERS)
def test_every_blank_is_listed_with_its_line(empty: Path, kind: str) -> None:
    first, *listed = begin(kind, "some-id").splitlines()
    path = empty / "docs" / FOLDERS[kind] / "some-id.md"
    lines = path.read_text("utf-8").split("\n")
    assert first == f"{path.relative_to(empty)} is begun. Fill in:"
    assert len(listed) == path.read_text("utf-8").count("‹") > 1
    for line in listed:
        match = re.fullmatch(r"(.+?):(\d+): (.+)", line)
        assert match
        assert match[1] == str(path.relative_to(empty))
        assert f"‹{match[3]}›" in lines[int(match[2]) - 1]


def test_what_is_given_is_no_blank(manual: Path) -> None:
    begin("procedure", "look", "--vehicle", "mule", "--title", "Look below")
    text = (manual / "docs" / "procedures" / "look.md").read_text("utf-8")
    assert text.startswith("# Look below\n")
    assert "vehicle: mule\n" in text
    assert not any("id of the car" in blank.content for blank in filled(text)[1])


def test_the_page_can_be_printed_alone(manual: Path) -> None:
    result = run("new", "common", "wait", "--print")
    assert result.stdout.startswith("# Wait\n")
    assert not (manual / "docs" / "common").exists()


def test_nothing_is_overwritten(manual: Path) -> None:
    write(manual, {"docs/common/wait.md": "# Mine\n"})
    result = run("new", "common", "wait")
    assert (result.exit_code, result.stdout) == (2, "")
    assert "exists, and is left as it is" in result.stderr
    assert (manual / "docs" / "common" / "wait.md").read_text("utf-8") == "# Mine\n"
    assert [path.name for path in (manual / "docs" / "common").iterdir()] == ["wait.md"]


@pytest.mark.skipif(sys.platform == "win32", reason="links need rights there")
def test_a_link_that_leads_nowhere_is_no_free_place(manual: Path) -> None:
    (manual / "docs" / "common").mkdir()
    (manual / "docs" / "common" / "wait.md").symlink_to(manual.parent / "stolen.md")
    assert run("new", "common", "wait").exit_code == 2
    assert not (manual.parent / "stolen.md").exists()


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("Wait a bit", "write `wait-a-bit`"),
        ("../../x", "write `x`"),
        ("a/b", "write `a-b`"),
        ("wait.md", "write `wait-md`"),
        ("…", "joined with hyphens."),
        ("x\ny", "write `x-y`"),
        ("a" * 300, "is no id"),
    ],
)
def test_a_bad_id_is_refused(manual: Path, name: str, words: str) -> None:
    before = sorted(manual.rglob("*"))
    result = run("new", "common", name)
    assert (result.exit_code, result.stdout) == (2, "")
    assert words in result.stderr
    assert sorted(manual.rglob("*")) == before


@pytest.mark.parametrize("place", ["..", "/tmp", "../docs-b", "a/../../b", ".hidden", "a/_b"])  # noqa: S108
def test_a_folder_outside_of_the_pages_is_refused(manual: Path, place: str) -> None:
    before = sorted(manual.rglob("*"))
    result = run("new", "common", "wait", "--in", place)
    assert (result.exit_code, result.stdout) == (2, "")
    assert sorted(manual.rglob("*")) == before


@pytest.mark.skipif(sys.platform == "win32", reason="links need rights there")
def test_a_folder_that_leads_outside_is_refused(manual: Path, tmp_path: Path) -> None:
    (tmp_path / "elsewhere").mkdir()
    (manual / "docs" / "common").symlink_to(tmp_path / "elsewhere")
    assert run("new", "common", "wait").exit_code == 2
    assert list((tmp_path / "elsewhere").iterdir()) == []


def test_another_folder_of_pages(manual: Path) -> None:
    begin("common", "wait", "--in", "shared/waiting")
    assert (manual / "docs" / "shared" / "waiting" / "wait.md").is_file()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("vehicle", "mule", "--in", "other"), "a vehicle `mule` already, at vehicles/mule.md:3"),
        (("kit", "k", "--vehicle", "mul"), "there is no vehicle `mul`: did you mean `mule`?"),
        (("procedure", "p", "--kit", "k"), "there is no kit `k`."),
        (("job", "j", "--procedure", "renew-cove"), "did you mean `renew-cover`?"),
        (("common", "c", "--kit", "k"), "--kit says nothing of a common"),
        (("common", "c", "--title", "a\nb"), "--title"),
    ],
)
def test_what_can_not_be_meant_is_refused(manual: Path, words: tuple[str, ...], said: str) -> None:
    result = run("new", *words)
    assert (result.exit_code, result.stdout) == (2, "")
    assert said in result.stderr
