"""A full disk, or one that may not be written to: which one it is, and the old site stands."""

from __future__ import annotations

import errno
import logging
import os
import subprocess
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from sphinx import builders
from sphinx.builders import html
from sphinx.errors import ExtensionError, SphinxParallelError
from sphinx.util.parallel import ParallelTasks

from procedures_lib.fronts.cli import sphinx_run
from procedures_lib.fronts.cli.publishing.disk import disk_fault_in, disk_fault_of, disk_fault_told
from tests.cli.test_output_folder import mounted
from tests.cli.world import make_manual, run, write

if TYPE_CHECKING:
    from collections.abc import Iterator

PAGES = {f"page-{n}.md": f"# Page {n}\n\nFirst words.\n" for n in range(30)}
INDEX = "# The manual\n\n```{toctree}\n:glob:\n\npage-*\n```\n"
FULL = """
import errno, os, builtins, sphinx.builders.html as html

def full(*words, **more):
    if len(words) > 1 and "w" in words[1]:
        raise OSError(errno.{number}, os.strerror(errno.{number}){name})
    return builtins.open(*words, **more)

def on_init(app):
    if "{where}" == "page":
        html.open = full
    if "{where}" == "extension":
        raise OSError(errno.{number}, os.strerror(errno.{number}){name})

def on_read(app, *_):
    if "{where}" == "reading":
        raise OSError(errno.{number}, os.strerror(errno.{number}){name})

def setup(app):
    app.connect("builder-inited", on_init)
    app.connect("source-read", on_read)
    return {{"parallel_read_safe": True, "parallel_write_safe": True}}
"""


