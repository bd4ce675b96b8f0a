"""The theme's scripts against their types, by TypeScript's checker, which comes from npm.

The checker is installed once below `.build/`, as `conf/package-lock.json` names it. Without `node`
or `npm`, or where npm can't bring it, these tests are skipped; with `CI=true` they fail.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import shutil
import subprocess
import tempfile
from contextlib import suppress
from dataclasses import dataclass
from html import unescape
from pathlib import Path
from typing import Any, NoReturn

import pytest

from procedures_lib.fronts.site.theme import THEME
from tests.site.building import CONF, PROJECT, SmallManual

LOCK = PROJECT / "conf" / "package-lock.json"
STATIC = THEME / "static"
TYPES = THEME.with_name("types")
CONFIGS = ("tsconfig.json", "tsconfig.worker.json")
"""Beside the theme: the scripts of pages, and those of the service worker."""


@dataclass(frozen=True)
class Checked:
    """What the checker says of the scripts that one configuration names, and which those are."""

    errors: list[str]
    scripts: set[str]


def missing(reason: str) -> NoReturn:
    """Skip the test; where ``CI`` is ``true`` it fails."""
    if os.environ.get("CI") == "true":
        pytest.fail(reason)
    pytest.skip(reason)


def install(npm: str, place: Path) -> None:
    """Install what the lock names into a folder: the whole of it, or the folder is not there."""
    place.parent.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory(dir=place.parent) as parent:
        folder = Path(parent) / "npm"
        folder.mkdir()
        for name in ("package.json", LOCK.name):
            shutil.copy(LOCK.with_name(name), folder)
        words = ["ci", "--ignore-scripts", "--no-audit", "--no-fund", "--fetch-retries=1"]
        done = subprocess.run(  # noqa: S603
            [npm, *words], cwd=folder, capture_output=True, encoding="utf-8", check=False
        )
        if done.returncode:
            missing(f"npm could not install TypeScript: {done.stderr[-500:]}")
        with suppress(OSError):  # another run was first
            folder.rename(place)


@pytest.fixture(scope="module")
def checker() -> list[str]:
    """The command that runs the checker."""
    node, npm = shutil.which("node"), shutil.which("npm")
    place = PROJECT / ".build" / f"npm-{hashlib.sha256(LOCK.read_bytes()).hexdigest()[:12]}"
    program = place / "node_modules" / "typescript" / "bin" / "tsc"
    if node is None or (npm is None and not program.exists()):
        missing("no checker of types: install Debian's packages `nodejs` and `npm`")
    if npm is not None and not program.exists():
        install(npm, place)
    return [node, str(program), "--pretty", "false", "--listFiles"]


def check(checker: list[str], folder: Path, config: str) -> Checked:
    """Check the scripts of a theme's folder."""
    done = subprocess.run(  # noqa: S603
        [*checker, "-p", config], cwd=folder, capture_output=True, encoding="utf-8", check=False
    )
    lines = done.stdout.splitlines()
    static = f"{(folder / THEME.name / STATIC.name).resolve().as_posix()}/"
    scripts = {line.removeprefix(static) for line in lines if line.startswith(static)}
    errors = [line for line in lines if ": error TS" in line or line.startswith("error TS")]
    assert (done.returncode != 0) == bool(errors), done.stdout + done.stderr
    return Checked(errors, scripts)


@pytest.fixture(scope="module")
def theme(checker: list[str]) -> dict[str, Checked]:
    """What the checker says of the theme, by configuration."""
    return {config: check(checker, THEME.parent, config) for config in CONFIGS}


def test_the_scripts_go_together(theme: dict[str, Checked]) -> None:
    assert [error for each in theme.values() for error in each.errors] == []


def test_each_script_is_checked_once(theme: dict[str, Checked]) -> None:
    pages, worker = (theme[config].scripts for config in CONFIGS)
    assert pages & worker == set()
    assert pages | worker == {f.relative_to(STATIC).as_posix() for f in STATIC.rglob("*.js")}
    assert "worker.js" in worker


FAULTS = {
    "job/ticks.js": ("export const a = (/** @type {Job} */ job) => job.redings;", "TS2551"),
    "job/bar.js": ("export const a = (b) => b;", "TS7006"),
    "find.js": ("export const a = (/** @type {Hit[]} */ hits) => hits[0].name;", "TS2532"),
    "follow.js": ("document.querySelector('main').focus();", "TS2531"),
    "offline.js": ("ask('relase');", "TS2345"),
    "worker.js": ("self.addEventListener('fetch', (event) => event.client);", "TS2551"),
    "offline/talk.js": ("const b = (/** @type {WorkerNotes} */ notes) => notes.held;", "TS2339"),
}
"""Lines that are put at the end of a script, with the error that each is."""


def test_a_slip_is_found(checker: list[str], tmp_path: Path) -> None:
    folder = tmp_path / "theme"
    shutil.copytree(THEME.parent, folder)
    for name, (line, _) in FAULTS.items():
        with (folder / THEME.name / STATIC.name / name).open("a", encoding="utf-8") as script:
            script.write(f"\n{line}\n")
    found = [error for config in CONFIGS for error in check(checker, folder, config).errors]
    for name, (_, number) in FAULTS.items():
        assert any(f"static/{name}(" in e and f" {number}:" in e for e in found), (name, found)


def test_nothing_is_left_out_of_the_check() -> None:
    for script in STATIC.rglob("*.js"):
        text = script.read_text("utf-8")
        assert "@ts-" not in text, script
        tags = re.findall(r"@(?:param|returns|type|typedef|template)\b[^\n]*", text)
        assert [tag for tag in tags if re.search(r"\{[^}]*\bany\b", tag)] == [], script
    for types in TYPES.glob("*.d.ts"):
        code = re.sub(r"/\*.*?\*/|//[^\n]*", "", types.read_text("utf-8"), flags=re.DOTALL)
        assert not re.search(r"\bany\b", code), types


def fields(name: str) -> set[str]:
    """The fields of an interface, with those of the one that it extends."""
    text = "".join(path.read_text("utf-8") for path in sorted(TYPES.glob("*.d.ts")))
    match = re.search(rf"^interface {name}(?: extends (\w+))? {{\n(.*?)^}}", text, re.M | re.S)
    assert match, name
    return set(re.findall(r"^  (\w+)\??:", match[2], re.M)) | (
        fields(match[1]) if match[1] else set()
    )


def test_types_have_the_fields_that_the_site_is_built_with(tmp_path: Path) -> None:
    built = SmallManual(tmp_path / "manual", CONF.replace('"basic"', '"bench"')).build()

    def read(name: str) -> Any:
        return json.loads((built.html / name).read_text("utf-8"))

    version, start = read("offline/files.json"), read("find/start.json")
    (asked,) = re.findall(r'data-readings="([^"]+)"', built.page("lift-cover"))
    (reading,) = json.loads(unescape(asked))
    assert reading.keys() == fields("ReadingRequest")
    assert version.keys() == fields("SiteVersion")
    assert version["parts"][0].keys() == fields("SitePart")
    assert version["all"].keys() == fields("FileTotal")
    assert start.keys() == fields("IndexStart")
    assert read("find/rows/0.json")[0].keys() == fields("PageRows")
