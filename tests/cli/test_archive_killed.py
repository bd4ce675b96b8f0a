"""An ``archive add`` that is killed before each of its writes: the next one makes it whole."""

from __future__ import annotations

import json
import os
import shutil
import signal
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from tests.cli.test_cli_archive import add, found, job, saved
from tests.cli.world import run

if TYPE_CHECKING:
    from collections.abc import Callable

WRITES = ("fsync", "link", "replace", "unlink", "truncate")
TOLD = ("half-written", "not-listed", "half-line")


def killed_before(write: int, *words: str) -> bool:
    """Run the command line in a process that is killed before so many writes; tell whether."""
    left = iter(range(write))

    def counted(work: Callable[..., Any]) -> Callable[..., Any]:
        def do(*values: Any, **more: Any) -> Any:
            if next(left, None) is None:
                os.kill(os.getpid(), signal.SIGKILL)
            return work(*values, **more)

        return do

    child = os.fork()
    if not child:
        for name in WRITES:
            setattr(os, name, counted(getattr(os, name)))
        vars(tempfile)["mkstemp"] = counted(tempfile.mkstemp)
        Path.touch = counted(Path.touch)  # type: ignore[method-assign]
        os._exit(run(*words).exit_code)
    status = os.waitpid(child, 0)[1]
    assert status in {0, signal.SIGKILL}
    return status == signal.SIGKILL


@pytest.mark.skipif(sys.platform == "win32", reason="a program is killed in another way")
@pytest.mark.parametrize("first", [True, False])
def test_an_add_that_is_killed_loses_nothing_and_doubles_nothing(manual: Path, first: bool) -> None:
    if not first:
        add(manual, job())
    before = 0 if first else 1
    new = saved(manual, job(begun="2026-11-26T08:00:00Z"), "new.json")
    for write in range(60):
        archive = manual / f"a-{write}"
        if not first:
            shutil.copytree(manual / "archive", archive)
        killed = killed_before(write, "archive", "add", new, "--archive", archive.name)
        check = run("archive", "check", "--archive", archive.name)
        told = [line for line in check.output.splitlines() if ": error: " in line]
        assert all(any(f": error: {kind}: " in line for kind in TOLD) for line in told), told
        assert run("archive", "add", new, "--archive", archive.name).exit_code == 0
        kept = [json.loads(p.read_text()) for p in archive.glob("jobs/*/*/*.json")]
        assert len(kept) == before + 1
        assert len(found("--archive", archive.name)) == before + 1
        run("archive", "index", "--archive", archive.name)
        whole = run("archive", "check", "--archive", archive.name)
        assert whole.stdout.endswith(f"{before + 1} record{'s' if before else ''}, no findings\n")
        if not killed:
            break
    assert 5 < write < 59
