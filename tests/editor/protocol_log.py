"""Stands between an editor and the server, and writes each message with its time.

``python -m tests.editor.protocol_log FILE`` takes the place of ``procedures editor`` and its words.
A line has milliseconds since the start, the direction, method and number, the size in bytes, and
of an answer the milliseconds since its question.
"""

from __future__ import annotations

import json
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from typing import IO

_HEAD = b"Content-Length:"


class Log:
    """Writes a line for each message; both directions by turns."""

    def __init__(self, path: str) -> None:
        self._file = open(path, "w", encoding="utf-8")  # noqa: SIM115 - as long as the program
        self._start = time.perf_counter()
        self._asked: dict[object, tuple[str, float]] = {}
        self._lock = threading.Lock()

    def note(self, arrow: str, body: bytes) -> None:
        """Write what a message is, and how long its answer took."""
        now, message = time.perf_counter(), json.loads(body)
        method, number, took = message.get("method"), message.get("id"), ""
        with self._lock:
            if method and number is not None:
                self._asked[(arrow, number)] = method, now
            elif not method:
                back = "<-" if arrow == "->" else "->"
                method, asked = self._asked.pop((back, number), ("?", now))
                took = f"  after {(now - asked) * 1000:.0f} ms"
            sign = "" if number is None else f" #{str(number)[:4]}"
            since = (now - self._start) * 1000
            print(f"{since:8.0f} {arrow} {method}{sign} {len(body)} B{took}", file=self._file)
            self._file.flush()


def relay(source: IO[bytes], target: IO[bytes], note: Callable[[bytes], None]) -> None:
    """Pass messages on until there are no more, each after it is noted."""
    while line := source.readline():
        head, size = line, 0
        while line.strip():
            if line.startswith(_HEAD):
                size = int(line[len(_HEAD) :])
            line = source.readline()
            head += line
        body = source.read(size)
        note(body)
        target.write(head + body)
        target.flush()
    target.close()


def main(path: str, *words: str) -> int:
    """Run the server, and relay until both are done."""
    log = Log(path)
    server = subprocess.Popen(  # noqa: S603
        [sys.executable, "-m", "procedures_lib", "editor", *words],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
    )
    assert server.stdin
    assert server.stdout
    there = (sys.stdin.buffer, server.stdin, lambda body: log.note("->", body))
    threading.Thread(target=relay, args=there, daemon=True).start()
    relay(server.stdout, sys.stdout.buffer, lambda body: log.note("<-", body))
    return server.wait()


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
