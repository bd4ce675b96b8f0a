"""nginx with the configuration of ``docs/reference/serving.md``, for tests that ask it."""

from __future__ import annotations

import os
import re
import shutil
import socket
import subprocess
import tempfile
import time
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.cli.clients import HANG, call
from tests.cli.world import write

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

PROJECT = Path(__file__).resolve().parents[2]
PAGE = PROJECT / "docs" / "reference" / "serving.md"
IN_USE = "Address already in use"

MAIN = """
daemon off;
worker_processes 1;
pid {folder}/nginx.pid;
error_log stderr;
events {{}}
http {{
    access_log off;
    client_body_temp_path {folder}/body;
    proxy_temp_path {folder}/proxy;
    fastcgi_temp_path {folder}/fastcgi;
    uwsgi_temp_path {folder}/uwsgi;
    scgi_temp_path {folder}/scgi;
    server {{
        listen 127.0.0.1:{port};
        {rules}
    }}
}}
"""


@dataclass(frozen=True, slots=True)
class Running:
    """nginx as it runs for these tests: where it listens, and what it serves."""

    address: tuple[str, int]
    site: Path


def find_nginx() -> str:
    """Return the path of nginx. Without one the test is skipped; with ``CI=true`` it fails."""
    found = shutil.which("nginx", path=f"{os.environ.get('PATH', '')}{os.pathsep}/usr/sbin")
    if found:
        return found
    reason = "no nginx: install Debian's package `nginx`"
    if os.environ.get("CI") == "true":
        pytest.fail(reason)
    pytest.skip(reason)


def block_of_the_page(begin: str) -> str:
    """The block on the page that begins with a word."""
    text = PAGE.read_text("utf-8")
    block = re.search(rf"^```text\n({begin} .+?)^```$", text, re.MULTILINE | re.DOTALL)
    assert block
    return block[1]


def rules_of_the_page(site: Path) -> str:
    """The configuration as the page gives it, with the folder of this site."""
    return re.sub(r"\Aroot \S+;", f"root {site};", block_of_the_page("root"))


def free_port() -> int:
    """A port that nobody listens at, just now."""
    with socket.create_server(("127.0.0.1", 0)) as taken:
        return int(taken.getsockname()[1])


def start(nginx: str, folder: Path, port: int, more: str) -> subprocess.Popen[bytes]:
    """Start nginx, with more rules in front of the page's.

    Where the tests are run by root it runs as a user who may do nothing.
    """
    main = MAIN.format(folder=folder, port=port, rules=more + rules_of_the_page(folder / "site"))
    write(folder, {"nginx.conf": main})
    import pwd  # noqa: PLC0415 - not everywhere

    nobody = pwd.getpwnam("nobody")
    drop = os.geteuid() == 0
    if drop:
        for path in (folder, *folder.rglob("*")):
            os.chown(path, nobody.pw_uid, nobody.pw_gid, follow_symlinks=False)
    with (folder / "errors").open("wb") as errors:
        return subprocess.Popen(  # noqa: S603
            [nginx, "-p", str(folder), "-c", str(folder / "nginx.conf")],
            stderr=errors,
            user=nobody.pw_uid if drop else None,
            group=nobody.pw_gid if drop else None,
            extra_groups=[] if drop else None,
        )


def wait_for(process: subprocess.Popen[bytes], address: tuple[str, int]) -> bool:
    """Wait until nginx answers; False if it has ended."""
    for _ in range(20 * HANG):
        if process.poll() is not None:
            return False
        try:
            call(address).close()
        except ConnectionError:
            time.sleep(0.05)
        else:
            return True
    pytest.fail("nginx does not begin")


def started(nginx: str, folder: Path, more: str) -> tuple[subprocess.Popen[bytes], tuple[str, int]]:
    """Start nginx at a port that is free; if another program takes it first, at the next one."""
    for _ in range(5):
        address = ("127.0.0.1", free_port())
        process = start(nginx, folder, address[1], more)
        if wait_for(process, address):
            return process, address
        said = (folder / "errors").read_text("utf-8")
        if IN_USE not in said:
            break
    pytest.fail(said)


@contextmanager
def nginx_with(fill: Callable[[Path], None], more: str = "") -> Iterator[Running]:
    """Run nginx on the ``site`` in a folder that is filled first, until the end.

    ``more`` are further rules, with ``{folder}`` for that folder. What nginx warns of fails.
    """
    nginx = find_nginx()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        fill(folder)
        process, address = started(nginx, folder, more.replace("{folder}", str(folder)))
        try:
            yield Running(address, folder / "site")
        finally:
            process.terminate()
            process.wait(HANG)
        said = (folder / "errors").read_text("utf-8")
        assert not re.search(r"\[(warn|emerg|alert|crit)\]", said), said
