"""What an editor waits for, over its protocol: ``python -m tests.benchmarks.editing``.

Takes how often each question is asked (20 unless said), how many generated procedure pages the
manual has beside those of the demo (none unless said), and a file for the log of the protocol (none
unless said): every message, with its time. Starts the server as an editor does, opens
the longest procedure of the demo, types in it and asks; prints milliseconds of the clock from a
message to its answer: the median, and the longest. Findings are told after a pause of 200 ms, which
is part of their time.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median

from tests.benchmarks.generated import write_manual
from tests.editor.talking import Editor, place_of

PROJECT = Path(__file__).resolve().parents[2]
CAR, WORK = "vehicles/tarrow-finch.md", "procedures/fit-tf-180.md"
SMALLEST = ("1 2",)
"""The smallest runs, which the tests start."""


def main(rounds: int, pages: int, log: str) -> None:
    """Start the server, open a page, type and ask; print what each took."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for part in ("docs", "conf"):
            shutil.copytree(PROJECT / part, folder / part)
        if pages:
            write_manual(folder / "docs" / "generated", pages)
        text = (folder / "docs" / WORK).read_text(encoding="utf-8")
        lines = text.count("\n")
        print(f"{WORK}, {lines} lines; {pages} generated pages; {rounds} rounds; milliseconds")
        start = time.perf_counter()
        with Editor(folder, log=log) as editor:
            _say("started, initialised", [time.perf_counter() - start])
            wrong = text.replace("revision: ", "revison: ", 1)
            start = time.perf_counter()
            editor.open(WORK, wrong)
            editor.wait_for_news(WORK, 0)
            _say("opened, to its findings", [time.perf_counter() - start])
            editor.pass_time(2 + pages / 20)  # the others are checked meanwhile
            _ask(editor, text, rounds)


def _ask(editor: Editor, text: str, rounds: int) -> None:
    bolts = text.index("{torque}`")
    role = place_of(text[:bolts] + "\0", "\0")
    at = type(role)(role.line, role.character + 11)
    _repeat("typed, to its findings", rounds, lambda n: _typed(editor, WORK, text, n))
    for name, old, new in (
        ("complete a verb", "  - remove ", "  - rem\0"),
        ("complete an id", "  - remove ", "  - remove c\0"),
        ("complete a field", "id: check-in\n", "id: check-in\nwh\0\n"),
        ("complete in a role", "{torque}`", "{torque}`c\0"),
    ):
        begun = text.replace(old, new, 1)
        place = place_of(begun, "\0")
        begun = begun.replace("\0", "")
        _repeat(
            f"{name}, just typed",
            rounds,
            lambda n, begun=begun, place=place: _completed(editor, f"{begun}\n{n}", place),  # type: ignore[misc]
        )
    editor.type(WORK, text)
    editor.hover(WORK, at)
    _repeat("facts of a thing", rounds, lambda _: editor.hover(WORK, at))
    _repeat("to its description", rounds, lambda _: editor.definition(WORK, at))
    _repeat("all its places", rounds, lambda _: editor.references(WORK, at))
    _repeat("rename it", max(rounds // 4, 1), lambda n: editor.rename(WORK, at, f"other-{n}"))
    editor.open(CAR)
    car = editor.read(CAR)
    _repeat("typed on the car's page", max(rounds // 4, 1), lambda n: _typed(editor, CAR, car, n))


def _typed(editor: Editor, page: str, text: str, n: int) -> None:
    told = editor.times_told(page)
    editor.type(page, f"{text}\n```{{torque-tabel}} {'x' * (n + 1)}\n```\n" if n % 2 == 0 else text)
    editor.wait_for_news(page, told)


def _completed(editor: Editor, text: str, place: object) -> None:
    editor.type(WORK, text)
    assert editor.complete(WORK, place)  # type: ignore[arg-type]


def _repeat(name: str, rounds: int, ask: Callable[[int], object]) -> None:
    times = []
    for n in range(rounds):
        start = time.perf_counter()
        ask(n)
        times.append(time.perf_counter() - start)
    _say(name, times)


def _say(name: str, times: list[float]) -> None:
    print(f"{name:34} {median(times) * 1000:7.0f} {max(times) * 1000:7.0f}", flush=True)


if __name__ == "__main__":
    words = [*sys.argv[1:], *("20", "0", "")[len(sys.argv) - 1 :]]
    main(int(words[0]), int(words[1]), words[2])
