"""The guide's way from an empty folder to a printed card, done as the page says.

``python -m tests.conf.first_card`` prints each command with the seconds that it took.
"""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from urllib.request import urlopen

from flit_core.wheel import make_wheel_in

PROJECT = Path(__file__).resolve().parents[2]
PAGE = PROJECT / "docs" / "writing" / "empty-folder.md"
_PART = re.compile(r"^(?:```text\n(?P<sh>.+?)^```|````md\n(?P<page>.+?)^````)$", re.M | re.S)
_NAMED = re.compile(r"`(docs/\S+\.md)`:\n\n\Z")


@dataclass
class Way:
    """What came of the way: each command, its exit code, output and seconds; the served page."""

    folder: Path
    commands: list[tuple[str, int, str, float]] = field(default_factory=list)
    served: str = ""

    def code_of(self, command: str) -> list[int]:
        """The exit codes of a command, each time it was run."""
        return [code for words, code, _, _ in self.commands if words == command]


def parts() -> Iterator[tuple[str, str]]:
    """Yield the page's commands, each as ("", command), and its pages, as (path, text)."""
    text = PAGE.read_text("utf-8")
    for part in _PART.finditer(text):
        if part["sh"] is not None:
            yield from (("", line) for line in part["sh"].splitlines())
        else:
            named = _NAMED.search(text[: part.start()])
            assert named, "a page without its path"
            yield named[1], part["page"]


def walk(folder: Path) -> Way:
    """Do what the page says in an empty folder; no package is fetched.

    The libraries that the program needs are those of this environment.
    """
    make_wheel_in(PROJECT / "pyproject.toml", folder)
    way, here = Way(folder), folder
    env = {**os.environ, "PIP_NO_DEPS": "1", "PIP_NO_INDEX": "1", "PYTHONUTF8": "1"}
    env.pop("PYTHONPATH", None)
    for path, text in parts():
        if path:
            (here / path).write_text(text, encoding="utf-8")
        elif text.startswith("export PATH="):
            env["PATH"] = f"{folder}/.venv/bin{os.pathsep}{env['PATH']}"
        elif text.startswith("cd "):
            here = here / text.removeprefix("cd ")
        elif text == "procedures serve":
            start = time.perf_counter()
            way.served = _served(here, env)
            way.commands.append((text, 0, "", time.perf_counter() - start))
        else:
            start = time.perf_counter()
            done = subprocess.run(  # noqa: S602 - the page's own words
                text, shell=True, cwd=here, env=env, capture_output=True, encoding="utf-8",
                check=False,
            )  # fmt: skip
            said = done.stdout + done.stderr
            way.commands.append((text, done.returncode, said, time.perf_counter() - start))
            _lend_libraries(folder / ".venv")
    return way


def _lend_libraries(venv: Path) -> None:
    """Let the new environment find the libraries of this one, behind its own."""
    own = [path for path in sys.path if path.endswith("-packages")]
    for place in venv.glob("lib/python*/site-packages"):
        if (place / "procedures_lib").is_dir():
            (place / "lent.pth").write_text("\n".join(own), encoding="utf-8")


def _served(folder: Path, env: dict[str, str]) -> str:
    """Start ``procedures serve``, return the page of the job as it is served, and stop it."""
    process = subprocess.Popen(
        ["/bin/sh", "-c", "exec procedures serve --port 0"],
        cwd=folder, env=env, stdout=subprocess.PIPE, encoding="utf-8",
    )  # fmt: skip
    assert process.stdout is not None
    said = iter(process.stdout.readline, "")
    address = next(found[0] for line in said if (found := re.search(r"http://\S+", line)))
    with urlopen(f"{address.rstrip('/')}/procedures/fit-tl-10.html") as answer:  # noqa: S310
        page = str(answer.read().decode())
    process.send_signal(signal.SIGINT)
    process.communicate()
    return page


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as name:
        way = walk(Path(name))
        for words, code, _, seconds in way.commands:
            print(f"{seconds:6.1f} s  code {code}  {words}")
        print(f"{sum(row[3] for row in way.commands):6.1f} s  {len(way.commands)} commands")
