"""Marks of change on pages: in words, only when asked for, with rebuilds that stay exact."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from procedures_lib.fronts.site.change_marks import (
    ChangeMarks,
    earlier_html,
    keep_marks,
    marks_said,
)
from procedures_lib.manual import Manual
from tests.cli.repository import commit_all
from tests.cli.world import run, write
from tests.site.building import CONF, PROCEDURE, VEHICLE

if TYPE_CHECKING:
    from pathlib import Path

OTHER = """# Look under the cover

```{procedure} look-under
vehicle: hatch
revision: D
```

:::{step} Look
:do: inspect cover
Look well.
:::
"""
MARK = "changed since revision A: torque"


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A manual of two procedures in a repository, the current folder; then a torque changes."""
    folder = tmp_path / "shop"
    index = "# Manual\n\n```{toctree}\n:glob:\n\n*\n```\n"
    used = VEHICLE[: VEHICLE.index("other-bolts:")] + "```\n"
    write(folder, {"conf/conf.py": CONF, "docs/index.md": index, "docs/hatch.md": used,
                   "docs/lift-cover.md": PROCEDURE, "docs/look-under.md": OTHER})  # fmt: skip
    commit_all(folder)
    page = folder / "docs" / "hatch.md"
    page.write_text(page.read_text("utf-8").replace("[10 N·m]", "[9 N·m]"), "utf-8")
    monkeypatch.chdir(folder)
    return folder


def built(shop: Path, name: str, *words: str) -> str:
    result = run("build", *words)
    assert (result.exit_code, result.stderr) == (0, "")
    return (shop / ".build" / "html" / f"{name}.html").read_text("utf-8")


def files(shop: Path) -> dict[str, int]:
    """When each page was last written, but for those that list others."""
    folder = shop / ".build" / "html-work" / "html"
    names = ("hatch", "lift-cover", "look-under")
    return {name: (folder / f"{name}.html").stat().st_mtime_ns for name in names}


def test_the_step_and_the_row_say_what_changed(shop: Path) -> None:
    html = built(shop, "lift-cover", "--changes-since", "HEAD")
    step = html[html.index('id="step-2"') :]
    assert f'<p class="changed">{MARK}</p>' in step[: step.index("</section>")]
    first = html[html.index('id="step-1"') : html.index('id="step-2"')]
    assert "changed since" not in first
    table = html[html.index("facts-torque") :]
    assert f'<span class="changed">{MARK}</span>' in table[: table.index("</table>")]
    assert "10\u00a0N·m" not in html


def test_nothing_is_shown_unless_asked_for(shop: Path) -> None:
    assert "changed since" not in built(shop, "lift-cover")


def test_only_pages_whose_marks_changed_are_built_again(shop: Path) -> None:
    built(shop, "lift-cover")
    first = files(shop)
    assert MARK in built(shop, "lift-cover", "--changes-since", "HEAD")
    second = files(shop)
    assert {name for name in first if second[name] != first[name]} == {"lift-cover"}
    built(shop, "lift-cover", "--changes-since", "HEAD")
    assert files(shop) == second
    assert "changed since" not in built(shop, "lift-cover")
    third = files(shop)
    assert {name for name in third if third[name] != second[name]} == {"lift-cover"}


@pytest.mark.parametrize("revision", ["nonsense", "--x", "-x"])
def test_an_old_state_that_is_none_is_refused_before_anything_is_built(
    shop: Path, revision: str
) -> None:
    result = run("build", f"--changes-since={revision}")
    assert result.exit_code == 2
    assert not (shop / ".build").exists()


def test_words_are_escaped() -> None:
    class Told:
        class config:  # noqa: N801
            procedures_changes = {"p": {"steps": {"1": "<b>"}, "joints": {}}}  # noqa: RUF012
            procedures_earlier = {"p": [("<A>", "superseded/p/A.html")]}  # noqa: RUF012

    manual = Manual(())
    keep_marks(manual, Told())  # type: ignore[arg-type]
    assert ChangeMarks(manual, "p").step(1) == ' <p class="changed">&lt;b&gt;</p>'
    assert ChangeMarks(manual, "other").step(1) == ""
    assert marks_said(manual, "p")
    assert marks_said(manual, "other") == ""
    assert ">revision &lt;A&gt;</a>" in earlier_html(manual, "p")
    assert earlier_html(manual, "other") == ""
