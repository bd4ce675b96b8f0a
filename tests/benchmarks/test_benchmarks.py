"""Every benchmark starts, at its smallest size: its figures are for whoever runs it by hand."""

from __future__ import annotations

import re
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import pytest

from tests.browser.chromium import find_chromium

HERE = Path(__file__).resolve().parent
PROJECT = HERE.parents[1]
MODULES = sorted(path.stem for path in HERE.glob("[!_]*.py") if not path.stem.startswith("test_"))
STARTED = [name for name in MODULES if "__main__" in (HERE / f"{name}.py").read_text("utf-8")]
SMALLEST = {
    name: getattr(import_module(f"tests.benchmarks.{name}"), "SMALLEST", ()) for name in STARTED
}


def test_each_says_how_its_smallest_run_starts() -> None:
    assert STARTED
    assert [name for name, runs in SMALLEST.items() if not runs] == []


def test_every_other_module_is_part_of_one() -> None:
    assert [name for name in MODULES if f"tests.benchmarks.{name}" not in sys.modules] == []


@pytest.mark.parametrize(
    "run", [f"{name} {run}" for name, runs in SMALLEST.items() for run in runs]
)
def test_the_smallest_run_prints_its_figures(run: str) -> None:
    name, *words = run.split()
    if {"started", "find_chromium"} & set(dir(import_module(f"tests.benchmarks.{name}"))):
        find_chromium()
    done = subprocess.run(  # noqa: S603
        [sys.executable, "-m", f"tests.benchmarks.{name}", *words],
        cwd=PROJECT,
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert re.search(r"\d", done.stdout)
