"""``procedures build``: what is published, and when nothing is."""

from __future__ import annotations

import threading
from typing import TYPE_CHECKING

import pytest

from procedures_lib.fronts.cli.publishing.target import Target, build_lock
from tests.cli.sites import files_below
from tests.cli.world import UNREADABLE, make_manual, run, start, write

if TYPE_CHECKING:
    from pathlib import Path

FIRST = "# The manual\n\nFirst words.\n"
WARNING = "# The manual\n\n[Nowhere](missing.md).\n"
TWO_PAGES = "# The manual\n\n```{toctree}\nother\n```\n"


@pytest.fixture
def pages(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The pages of a manual of one page, its project the current folder."""
    folder = make_manual(tmp_path / "project", {"index.md": FIRST})
    monkeypatch.chdir(folder)
    return folder / "docs"


def _names(folder: Path) -> set[str]:
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}


def served(pages: Path) -> str:
    return (pages.parent / ".build" / "html" / "index.html").read_text("utf-8")


def test_a_good_build_is_published(pages: Path) -> None:
    result = run("build")
    assert (result.exit_code, result.stderr) == (0, "")
    assert result.stdout == "1 page built: .build/html/index.html\n"
    assert "First words." in served(pages)
    assert sorted(path.name for path in (pages.parent / ".build").iterdir()) == [
        "html",
        "html-work",
    ]


def test_a_build_as_a_program(pages: Path) -> None:
    process = start(pages, "build", "--output", "../site", "--jobs", "2")
    stdout, stderr = process.communicate()
    assert (process.returncode, stderr) == (0, "")
    assert stdout == "1 page built: ../site/index.html\n"
    assert (pages.parent / "site" / "index.html").is_file()


def test_a_warning_of_sphinx_stops_the_site_each_time_until_it_is_put_right(pages: Path) -> None:
    run("build")
    write(pages, {"index.md": WARNING})
    for _ in range(2):
        result = run("build", "--no-check")
        assert (result.exit_code, result.stdout) == (1, "")
        assert result.stderr.startswith("docs/index.md:3: WARNING: ")
        assert "keeps the last good site" in result.stderr
        assert "First words." in served(pages)
    write(pages, {"index.md": FIRST.replace("First", "Last")})
    assert run("build").exit_code == 0
    assert "Last words." in served(pages)


def test_after_a_warning_only_its_page_is_read_again(pages: Path) -> None:
    write(pages, {"index.md": TWO_PAGES, "other.md": WARNING})
    assert run("build", "--no-check").exit_code == 1
    result = run("build", "--no-check", "--verbose")
    assert result.exit_code == 1
    assert "reading sources... [100%] other" in result.stderr
    assert "index\n" not in result.stderr.split("looking for")[0]


def test_an_error_of_the_check_stops_before_sphinx(pages: Path) -> None:
    write(pages, {"bad.md": UNREADABLE})
    result = run("build")
    assert result.exit_code == 1
    assert "docs/bad.md:4: error: unknown-field: " in result.stderr
    assert "Not published" in result.stderr
    assert not (pages.parent / ".build").exists()


def test_without_the_check_sphinx_has_the_word(pages: Path) -> None:
    write(pages, {"bad.md": UNREADABLE})
    result = run("build", "--no-check")
    assert result.exit_code == 1
    assert "unknown-field" not in result.stderr
    assert "WARNING" in result.stderr
    assert "no site yet" in result.stderr


def test_a_page_that_is_gone_goes_from_the_site(pages: Path) -> None:
    write(pages, {"index.md": TWO_PAGES, "other.md": "# Other\n"})
    assert run("build").exit_code == 0
    site = pages.parent / ".build" / "html"
    before = _names(site)
    (pages / "other.md").unlink()
    write(pages, {"index.md": FIRST})
    assert run("build").exit_code == 0
    assert before - _names(site) == {"other.html", "_sources/other.md.txt"}


def test_a_build_cut_short_is_begun_again(pages: Path) -> None:
    run("build")
    target = Target(pages.parent / ".build" / "html")
    assert target.begin(pages) == frozenset()
    (target.doctrees / "environment.pickle").write_bytes(b"cut sh")
    (target.html / "index.html").write_text("half a pa")
    (target.html / "gone.html").write_text("from a page that is gone")
    assert run("build").exit_code == 0
    assert "gone.html" not in _names(target.output)
    assert "First words." in served(pages)


@pytest.mark.parametrize("output", [".", "docs", "docs/site", "conf", "mine", "file.txt"])
def test_an_output_that_holds_something_else_is_refused(pages: Path, output: str) -> None:
    write(pages.parent, {"mine/letter.txt": "Dear", "file.txt": "x"})
    before = files_below(pages.parent)
    result = run("build", "--output", output)
    assert (result.exit_code, result.stdout) == (2, "")
    assert result.stderr.startswith("Error: --output ")
    assert files_below(pages.parent) == before


@pytest.mark.parametrize("jobs", ["0", "-1", "two", "1.5"])
def test_a_number_of_jobs_that_is_none_is_refused(pages: Path, jobs: str) -> None:
    result = run("build", "--jobs", jobs)
    assert result.exit_code == 2
    assert "`auto`" in result.stderr


@pytest.mark.parametrize(
    ("conf", "words"),
    [
        (None, "does not exist"),
        ("extensions = [", "syntax error"),
        ('extensions = ["no_such_extension_at_all"]', "no_such_extension_at_all"),
        ('html_theme = "no-such-theme"', "no-such-theme"),
    ],
)
def test_settings_that_can_not_be_used_are_refused(
    pages: Path, conf: str | None, words: str
) -> None:
    settings = pages.parent / "conf" / "conf.py"
    if conf is None:
        settings.unlink()
    else:
        settings.write_text(conf)
    result = run("build")
    assert (result.exit_code, result.stdout) == (2, "")
    assert words in result.stderr


def test_a_fault_in_an_extension_is_a_fault(pages: Path) -> None:
    faulty = "def setup(app):\n    app.connect('builder-inited', lambda app: 1 / 0)\n"
    write(pages.parent, {"conf/conf.py": faulty})
    result = run("build")
    assert result.exit_code == 3
    assert "ZeroDivisionError" in result.stderr


def test_a_manual_without_pages_is_refused(pages: Path) -> None:
    (pages / "index.md").unlink()
    assert run("build").exit_code == 2


def test_a_manual_without_a_first_page_is_refused_with_the_cure(pages: Path) -> None:
    (pages / "index.md").rename(pages / "other.md")
    result = run("build")
    assert result.exit_code == 2
    assert "docs/index.md does not exist" in result.stderr
    assert "{toctree}" in result.stderr


def test_the_lock_is_free_again_afterwards(tmp_path: Path) -> None:
    waited: list[str] = []
    for _ in range(2):
        with build_lock(tmp_path / "work" / "lock", lambda: waited.append("waited")):
            assert (tmp_path / "work" / "lock").is_file()
    assert waited == []


def test_a_second_build_says_that_it_waits_and_then_goes_on(tmp_path: Path) -> None:
    told, done = threading.Event(), threading.Event()

    def second() -> None:
        with build_lock(tmp_path / "lock", told.set):
            done.set()

    thread = threading.Thread(target=second, daemon=True)
    with build_lock(tmp_path / "lock", lambda: None):
        thread.start()
        assert told.wait(timeout=30)
        assert not done.is_set()
    assert done.wait(timeout=30)
    thread.join()
