"""``procedures start``: a manual that checks and builds at once, and nothing overwritten."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from procedures_lib.judging.checks import check_manual
from procedures_lib.language.entities.entity import fields_of
from procedures_lib.manual import Manual
from procedures_lib.manual.archive_settings import ArchiveSettings
from procedures_lib.manual.remark_ways import RemarkWays
from procedures_lib.manual.shop import AngleGauge, Shop, TorqueWrench, read_shop
from tests.cli.world import run, write

BATTERY = """```{fasteners}
battery-negative-nut:
  name: Battery negative clamp nut
  kind: nut
  thread: M6x1.0
  class: unknown
  head: hex 10 mm
  condition: dry
  tighten: 6 N·m
  source: Workshop sheet 61-1, 2021
```

```{parts}
pump-fuse: {name: Fuel pump fuse}
```
"""


@pytest.fixture
def begun(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "quay-tuning"
    result = run("start", str(folder))
    assert (result.exit_code, result.stderr) == (0, "")
    monkeypatch.chdir(folder)
    return folder


def found_in(folder: Path) -> list[str]:
    return [finding.text() for finding in check_manual(Manual.read(folder / "docs"))]


def test_a_begun_manual_has_no_findings_and_builds(begun: Path) -> None:
    assert found_in(begun) == []
    built = run("build")
    assert built.exit_code == 0, built.output
    page = (begun / ".build" / "html" / "index.html").read_text("utf-8")
    assert "<b>Quay tuning</b> <span>Fitting manual</span>" in page


def test_title_and_unit_are_those_that_were_asked_for(tmp_path: Path) -> None:
    run("start", str(tmp_path / "m"), "--title", 'Bay "7" & Sons', "--units", "lbf·ft")
    shop, findings = read_shop(tmp_path / "m" / "conf" / "shop.toml")
    assert (findings, shop.name, shop.torque_unit) == ([], 'Bay "7" & Sons', "lbf·ft")


def test_every_field_of_the_shop_file_is_there_to_be_uncommented(begun: Path) -> None:
    path = begun / "conf" / "shop.toml"
    text = re.sub(r"^# (?=\[+|[a-z-]+ = )", "", path.read_text("utf-8"), flags=re.MULTILINE)
    path.write_text(text, encoding="utf-8")
    shop, findings = read_shop(path)
    assert findings == []
    for model in (Shop, ArchiveSettings, TorqueWrench, AngleGauge, RemarkWays):
        written = set(fields_of(model)) - {
            "torque-wrenches", "angle-gauges", "remark-ways", "archive",
        }  # fmt: skip
        assert [name for name in written if not re.search(rf"^{name} = ", text, re.MULTILINE)] == []
    assert [wrench.id for wrench in shop.torque_wrenches] == ["click-100"]


def test_what_can_be_adopted_passes_once_the_car_has_what_it_names(begun: Path) -> None:
    run("new", "vehicle", "small-hatch")
    page = begun / "docs" / "vehicles" / "small-hatch.md"
    text = re.sub("‹[^›]*, such as ([^›]*)›", r"\1", page.read_text("utf-8"))
    page.write_text(f"{text}\n{BATTERY}", encoding="utf-8")
    steps = (
        ":::{common-steps} relieve-fuel-pressure\n:::\n\n:::{common-steps} isolate-battery\n:::\n\n"
    )
    write(begun, {"docs/procedures/look.md": (
        "# Look\n\nA look below.\n\n```{procedure} look\nvehicle: small-hatch\nrevision: A\n```\n\n"
        f"```{{preparation}}\n```\n\n{steps}:::{{common-steps}} restore-battery\n:::\n\n"
        ":::{step} Put the fuse back\n---\ndo:\n  - fit pump-fuse\n  - restore fuel-pressure\n"
        "  - test leaks fuel\ntime: 5 min\n---\nLook for drops.\n:::\n\n"
        "## Parts\n\n```{parts-list}\n```\n\n## Torques\n\n```{torque-table}\n```\n\n"
        "## Tools\n\n```{tool-list}\n```\n\n## Close up\n\n```{close-up}\n```\n"
    )})  # fmt: skip
    for name in ("isolate-battery", "restore-battery", "relieve-fuel-pressure", "shop-rules"):
        draft = begun / "docs" / "common" / "_to-adopt" / f"{name}.md"
        filled = re.sub("‹[^›]*, such as ([^›]*)›", r"\1", draft.read_text("utf-8"))
        (begun / "docs" / "common" / draft.name).write_text(filled, encoding="utf-8")
    errors = [text for text in found_in(begun) if ": error: " in text]
    assert errors == []


def test_nothing_that_is_there_is_overwritten(tmp_path: Path) -> None:
    write(tmp_path, {"README.md": "mine\n", "docs/index.md": "# Mine\n"})
    result = run("start", str(tmp_path))
    kept = [line for line in result.stdout.splitlines() if line.startswith("Left as it is:")]
    assert len(kept) == 2
    assert (tmp_path / "README.md").read_text("utf-8") == "mine\n"
    assert (tmp_path / "docs" / "index.md").read_text("utf-8") == "# Mine\n"
    assert (tmp_path / "conf" / "shop.toml").is_file()
    again = run("start", str(tmp_path))
    assert again.stdout.startswith("0 files begun")


@pytest.mark.parametrize("title", ["", "  ", "two\nlines", "x" * 200])
def test_a_title_that_is_none(tmp_path: Path, title: str) -> None:
    result = run("start", str(tmp_path / "m"), "--title", title)
    assert result.exit_code == 2
    assert not (tmp_path / "m").exists()


def test_a_file_in_the_way_is_named(tmp_path: Path) -> None:
    write(tmp_path, {"docs": "a file\n"})
    result = run("start", str(tmp_path))
    assert result.exit_code == 2
    assert "is a file: name another folder" in result.stderr


def test_the_run_of_a_pull_request_holds_no_secret_and_may_only_read(begun: Path) -> None:
    text = (begun / ".github" / "workflows" / "manual.yml").read_text("utf-8")
    assert "permissions:\n  contents: read\n" in text
    assert "secrets" not in text
    assert "pull_request_target" not in text
    own = Path(__file__).parents[2] / ".github" / "workflows" / "manual.yml"
    pinned = set(re.findall(r"actions/\S+@[0-9a-f]{40}", own.read_text("utf-8")))
    assert set(re.findall(r"actions/\S+", text)) == pinned
    shutil.rmtree(begun / ".github")
    assert found_in(begun) == []
