"""The package as a wheel: the theme is in it, and any project that installs it has the theme."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from zipfile import ZipFile

import pytest
from flit_core.wheel import make_wheel_in

from procedures_lib.fronts.site.theme import THEME, setup

PROJECT = Path(__file__).resolve().parents[2]
EXTENSION = setup.__module__.rpartition(".")[0]
MARK = "/* of the wheel */"


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The package as flit builds it."""
    return Path(make_wheel_in(PROJECT / "pyproject.toml", tmp_path_factory.mktemp("wheel")).file)


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder into which the wheel is installed; one of the theme's styles is marked there."""
    folder = tmp_path_factory.mktemp("installed")
    with ZipFile(wheel) as packed:
        packed.extractall(folder)
    theme = folder / THEME.relative_to(PROJECT)
    with (theme / "static" / "bench.css").open("a", encoding="utf-8") as style:
        style.write(MARK)
    return folder


def test_a_wheel_holds_the_whole_theme(wheel: Path) -> None:
    files = {path.relative_to(PROJECT).as_posix() for path in THEME.rglob("*") if path.is_file()}
    assert {Path(name).suffix for name in files} >= {".css", ".html", ".js", ".svg", ".toml"}
    with ZipFile(wheel) as packed:
        assert files <= set(packed.namelist())
        for name in files:
            assert packed.read(name) == (PROJECT / name).read_bytes(), name


@pytest.mark.parametrize(
    "extensions", [[], ["myst_parser", EXTENSION]], ids=["theme alone", "with the blocks"]
)
def test_any_project_has_the_theme_of_an_installed_wheel(
    installed: Path, tmp_path: Path, extensions: list[str]
) -> None:
    conf = f'extensions = {extensions}\nhtml_theme = "bench"\n'
    (tmp_path / "conf.py").write_text(conf, "utf-8")
    page = tmp_path / "docs" / ("index.md" if extensions else "index.rst")
    page.parent.mkdir()
    page.write_text("Hatch\n=====\n", "utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "sphinx", "-q", "-c", ".", "docs", "out"],
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(installed)},
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
    static = tmp_path / "out" / "_static"
    assert (static / "bench.css").read_text("utf-8").endswith(MARK)
    for script in THEME.joinpath("static").rglob("*.js"):
        published = static / script.relative_to(THEME / "static")
        assert published.read_bytes() == script.read_bytes()
    assert not [*static.rglob("*.ts"), *static.rglob("tsconfig*")]
    assert '<main id="content"' in (tmp_path / "out" / "index.html").read_text("utf-8")


def test_a_manual_is_begun_from_the_wheel(installed: Path, tmp_path: Path) -> None:
    """From the package alone, in an empty folder: begun, checked, built."""
    program = "from procedures_lib.fronts.cli import main; import sys; main(sys.argv[1:])"
    begun = tmp_path / "bay"
    for folder, words in ((tmp_path, ["start", "bay"]), (begun, ["check"]), (begun, ["build"])):
        done = subprocess.run(  # noqa: S603
            [sys.executable, "-c", program, *words],
            cwd=folder,
            env={**os.environ, "PYTHONPATH": str(installed)},
            capture_output=True,
            encoding="utf-8",
            check=False,
        )
        assert (done.returncode, done.stderr) == (0, "")
    assert (begun / ".build" / "html" / "index.html").is_file()
