"""Kills publications at random moments: ``python -m tests.cli.killing 60`` does it sixty times.

Prints how many were killed, with which state in the folder, and how many of them left a mixture;
then the same of real builds, killed while they publish and while they do anything else.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import random
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

from procedures_lib.fronts.cli.publishing.site_list import PLAN, list_in
from tests.cli.sites import STATES, is_midway, make_states, publish_state, put_foreign, state_in
from tests.cli.world import LIBRARY, make_manual, start, write

if TYPE_CHECKING:
    from collections.abc import Callable

PAGES = 60
INDEX = "# {}\n\n```{{toctree}}\n:glob:\n\npage-*\n```\n"
LONGEST = 0.05
"""Seconds within which a publication is killed: several go by in that time."""


def start_publishing(root: Path) -> subprocess.Popen[str]:
    """Start a program that publishes both states by turns, for ever, and wait until it has begun.

    It waits for two lines on its input between two publications.
    """
    process = subprocess.Popen(  # noqa: S603
        [sys.executable, "-m", "tests.cli.killing", "publish", str(root)],
        cwd=LIBRARY,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        encoding="utf-8",
    )
    assert process.stdout is not None
    assert process.stdout.readline() == "begun\n"
    return process


def killed(root: Path, chance: random.Random) -> tuple[str, bool]:
    """Kill a publication; return the state that it left, whole, and whether it was under way.

    The next publication is good.
    """
    process = multiprocessing.get_context("fork").Process(target=_publish, args=(root,))
    process.start()
    time.sleep(chance.uniform(0, LONGEST))
    process.kill()
    process.join()
    left = state_in(root), is_midway(root / "site-work" / "spare")
    for state in STATES:
        publish_state(root, state)
        assert state_in(root) == state
    return left


def _publish(root: Path, between: Callable[[], None] = lambda: None) -> None:
    while True:
        for state in STATES:
            publish_state(root, state)
            between()


def make_project(root: Path) -> Path:
    """Write a manual of plain pages, and build it."""
    make_manual(root, pages_of("first"))
    assert start(root, "build").wait() == 0
    put_foreign(root / ".build" / "html")
    return root


def pages_of(word: str) -> dict[str, str]:
    """The pages of a manual, all with one word in them."""
    words = f"# Page\n\nThe word is {word}.\n"
    return {"index.md": INDEX.format(word), **{f"page-{n}.md": words for n in range(PAGES)}}


def build_killed(project: Path, word: str, delay: float, publishing: bool) -> str:
    """Build with another word, kill it; return the word that is served on every page.

    The delay counts from the start, or from when the new folder is begun.
    """
    plan = project / ".build" / "html-work" / "spare" / PLAN
    write(project / "docs", pages_of(word))
    process = start(project, "build")
    while publishing and process.poll() is None and not plan.exists():
        time.sleep(0.0005)
    time.sleep(delay)
    process.kill()
    process.communicate()
    return word_served(project)


def word_served(project: Path) -> str:
    """The word that is on every page of the site; fails when there is more than one."""
    site = project / ".build" / "html"
    served = list_in(site)
    assert served is not None
    sizes = {name: (site / name).stat().st_size for name in served.files}
    assert sizes == {name: content.size for name, content in served.files.items()}
    pages = [(site / name).read_text("utf-8") for name in sizes if name.startswith("page-")]
    words = {text.split("The word is ")[1].split(".")[0] for text in pages}
    assert (len(pages), len(words)) == (PAGES, 1), words
    return words.pop()


def main(rounds: int) -> None:
    """Kill so many publications, builds while they publish, and builds at any moment."""
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder)
        make_states(root, PAGES)
        publish_state(root, STATES[0])
        put_foreign(root / "site")
        found = [killed(root, random.Random(seed)) for seed in range(rounds)]  # noqa: S311
        _say("publications", Counter(left for left, _ in found), sum(way for _, way in found))
        project = make_project(root / "project")
        write(project / "docs", pages_of("timed"))
        began = time.monotonic()
        assert start(project, "build").wait() == 0
        whole = time.monotonic() - began
        for publishing in (True, False):
            _kill_builds(project, rounds, publishing, LONGEST if publishing else 1.2 * whole)


def _kill_builds(project: Path, rounds: int, publishing: bool, longest: float) -> None:
    left: Counter[str] = Counter()
    midway = 0
    for seed in range(rounds):
        before, word = word_served(project), f"w{seed}{publishing:d}"
        delay = random.Random(seed).uniform(0, longest)  # noqa: S311
        served = build_killed(project, word, delay, publishing)
        left["new" if served == word else "old"] += 1
        assert served in (before, word)
        midway += is_midway(project / ".build" / "html-work" / "spare")
        if seed % 3 == 0:
            assert start(project, "build").wait() == 0
            assert word_served(project) == word
    when = "while they publish" if publishing else "at any moment"
    _say(f"builds {when}", left, midway)


def _say(what: str, left: Counter[str], midway: int) -> None:
    count = left.total()
    print(f"{what}: {count} killed, {midway} of them midway; 0 mixed, {count} whole: {dict(left)}",
          flush=True)  # fmt: skip


def _wait_for_two_lines() -> None:
    """Wait for lines that are written from now on: those of before are thrown away."""
    count = 2
    with contextlib.suppress(BlockingIOError):
        os.read(0, 1 << 20)
    while count > 0:
        try:
            read = os.read(0, 1)
        except BlockingIOError:
            time.sleep(0.0005)
            continue
        if not read:
            sys.exit()
        count -= read.count(b"\n")


if __name__ == "__main__":
    if sys.argv[1:2] == ["publish"]:
        print("begun", flush=True)
        os.set_blocking(0, False)
        _publish(Path(sys.argv[2]), _wait_for_two_lines)
    else:
        main(int(sys.argv[1]) if len(sys.argv) > 1 else 60)
