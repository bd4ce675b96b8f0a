"""A git repository made for a test, with settings of its own."""

from __future__ import annotations

import os
import subprocess
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

_SETTINGS = (
    "-c", "user.name=Writer", "-c", "user.email=writer@example.org", "-c", "commit.gpgsign=false",
    "-c", "init.defaultBranch=main", "-c", "core.autocrlf=false",
    "-c", "protocol.file.allow=always",
)  # fmt: skip


def git(folder: Path, *words: str) -> str:
    """Run git in a folder, apart from the settings of this machine; return what it prints."""
    env = {**os.environ, "GIT_CONFIG_NOSYSTEM": "1", "GIT_CONFIG_GLOBAL": os.devnull}
    command = ["git", *_SETTINGS, *words]
    done = subprocess.run(  # noqa: S603
        command, cwd=folder, env=env, capture_output=True, encoding="utf-8", check=False
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def commit_all(folder: Path, message: str = "State") -> str:
    """Make a commit of all that stands in a folder, the first one too; return its name."""
    if not (folder / ".git").exists():
        git(folder, "init", "--quiet")
    git(folder, "add", "--all", "--force")
    git(folder, "commit", "--quiet", "--allow-empty", "--message", message)
    return git(folder, "rev-parse", "HEAD").strip()
