"""``procedures explain``: the page of a check, its line, the list; names that are nearly right."""

from __future__ import annotations

from pathlib import Path

import pytest

from procedures_lib.judging.checks.catalogue import CATALOGUE
from tests.cli.world import run, write

DOCS = Path(__file__).resolve().parents[2] / "docs"
PAGE = """
    # left-loose

    Finds **loose** things.

    ## An example that fails

    ````{page-example} A loose lid
    :finds: [left-loose]
    # Lid

    ```{parts}
    lid: {name: Lid}
    ```
    ````

    \x1b[2JThe end.
    """


def test_the_manual_s_page_is_shown(manual: Path) -> None:
    write(manual, {"docs/checks/left-loose.md": PAGE})
    assert run("explain", "left-loose").stdout.splitlines() == [
        "left-loose",
        "",
        "Finds **loose** things.",
        "",
        "An example that fails",
        "",
        "*A loose lid:*",
        "",
        "    # Lid",
        "",
        "    ```{parts}",
        "    lid: {name: Lid}",
        "    ```",
        "",
        "\ufffd[2JThe end.",
    ]
    assert run("explain", "left-loose", "--colour", "always").stdout.startswith("\x1b[1mleft-loose")


@pytest.mark.parametrize("check", CATALOGUE)
def test_every_check_of_this_manual_is_explained(check: str) -> None:
    shown = run("explain", check, "--manual", str(DOCS)).stdout
    assert shown.startswith(f"{check}\n\nFinds ")
    assert "Why it matters" in shown
    assert "{page-example}" not in shown


@pytest.mark.parametrize("check", CATALOGUE)
def test_a_manual_without_the_page_has_the_line(manual: Path, check: str) -> None:
    shown = run("explain", check).stdout
    assert f"Finds {CATALOGUE[check].finds}." in shown
    assert "has no page of its own" in shown


def test_no_manual_is_needed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert run("explain", "left-loose").stdout.startswith("left-loose\n")


def test_without_a_name_all_are_listed() -> None:
    shown = run("explain").stdout
    assert all(f"  {check.name}: {check.finds}\n" in shown for check in CATALOGUE.values())


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("left-lose", "did you mean `left-loose`?"),
        ("unknown_id", "did you mean `unknown-id`?"),
        ("xyzzy", "`procedures explain` lists them all."),
        ("../../README", "lists them all."),
    ],
)
def test_a_name_that_is_none(name: str, words: str) -> None:
    result = run("explain", name)
    assert (result.exit_code, result.stdout) == (2, "")
    assert words in result.stderr


@pytest.mark.parametrize(
    ("words", "meant"),
    [
        (("check", "docs/vehicles/mul.md"), "docs/vehicles/mule.md"),
        (("table", "torque", "renew-cove"), "renew-cover"),
        (("table", "torqe", "renew-cover"), "torque"),
        (("table", "torque", "renew-cover", "--when", "transmision=manual"), "transmission"),
        (("back-out", "renew-covr", "--at", "1"), "renew-cover"),
        (("check", "--formt", "json"), "--format"),
        (("new", "vehicel", "x"), "vehicle"),
    ],
)
def test_words_that_are_nearly_right_get_a_hint(
    manual: Path, words: tuple[str, ...], meant: str
) -> None:
    result = run(*words)
    assert result.exit_code == 2
    assert meant in result.stderr.replace("\\", "/")
