"""The locked requirements: complete, hashed, free of addresses, and of one mind."""

import json
import re
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
LOCKS = {name: ROOT / "conf" / f"requirements-{name}.txt" for name in ("manual", "test")}
PIN = re.compile(r"^([a-z0-9.-]+)==(\S+)(?: ; ([^\\]+))? \\\n((?:    --hash=.+\n)+)", re.MULTILINE)


def pins(name: str) -> set[tuple[str, str, str]]:
    """Return (project, version, marker) of every pin that has at least one hash."""
    return {(m[1], m[2], m[3] or "") for m in PIN.finditer(LOCKS[name].read_text("utf-8"))}


def projects(requirements: list[str]) -> set[str]:
    """Return the projects named by requirement lines, spelt as the lock spells them."""
    return {re.split(r"[<>=!\[; ]", line)[0].lower().replace("_", "-") for line in requirements}


def test_the_test_lock_holds_every_pin_of_the_manual() -> None:
    """A package that the manual needs on some systems only may be needed everywhere by a test."""
    held = pins("test")
    assert [pin for pin in pins("manual") if pin not in held and (*pin[:2], "") not in held] == []


@pytest.mark.parametrize("name", LOCKS)
def test_every_pin_has_a_hash_and_nothing_points_elsewhere(name: str) -> None:
    text = LOCKS[name].read_text("utf-8")
    assert len(re.findall(r"^[^#\s]", text, re.MULTILINE)) == len(list(PIN.finditer(text)))
    assert not re.search(r"://|--(extra-)?index|--find-links|file:| /", text)


def test_the_locks_cover_what_the_package_asks_for() -> None:
    metadata = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    wanted = projects(metadata["project"]["dependencies"] + metadata["build-system"]["requires"])
    assert wanted <= {project for project, _, _ in pins("manual")}
    extra = projects(metadata["project"]["optional-dependencies"]["test"])
    assert extra <= {project for project, _, _ in pins("test")}


def test_what_builds_the_package_is_locked_from_the_same_line() -> None:
    metadata = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    lines = (ROOT / "conf" / "requirements-build.txt").read_text("utf-8").splitlines()
    assert [line for line in lines if not line.startswith("#")] == metadata["build-system"][
        "requires"
    ]


def test_what_npm_brings_is_locked_by_hash_and_names_no_place() -> None:
    text = (ROOT / "conf" / "package-lock.json").read_text("utf-8")
    assert not re.search(r"://|\"resolved\"|\"link\"", text)
    packages = json.loads(text)["packages"]
    own = json.loads((ROOT / "conf" / "package.json").read_text("utf-8"))
    assert packages.pop("")["devDependencies"] == own["devDependencies"]
    assert set(packages) == {f"node_modules/{name}" for name in own["devDependencies"]}
    for name, package in packages.items():
        assert package["integrity"].startswith("sha512-"), name
        assert package["version"] == own["devDependencies"][name.removeprefix("node_modules/")]