@pytest.fixture
def project(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A manual of thirty pages, built once, the current folder."""
    folder = make_manual(tmp_path / "project", {"index.md": INDEX, **PAGES})
    monkeypatch.chdir(folder)
    assert run("build").exit_code == 0
    yield folder
    vars(html).pop("open", None)


def site(project: Path) -> dict[str, bytes]:
    folder = project / ".build" / "html"
    return {str(p): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


@pytest.mark.parametrize("jobs", ["1", "2"])
@pytest.mark.parametrize("where", ["page", "extension", "reading"])
@pytest.mark.parametrize(("number", "name"), [("ENOSPC", ""), ("EACCES", ', "named.html"')])
def test_while_sphinx_runs_the_disk_is_told_and_the_old_site_stands(
    project: Path, where: str, jobs: str, number: str, name: str
) -> None:
    before = site(project)
    conf = project / "conf" / "conf.py"
    good = conf.read_text("utf-8")
    write(project / "conf", {"conf.py": good + FULL.format(where=where, number=number, name=name)})
    write(project / "docs", {n: text.replace("First", "Second") for n, text in PAGES.items()})
    result = run("build", "--jobs", jobs)
    assert (result.exit_code, result.stdout) == (2, "")
    words = os.strerror(getattr(errno, number))
    assert words in result.stderr
    assert "The disk is the one mounted at " in result.stderr
    assert "keeps the last good site" in result.stderr
    assert ("named.html" in result.stderr) == bool(name)
    assert "Traceback" not in result.stderr
    assert site(project) == before


def test_a_disk_that_is_really_full(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = make_manual(tmp_path / "project", {"index.md": INDEX, **PAGES})
    monkeypatch.chdir(folder)
    with mounted(tmp_path / "disk"):
        output = tmp_path / "disk" / "site"
        assert run("build", "--output", str(output)).exit_code == 0
        before = {str(p): p.read_bytes() for p in output.rglob("*") if p.is_file()}
        filling = tmp_path / "disk" / "filling"
        fill(filling, tmp_path / "disk", leave=30_000)
        write(
            folder / "docs", {n: text.replace("First", "Second" * 99) for n, text in PAGES.items()}
        )
        for jobs in ("1", "2"):
            result = run("build", "--output", str(output), "--jobs", jobs)
            assert result.exit_code == 2
            assert "No space left on device" in result.stderr
            assert f"mounted at {tmp_path / 'disk'};" in result.stderr
            assert {str(p): p.read_bytes() for p in output.rglob("*") if p.is_file()} == before
            fill(filling, tmp_path / "disk", leave=30_000)
        filling.unlink()
        assert run("build", "--output", str(output)).exit_code == 0
        assert b"SecondSecond" in (output / "page-0.html").read_bytes()


def fill(file: Path, disk: Path, leave: int) -> None:
    """Fill a disk but for some bytes."""
    state = os.statvfs(disk)
    size = state.f_bavail * state.f_frsize - leave
    if size > 0:
        with file.open("ab") as filling:
            filling.write(b"x" * size)


def test_a_disk_that_may_only_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = make_manual(tmp_path / "project", {"index.md": INDEX, **PAGES})
    monkeypatch.chdir(folder)
    with mounted(tmp_path / "disk"):
        output = tmp_path / "disk" / "site"
        assert run("build", "--output", str(output)).exit_code == 0
        words = ["mount", "-o", "remount,ro", str(tmp_path / "disk")]
        subprocess.run(words, check=True)  # noqa: S603
        result = run("build", "--output", str(output))
        assert result.exit_code == 2
        assert "Read-only file system" in result.stderr
        assert "Let this user write there" in result.stderr


def test_an_error_is_found_behind_others() -> None:
    full = OSError(errno.ENOSPC, "full", "there")
    try:
        try:
            raise full
        except OSError as error:
            raise ValueError from error
    except ValueError as error:
        outer = error
    assert disk_fault_in(outer) is full
    assert disk_fault_in(ExtensionError("words", full)) is full
    assert disk_fault_in(OSError(errno.ENOENT, "missing")) is None
    assert disk_fault_in(ValueError()) is None


@pytest.mark.parametrize(
    ("text", "path"),
    [
        ("OSError: [Errno 28] No space left on device", None),
        ("OSError: [Errno 28] No space left on device: '/a b/c.html'", "/a b/c.html"),
        ("OSError: [Errno 28] No space left on device: '/a.md' -> '/b.md.txt'", "/b.md.txt"),
        ("PermissionError: [Errno 13] Permission denied: '/x'", "/x"),
    ],
)
def test_an_error_is_read_from_the_text_of_another_process(text: str, path: str | None) -> None:
    found = disk_fault_told(text)
    assert found is not None
    assert (found.filename, found.strerror) == (path, os.strerror(found.errno or 0))


@pytest.mark.parametrize("text", ["", "[Errno 2] No such file", "ValueError: 28", "[Errno x] y"])
def test_other_texts_are_about_something_else(text: str) -> None:
    assert disk_fault_told(text) is None


def test_a_page_that_quotes_such_an_error_is_no_error_of_the_disk() -> None:
    words = "unknown word `[Errno 28] No space left on device`"
    record = logging.LogRecord("sphinx", logging.WARNING, "", 1, words, (), None)
    assert disk_fault_of(record, Path("/srv/manual-work/html")) is None
    words = "error writing file /srv/manual-work/html/a.html: [Errno 28] No space left on device"
    record = logging.LogRecord("sphinx", logging.WARNING, "", 1, words, (), None)
    found = disk_fault_of(record, Path("/srv/manual-work/html"))
    assert found is not None
    assert found.filename == "/srv/manual-work/html/a.html"


def test_a_failure_while_work_is_handed_out_is_not_passed_over(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def failed(_self: ParallelTasks) -> bool:
        raise SphinxParallelError("OSError: [Errno 28] No space left on device", "")

    monkeypatch.setattr(ParallelTasks, "_join_one", failed)
    passed_over = ParallelTasks(2)
    passed_over.add_task(print)
    passed_over.join()  # Sphinx says nothing
    with sphinx_run._no_failure_passed_over():
        tasks = vars(builders)["ParallelTasks"](2)
        tasks.add_task(print)
        with pytest.raises(SphinxParallelError, match="No space left"):
            tasks.join()
    assert vars(builders)["ParallelTasks"] is ParallelTasks
