"""A small manual on disk, and a way to run the command on it."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from textwrap import dedent
from typing import TYPE_CHECKING

from click.testing import CliRunner

import procedures_lib
from procedures_lib.fronts.cli import main
from tests.helpers import raw_of
from tests.mule import PAGES

if TYPE_CHECKING:
    from click.testing import Result

CONF = 'extensions = ["myst_parser"]\nhtml_theme = "basic"\n'
UNREADABLE = """
    # A page with a mistake

    ```{parts}
    lid: {nam: Lid}
    ```
    """
PRINTED = """
    ```{expect} Mule sheet 1
    cover-bolts: thread M6, class 8.8, count 2, condition dry, 89 lbf·in
    side-bolt: thread M10, class 8.8, condition dry, 20–22 N·m, +1/6 turn
    ```
    """
LIBRARY = Path(procedures_lib.__file__).parents[1]


def write(folder: Path, files: dict[str, str]) -> None:
    """Write texts to files, making the folders that they need."""
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(raw_of(text))


def make_manual(folder: Path, pages: dict[str, str] | None = None) -> Path:
    """Write a manual without findings, or one of these pages, with its settings.

    Of the first all is judged: its numbers stand in double entry too.
    """
    car = {"vehicles/mule.md": undented(PAGES["vehicles/mule.md"]) + undented(PRINTED)}
    chosen = {**PAGES, **car} if pages is None else pages
    write(folder, {f"docs/{name}": text for name, text in chosen.items()})
    write(folder, {"conf/conf.py": CONF})
    return folder


def run(*words: str, **environment: str) -> Result:
    """Run the command in this process, in the current folder."""
    return CliRunner(env={"COLUMNS": "", "NO_COLOR": "", **environment}).invoke(main, words)


def start(folder: Path, *words: str) -> subprocess.Popen[str]:
    """Start the command as a program of its own."""
    env = {**os.environ, "PYTHONPATH": str(LIBRARY), "PYTHONUTF8": "1"}
    return subprocess.Popen(  # noqa: S603
        [sys.executable, "-m", "procedures_lib", *words],
        cwd=folder,
        env=env,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        encoding="utf-8",
    )


def undented(text: str) -> str:
    """Return a text without its common indentation and first line break."""
    return dedent(text).removeprefix("\n")
