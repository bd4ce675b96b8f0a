"""What no test run runs: examples outside the guide, commands that write, files below the pages."""

from __future__ import annotations

import os
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from procedures_lib.fronts.cli.program import COMMANDS, command
from procedures_lib.fronts.proving import Prover
from procedures_lib.fronts.proving.examples import READING, READING_IF, only_reads
from procedures_lib.judging.checks.prose import GUIDES, RUN
from tests.proving.test_prover import Tried

pytest_plugins = ["pytester"]

PROJECT = Path(__file__).resolve().parents[2]
PYTHON = "```python\n>>> from pathlib import Path\n>>> _ = Path({ran!r}).write_text('x')\n```\n"
INI = '[tool.pytest.ini_options]\ntestpaths = ["tests", "docs"]\n'


def code_that_leaves(ran: Path) -> str:
    """A page with an example that writes a file when it is run."""
    return "# Page\n\n" + PYTHON.format(ran=str(ran))


def project(folder: Path, files: dict[str, str]) -> Path:
    """A project with a manual of one page, and these files."""
    usual = {
        "pyproject.toml": INI,
        "docs/index.md": "# Manual\n",
        "tests/test_own.py": "def test_own(): pass\n",
    }
    for name, text in {**usual, **files}.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return folder


def run_pytest(pytester: pytest.Pytester, *words: str) -> pytest.RunResult:
    """Run pytest with the plug-in, in this process."""
    plugin = ("-p", "procedures_lib.fronts.proving.pytest_plugin", "-p", "no:cacheprovider")
    return pytester.runpytest_inprocess(*plugin, *words)


@pytest.mark.parametrize("name", ["index.md", "evil.md", "procedures/index.md", "kits/a/b.md"])
def test_an_example_on_another_page_is_not_run_and_fails(tmp_path: Path, name: str) -> None:
    ran = tmp_path / "ran"
    failures = Tried(tmp_path, code_that_leaves(ran), name).failures()
    assert not ran.exists()
    assert "not run: examples are run on pages below `writing/`" in failures[3]
    assert "code-in-page" in failures[1]


@pytest.mark.parametrize("folder", GUIDES)
def test_an_example_of_guide_and_reference_is_run(tmp_path: Path, folder: str) -> None:
    ran = tmp_path / "ran"
    text = code_that_leaves(ran)
    name = f"{folder}/page.md"
    assert Tried(tmp_path, text, name).failures() == {}
    assert ran.exists()


@pytest.mark.parametrize("language", sorted(RUN))
def test_no_language_that_is_run_is_run_elsewhere(tmp_path: Path, language: str) -> None:
    text = f"# Page\n\n- a\n\n  ```{language}\n  $ procedures --version\n  >>> 1\n  ```\n"
    assert "not run: examples are run on pages" in Tried(tmp_path, text).failures()[5]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("> ```python\n> >>> 1 + 1\n> 3\n> ```\n", "it is not run here"),
        ("```python\n>>>1 + 1\n```\n", "these prompts can't be read"),
    ],
)
def test_prompts_that_nothing_runs_fail(tmp_path: Path, text: str, says: str) -> None:
    assert says in Tried(tmp_path, f"# Page\n\n{text}", "using/page.md").failures()[3]


def test_a_link_is_not_run_wherever_it_leads(tmp_path: Path) -> None:
    ran, docs = tmp_path / "ran", tmp_path / "docs"
    Tried(tmp_path, code_that_leaves(ran), "procedures/evil.md")
    outside = tmp_path / "outside.md"
    outside.write_text(code_that_leaves(ran), encoding="utf-8")
    (docs / "writing").mkdir()
    for number, target in enumerate((docs / "procedures" / "evil.md", outside)):
        link = docs / "writing" / f"{number}.md"
        link.symlink_to(target)
        prover = Prover(docs, tmp_path / "shop.toml")
        told = []
        for example in prover.sybil().parse(link).examples():
            try:
                example.evaluate()
            except AssertionError as error:
                told.append(str(error))
        assert told, "a page that is a link passes, and its example is not run"
        assert "link" in "".join(told)
    assert not ran.exists()


@pytest.mark.parametrize("name", ["_drafts/a.md", ".hidden/a.md", "writing/_old/README.md"])
def test_what_is_no_page_of_the_manual_has_no_test(tmp_path: Path, name: str) -> None:
    Tried(tmp_path, "# Manual\n", "index.md")
    ran = tmp_path / "ran"
    tried = Tried(tmp_path, code_that_leaves(ran), name)
    assert (tried.examples, ran.exists()) == ([], False)


def test_the_readme_beside_the_manual_is_run_and_one_elsewhere_is_not(
    pytester: pytest.Pytester,
) -> None:
    ran = pytester.path / "ran"
    text = code_that_leaves(ran)
    project(pytester.path, {"tests/README.md": text})
    assert run_pytest(pytester).ret == 0
    assert not ran.exists()
    project(pytester.path, {"README.md": text})
    assert (run_pytest(pytester, "README.md").ret, ran.exists()) == (0, True)


def test_what_is_wrong_in_the_shop_file_fails_a_test(pytester: pytest.Pytester) -> None:
    project(pytester.path, {"conf/shop.toml": "[shop]\nname = 5\n"})
    done = run_pytest(pytester)
    assert done.ret == 1
    told = done.stdout.str()
    assert "conf/shop.toml:2: error: wrong-shape: `name`: a number stands here" in told
    assert 'write `name = "…"`' in told


