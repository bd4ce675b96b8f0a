"""From a merge to the web server: the steps of the run that ``start`` writes, and the server's."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import yaml

from tests.cli.world import LIBRARY, run, write

GUIDE = Path(__file__).parents[2] / "docs" / "reference" / "serving.md"
PAGE = """# Renew the filter

```{{vehicle}} finch
name: Tarrow Finch
```

```{{procedure}} renew-filter
vehicle: finch
revision: {}
```

:::{{step}} Look at the filter
Look.
:::
"""


def sh(folder: Path, script: str) -> None:
    """Run a script as a step of the run is run."""
    env = {**os.environ, "PYTHONPATH": str(LIBRARY), "GITHUB_SHA": "0123abc", "LC_ALL": "C",
           "GIT_CONFIG_GLOBAL": os.devnull}  # fmt: skip
    done = subprocess.run(  # noqa: S603
        ["/bin/bash", "-e", "-c", script], cwd=folder, env=env, capture_output=True, check=False
    )
    assert done.returncode == 0, done.stderr.decode()


def steps(root: Path) -> list[dict[str, Any]]:
    """The steps of the job that publishes, but for those that only fetch and install."""
    text = (root / "work" / ".github" / "workflows" / "manual.yml").read_text("utf-8")
    found: list[dict[str, Any]] = yaml.safe_load(text)["jobs"]["publish"]["steps"]
    assert [step["name"] for step in found[:2]] == ["The manual", "Install the program"]
    return found[2:]


def merge(root: Path, revision: str) -> None:
    """Push a revision of the procedure, and do what the run then does, on a machine of its own."""
    work = root / "work"
    write(work, {"docs/procedures/renew-filter.md": PAGE.format(revision)})
    commit = "git -c user.name=a -c user.email=a@b commit -q -m"
    sh(work, f"git add --all; {commit} {revision}; git push -q origin HEAD:main")
    machine = root / f"machine-{revision}"
    machine.mkdir()
    sh(machine, f"git clone -q --depth 1 -b main file://{root}/origin.git manual")
    script = f'#!/bin/sh\nexec "{sys.executable}" -m procedures_lib "$@"\n'
    write(machine / "manual", {".venv/bin/procedures": script})
    (machine / "manual" / ".venv" / "bin" / "procedures").chmod(0o755)
    for step in steps(root):
        sh(machine / step["working-directory"], step["run"])


def take(server: Path) -> str:
    """Do what the server does, and return the page that it then has."""
    script = re.search(r"^```text\n(#!/bin/sh.+?)^```$", GUIDE.read_text("utf-8"), re.M | re.S)
    assert script
    write(server, {"take-manual": script[1]})
    sh(server, f"sh take-manual {server}")
    return (server / "site" / "procedures" / "renew-filter.html").read_text("utf-8")


@pytest.mark.skipif(shutil.which("git") is None, reason="no git")
def test_a_merge_is_published_and_taken_and_the_old_revision_stays(tmp_path: Path) -> None:
    assert run("start", str(tmp_path / "work")).exit_code == 0
    sh(tmp_path, "git init -q --bare origin.git; git init -q -b main work")
    sh(tmp_path / "work", f"git remote add origin file://{tmp_path}/origin.git")
    merge(tmp_path, "A")
    server = tmp_path / "server"
    server.mkdir()
    sh(server, f"git clone -q --no-checkout file://{tmp_path}/origin.git clone")
    assert "Revision A" in take(server)
    first = (server / "site").resolve()
    merge(tmp_path, "B")
    assert "Revision B" in take(server)
    assert (server / "site").resolve() != first
    assert first.is_dir()
    old = (server / "site" / "superseded" / "renew-filter" / "A.html").read_text("utf-8")
    assert "Look at the filter" in old
    assert "Revision B</a> is in force" in old
    assert take(server)
    assert sorted(path.name for path in server.glob("site-*")) == sorted(
        {first.name, (server / "site").resolve().name}
    )
    assert not (server / "site" / ".git").exists()


def test_what_may_write_begins_with_a_merge_alone(tmp_path: Path) -> None:
    run("start", str(tmp_path / "work"))
    text = (tmp_path / "work" / ".github" / "workflows" / "manual.yml").read_text("utf-8")
    jobs = yaml.safe_load(text)["jobs"]
    writing = {name for name, job in jobs.items() if "write" in str(job.get("permissions"))}
    assert writing == {"publish"}
    assert jobs["publish"]["if"] == "github.event_name == 'push'"
    assert jobs["check"]["if"] == "github.event_name == 'pull_request'"
    assert "\npermissions:\n  contents: read\n" in text
