"""What ``procedures archive`` says to words it does not know, and to settings that are wrong."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.cli.test_cli_archive import REMARK, add, found, job
from tests.cli.world import run

if TYPE_CHECKING:
    from pathlib import Path

SHOP = '[shop]\nname = "Shop"\n\n'


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--car", "mulee"), "there is no car `mulee`: did you mean `mule`?"),
        (("--procedure", "renew-covr"), "did you mean `renew-cover`?"),
        (("--kit", "tf-22"), "there is no kit `tf-22`"),
        (("--revision", "Q"), "there is no revision `Q`: known here: `A`"),
        (("--since", "14.09.2025"), "write 2025-09-14"),
        (("--until", "2025-02-30"), "is no day: write it as in 2025-09-14"),
        (
            ("--since", "2026-02-01", "--until", "2026-01-01"),
            "write the earlier one behind --since",
        ),
        (("--remark", ""), "it is empty: write what is meant"),
        (("--registration", " "), "it is empty: write what is meant"),
    ],
)
def test_a_word_that_nothing_has_is_told(manual: Path, words: tuple[str, ...], said: str) -> None:
    add(manual, job())
    result = run("archive", "find", *words)
    assert (result.exit_code, result.stdout) == (2, "")
    assert said in result.stderr


@pytest.mark.parametrize(
    "words",
    [("--car", "MULE"), ("--procedure", "Renew-Cover"), ("--revision", "a"),
     ("--remark", "Took longer")],
)  # fmt: skip
def test_small_and_capital_letters_and_the_words_of_the_button(
    manual: Path, words: tuple[str, str]
) -> None:
    add(manual, job(remarks=[{**REMARK, "kind": "slow", "text": "a bolt"}]))
    assert len(found(*words)) == 1


def test_learn_does_not_take_a_slip_for_a_procedure(manual: Path) -> None:
    add(manual, job())
    result = run("learn", "--procedure", "renew-covr")
    assert (result.exit_code, result.stdout) == (2, "")
    assert "there is no procedure `renew-covr`: did you mean `renew-cover`?" in result.stderr
    assert run("learn", "--procedure", "RENEW-cover").exit_code == 0


@pytest.mark.parametrize(
    ("word", "meant"),
    [("list", "find"), ("search", "find"), ("remove", "forget"), ("delete", "forget"),
     ("forgt", "forget")],
)  # fmt: skip
def test_commands_as_others_call_them(manual: Path, word: str, meant: str) -> None:
    del manual
    result = run("archive", word)
    assert result.exit_code == 2
    assert f"there is no command `{word}`: did you mean `{meant}`?" in result.stderr


def test_a_plate_that_nobody_has_is_not_forgotten_in_silence(manual: Path) -> None:
    add(manual, job())
    result = run("archive", "forget", "--registration", "NO 1", "--yes")
    assert result.exit_code == 2
    assert "has the registration `NO 1`; nothing was changed" in result.stderr


@pytest.mark.parametrize(
    ("text", "line", "said"),
    [
        ('[archive]\nregistration = "none"\n', 5, "`none` is not one of the words here"),
        ("[archive]\nregistration = true\n", 5, "`registration`"),
        ('[archive]\nregistraton = "keep"\n', 5, "the archive has no field `registraton`"),
        ('[archiv]\nregistration = "leave-out"\n', 4, "there is no table `archiv` here"),
        ('[archive]\nbreaks = ["12:00-12:45", 5]\n', 5, "`5` is no break of a day"),
        ('[archive]\nbreaks = ["9:00-9:15"]\n', 5, "hours with two digits: `09:00-09:15`"),
    ],
)
def test_wrong_settings_of_the_archive_stop_what_opens_it(
    manual: Path, text: str, line: int, said: str
) -> None:
    (manual / "conf/shop.toml").write_text(SHOP + text)
    for result in (add(manual, job()), run("archive", "find"), run("learn")):
        assert result.exit_code == 2
        assert f"conf/shop.toml:{line}: " in result.stderr
        assert said in result.stderr
    assert not (manual / "archive").exists()
    assert said in run("check").output


@pytest.mark.parametrize(
    "folder",
    ["~/x22", ".", "conf", "conf/archive", ".git", ".build/archive", "docs", "docs/archive",
     "x/../docs/a", "C:/archive", r"C:\\archive", r"..\\..\\x"],
)  # fmt: skip
def test_a_folder_of_the_manual_itself_is_refused_by_check_and_archive(
    manual: Path, folder: str
) -> None:
    (manual / "conf/shop.toml").write_text(f'{SHOP}[archive]\nfolder = "{folder}"\n')
    before = sorted(manual.rglob("*"))
    for words in (("archive", "find"), ("check",)):
        result = run(*words)
        assert result.exit_code
        assert "conf/shop.toml:5: " in result.output
        assert "the archive can't be there: `" in result.output
        assert "write " in result.output
    assert sorted(manual.rglob("*")) == before


@pytest.mark.parametrize("folder", ["archive", "kept/jobs", "../kept", "../../kept"])
def test_folders_beside_and_above_the_manual_are_the_shops_right(manual: Path, folder: str) -> None:
    (manual / "conf/shop.toml").write_text(f'{SHOP}[archive]\nfolder = "{folder}"\n')
    assert add(manual, job()).exit_code == 0
    assert (manual / folder / "key").exists()
    assert "archive" not in run("check").output


def test_a_link_is_followed_to_where_it_leads(manual: Path) -> None:
    (manual / "archive").symlink_to(manual / "docs")
    result = run("archive", "find")
    assert result.exit_code == 2
    assert "`archive` is among the pages" in result.stderr