# -- console examples ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("line", "reads"),
    [
        ("check docs", True),
        ("explain bad-id", True),
        ("compare docs docs", True),
        ("serve --help", True),
        ("--version", True),
        ("fix docs", True),
        ("fix --write", False),
        ("fix docs --write", False),
        ("schema parts", True),
        ("schema --output /tmp/x", False),
        ("schema --output=x", False),
        ("new common wait --print", True),
        ("new common wait", False),
        ("new common wait --title --print", False),
        ("take-over list.csv --to vehicle lark", True),
        ("take-over list.csv --write", False),
        ("build", False),
        ("build --output /tmp/x", False),
        ("serve", False),
        ("card fit-tf-220", False),
        ("--debug build", False),
        ("", False),
    ],
)
def test_only_commands_that_read_are_run(line: str, reads: bool) -> None:
    assert only_reads(shlex.split(line)) is reads


def test_the_commands_that_read_are_commands() -> None:
    assert set(COMMANDS) >= READING | READING_IF.keys()
    for name, (parameter, _) in READING_IF.items():
        assert parameter in {each.name for each in command(name).params}


def test_a_console_example_that_writes_fails_and_writes_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    out = tmp_path / "out"
    text = f"# Guide\n\n```console\n$ procedures schema --output {out}\n```\n"
    failures = Tried(tmp_path, text, "using/page.md").failures()
    assert "an example runs what only reads: back-out, check, compare" in failures[3]
    assert not out.exists()


# -- files below the manual's folder ---------------------------------------------------------------

NAMES = (
    "docs/conftest.py", "docs/procedures/conftest.py", "docs/_x/conftest.py",
    "docs/.x/conftest.py", "docs/test/conftest.py", "docs/test_x.py", "docs/kits/x_test.py",
    "docs/conf.py", "docs/__init__.py", "docs/results/data/pull.py", "docs/X.PY",
)  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_code_below_the_pages_stops_the_run_before_it_is_imported(
    pytester: pytest.Pytester, name: str
) -> None:
    ran = pytester.path / "ran"
    code = f"open({str(ran)!r}, 'w')\ndef test_x(): pass\n"
    project(pytester.path, {name: code})
    for words in ((), ("docs",), (str(Path(name).parent),), (name,), ("tests",)):
        done = run_pytest(pytester, *words)
        assert done.ret == pytest.ExitCode.USAGE_ERROR
        told = done.stderr.str()
        assert f"{name}: code below the manual's folder is never run: move it to tests/" in told
        assert not ran.exists()


@pytest.mark.parametrize("name", ["pytest.ini", "tox.ini", "setup.cfg", "pyproject.toml"])
def test_settings_of_tests_below_the_pages_stop_the_run(
    pytester: pytest.Pytester, name: str
) -> None:
    project(pytester.path, {f"docs/procedures/{name}": ""})
    for words in ((), ("tests",)):
        done = run_pytest(pytester, *words)
        assert done.ret == pytest.ExitCode.USAGE_ERROR
        told = done.stderr.str()
        assert f"docs/procedures/{name}: settings of tests have no effect below" in told


def test_a_folder_that_is_a_link_stops_the_run(
    pytester: pytest.Pytester, tmp_path_factory: pytest.TempPathFactory
) -> None:
    project(pytester.path, {})
    other = tmp_path_factory.mktemp("other")
    (other / "conftest.py").write_text(f"open({str(other / 'ran')!r}, 'w')\n")
    (pytester.path / "docs" / "link").symlink_to(other)
    done = run_pytest(pytester)
    assert "docs/link: a link to a folder is not followed: remove it" in done.stderr.str()
    assert not (other / "ran").exists()


@pytest.mark.parametrize("name", ["docs/test_x.txt", "docs/procedures/x.rst", "docs/_x/test_y.txt"])
def test_examples_in_other_files_below_the_pages_are_not_run(
    pytester: pytest.Pytester, name: str
) -> None:
    ran = pytester.path / "ran"
    project(pytester.path, {name: f">>> _ = open({str(ran)!r}, 'w')\n"})
    for words in ((), (name,), ("--doctest-glob=*",)):
        run_pytest(pytester, *words)
        assert not ran.exists()


def test_many_files_are_named_in_a_few_lines(pytester: pytest.Pytester) -> None:
    project(pytester.path, {f"docs/a{number}.py": "" for number in range(30)})
    said = run_pytest(pytester).stderr.str()
    assert "and 20 more" in said
    assert said.count("docs/a") == 10


@pytest.mark.parametrize("where", [".", "docs", "docs/procedures"])
def test_a_test_run_as_a_program_stops_with_the_name_of_the_file(
    tmp_path: Path, where: str
) -> None:
    project(tmp_path, {"docs/procedures/conftest.py": "raise SystemExit('imported')\n"})
    plugin = ("-p", "procedures_lib.fronts.proving.pytest_plugin")
    done = subprocess.run(  # noqa: S603
        [sys.executable, "-m", "pytest", *plugin],
        cwd=tmp_path / where,
        env={**os.environ, "PYTHONPATH": str(PROJECT), "PYTEST_ADDOPTS": ""},
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    assert done.returncode == pytest.ExitCode.USAGE_ERROR
    assert "docs/procedures/conftest.py: code below the manual's folder" in done.stderr
    assert "imported" not in done.stdout + done.stderr
