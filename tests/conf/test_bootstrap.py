"""The set-up script: its messages, its stamp, the order of its stages. Nothing is installed."""

import ast
import importlib.util
import re
import tomllib
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[2]
SCRIPT = ROOT / "conf" / "bootstrap.py"


def load_script() -> ModuleType:
    spec = importlib.util.spec_from_file_location("bootstrap_under_test", SCRIPT)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


bootstrap: Any = load_script()


@pytest.fixture
def project(tmp_path: Path) -> Path:
    """Lay out a project whose `.venv` has an interpreter but nothing installed."""
    (tmp_path / "conf").mkdir()
    for name in ("conf/requirements-manual.txt", "conf/requirements-test.txt", "pyproject.toml"):
        (tmp_path / name).write_text(name)
    python = bootstrap.venv_python(tmp_path / ".venv")
    python.parent.mkdir(parents=True)
    python.touch()
    (tmp_path / ".venv" / "pyvenv.cfg").write_text("version = 3.11.7")
    return tmp_path


def put_stamp(target: str, project: Path) -> None:
    venv = project / ".venv"
    bootstrap.stamp(target, venv).write_text(bootstrap.fingerprint(target, project, venv))


def is_installed(target: str, project: Path) -> bool:
    return bool(bootstrap.is_installed(target, project, project / ".venv"))


def test_the_script_parses_on_an_old_python_so_that_it_can_say_so() -> None:
    assert ast.parse(SCRIPT.read_text("utf-8"), feature_version=(3, 7)).body


def test_an_old_python_is_told_which_one_is_needed() -> None:
    with pytest.raises(bootstrap.Stopped, match=r"Python 3\.10, and the project needs 3\.11"):
        bootstrap.check_python((3, 10))


def test_the_oldest_python_is_the_one_that_the_package_asks_for() -> None:
    metadata = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    assert metadata["requires-python"] == ">={}.{}".format(*bootstrap.OLDEST)


def test_a_missing_ensurepip_names_the_package_to_install() -> None:
    with pytest.raises(bootstrap.Stopped, match=r"sudo apt install python3\.\d+-venv"):
        bootstrap.check_venv_module(has_ensurepip=False)


@pytest.mark.parametrize(
    ("windows", "path"), [(False, "v/bin/python"), (True, "v/Scripts/python.exe")]
)
def test_the_interpreter_of_an_environment(windows: bool, path: str) -> None:
    assert bootstrap.venv_python(Path("v"), windows=windows) == Path(path)


@pytest.mark.parametrize(  # the first as pip 23.2 printed it offline; the others from memory
    ("printed", "reason"),
    [
        ("ERROR: No matching distribution (from versions: none)", "could not reach"),
        ("Temporary failure in name resolution", "could not reach"),
        ("THESE PACKAGES DO NOT MATCH THE HASHES FROM THE REQUIREMENTS FILE", "not the file"),
        ("OSError: [Errno 28] No space left on device", "disk is full"),
        ("error: metadata-generation-failed", "its own words"),
    ],
)
def test_why_pip_failed_is_said_in_plain_words(printed: str, reason: str) -> None:
    assert reason in bootstrap.explain_pip(printed)


def test_nothing_counts_as_installed_before_a_stamp_is_there(project: Path) -> None:
    assert not is_installed("manual", project)


def test_the_test_installation_serves_the_manual_but_not_the_other_way(project: Path) -> None:
    put_stamp("manual", project)
    assert is_installed("manual", project)
    assert not is_installed("test", project)
    bootstrap.stamp("manual", project / ".venv").unlink()
    put_stamp("test", project)
    assert is_installed("manual", project)


@pytest.mark.parametrize(
    "changed", ["conf/requirements-manual.txt", "pyproject.toml", ".venv/pyvenv.cfg"]
)
def test_a_change_makes_the_stamp_void(project: Path, changed: str) -> None:
    put_stamp("manual", project)
    (project / changed).write_text("something else")
    assert not is_installed("manual", project)


def test_a_stamp_without_an_interpreter_is_void(project: Path) -> None:
    put_stamp("manual", project)
    bootstrap.venv_python(project / ".venv").unlink()
    assert not is_installed("manual", project)


def test_an_installation_that_fails_leaves_no_stamp(
    project: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_words: str) -> None:
        raise bootstrap.Stopped("no network")

    put_stamp("manual", project)
    monkeypatch.setattr(bootstrap, "is_installed", lambda _target: False)
    monkeypatch.setattr(bootstrap, "stamp", lambda name: project / ".venv" / f"installed-{name}")
    monkeypatch.setattr(bootstrap, "make_venv", lambda: None)
    monkeypatch.setattr(bootstrap, "pip_install", fail)
    with pytest.raises(bootstrap.Stopped):
        bootstrap.prepare("manual")
    assert not list((project / ".venv").glob("installed-*"))


def test_a_stage_that_fails_stops_the_run_and_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    ran: list[str] = []

    def run(command: list[str]) -> object:
        ran.append(command[2])
        return type("Done", (), {"returncode": int(command[2] == "mypy")})

    monkeypatch.setattr(bootstrap, "run", run)
    with pytest.raises(bootstrap.Stopped, match="'types' failed") as stopped:
        bootstrap.test([])
    assert ran == ["ruff", "ruff", "mypy"]
    assert "Passed before it: format, lint." in str(stopped.value)
    assert "Not run: pages, tests." in str(stopped.value)


def test_extra_words_go_to_pytest_alone_and_pytest_comes_last(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    ran: list[list[str]] = []

    def run(command: list[str]) -> object:
        ran.append(command[2:])
        return type("Done", (), {"returncode": 0})

    monkeypatch.setattr(bootstrap, "run", run)
    assert bootstrap.test(["-k", "torque"]) == 0
    assert ran[-1] == [*bootstrap.STAGES[-1][1], "-k", "torque"]
    assert ran[-1][0] == "pytest"
    assert not any("torque" in words for words in ran[:-1])


def test_the_examples_of_a_page_stay_in_one_process() -> None:
    _, words = bootstrap.STAGES[-1]
    assert "--dist loadfile" in " ".join(words), "an example follows from those before it"


def test_without_a_command_the_script_shows_how_it_is_used(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert bootstrap.main([]) == 2
    assert re.search(r"bootstrap\.py manual", capsys.readouterr().out)
