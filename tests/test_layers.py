"""The layers: imports only run downwards, those inside functions and for types too."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

import procedures_lib

LIBRARY = Path(procedures_lib.__file__).parent

FLOORS = (
    ("findings",),
    ("quantities",),
    ("threads", "variants", "hazards"),
    ("tightening",),
    ("reading",),
    ("entities",),
    ("manual",),
    ("tables", "drawings", "walk", "dyno"),
    ("checks",),
    ("compare",),
    ("exports", "fixing"),
    ("site", "proving", "cli"),
)
"""From the ground up; what stands on one floor may not import its neighbours."""

ON_ONE_FLOOR = {
    ("walk", "tables"),
    ("walk", "dyno"),
    ("tables", "drawings"),
    ("tables", "dyno"),
    ("proving", "cli"),  # console examples on pages run the command itself
    ("cli", "site"),  # a build gives Sphinx the manual that it has read and checked
}
"""Imports between neighbours that are allowed: the first from the second."""

DOORS = {
    "pint": {"quantities"},
    "sphinx": {"site"},
    "docutils": {"site"},
    "myst_parser": {"site"},
    "sphinx_design": {"site"},
    "sybil": {"proving"},
    "pytest": {"proving"},
    "click": {"cli"},
    "h11": {"cli"},
    "watchfiles": {"cli"},
    "yaml": {"reading"},
    "markdown_it": {"reading"},
    "mdit_py_plugins": {"reading"},
    "reportlab": {"exports"},
    "font_source_sans_pro": {"exports"},
    "segno": {"exports"},
}
"""Outside packages that only some parts may import."""

SIDE_DOORS = {
    ("cli/making.py", "sphinx"),  # `build` and `serve` run Sphinx in this process
    ("cli/sphinx_run.py", "sphinx"),
    ("cli/sphinx_run.py", "docutils"),
    ("site/parser.py", "markdown_it"),  # MyST's renderer is handed its tokens
    ("proving/console.py", "click"),  # console examples
    ("proving/examples.py", "yaml"),  # YAML examples have to parse
}
"""Files that need an outside package of another part, each for its one reason."""

FLOOR_OF = {part: n for n, floor in enumerate(FLOORS) for part in floor}


def imported(path: Path, root: Path) -> set[str]:
    """The modules that a file imports, wherever in it, by their full names."""
    package = (root.name, *path.relative_to(root).with_suffix("").parts[:-1])
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            base = ".".join(package[: len(package) - node.level + 1]) if node.level else ""
            module = ".".join(part for part in (base, node.module or "") if part)
            found |= {f"{module}.{alias.name}" for alias in node.names}
        elif isinstance(node, ast.Call) and _name(node.func) in {"import_module", "__import__"}:
            found |= {str(a.value) for a in node.args[:1] if isinstance(a, ast.Constant)}
    return found


def _name(func: ast.expr) -> str:
    return func.attr if isinstance(func, ast.Attribute) else getattr(func, "id", "")


def part_of(path: Path, root: Path) -> str:
    """The part of the library that a file belongs to."""
    return path.relative_to(root).with_suffix("").parts[0]


def may_import(here: str, there: str) -> bool:
    """Tell whether one part of the library may import another."""
    if here == there or here in {"__init__", "__main__"}:
        return True
    if here not in FLOOR_OF or there not in FLOOR_OF:
        return False
    return FLOOR_OF[there] < FLOOR_OF[here] or (here, there) in ON_ONE_FLOOR


def wrong_imports(root: Path) -> list[str]:
    """The imports that run upwards or sideways, or come in by the wrong door."""
    wrong = []
    for path in sorted(root.rglob("*.py")):
        here = part_of(path, root)
        for module in sorted(imported(path, root)):
            first, *rest = module.split(".")
            inside = first == root.name and bool(rest)
            file = path.relative_to(root).as_posix()
            outside = here in DOORS.get(first, {here}) or (file, first) in SIDE_DOORS
            if not (may_import(here, rest[0]) if inside else outside):
                wrong.append(f"{file} imports {module}")
    return wrong


def test_every_part_of_the_library_has_its_floor() -> None:
    parts = {part_of(path, LIBRARY) for path in LIBRARY.rglob("*.py")}
    assert parts - {"__init__", "__main__"} <= set(FLOOR_OF)
    assert parts >= {"findings", "reading", "entities", "manual", "tables", "checks"}


def test_imports_only_run_downwards() -> None:
    assert wrong_imports(LIBRARY) == []


def test_every_side_door_is_used() -> None:
    used = {
        (file, module.split(".")[0])
        for file, _ in SIDE_DOORS
        if (LIBRARY / file).exists()
        for module in imported(LIBRARY / file, LIBRARY)
    }
    assert used >= SIDE_DOORS


def make_tree(root: Path, files: dict[str, str]) -> Path:
    library = root / "procedures_lib"
    for name, text in files.items():
        path = library / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return library


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("reading/a.py", "from procedures_lib.entities.car import Part\n"),
        ("reading/a.py", "import procedures_lib.manual\n"),
        ("reading/a.py", "from procedures_lib import checks\n"),
        ("reading/a.py", "def f():\n    from procedures_lib.checks import run\n"),
        ("reading/a.py", "if TYPE_CHECKING:\n    from procedures_lib.manual import Manual\n"),
        ("reading/a.py", "from ..checks import run\n"),
        (
            "reading/a.py",
            "from importlib import import_module\nimport_module('procedures_lib.site')\n",
        ),
        ("findings.py", "from procedures_lib.reading import page\n"),
        ("tables/a.py", "from procedures_lib.walk.run import walk\n"),
        ("site/a.py", "from procedures_lib.cli import main\n"),
        ("threads/a.py", "from procedures_lib.variants import ALWAYS\n"),
        ("checks/a.py", "import pint\n"),
        ("checks/a.py", "def f():\n    import sphinx.application\n"),
        ("manual/a.py", "from docutils import nodes\n"),
        ("site/a.py", "import click\n"),
        ("cli/a.py", "import sybil\n"),
        ("elsewhere/a.py", "from procedures_lib.findings import Place\n"),
    ],
)
def test_a_wrong_import_is_found(tmp_path: Path, name: str, text: str) -> None:
    assert len(wrong_imports(make_tree(tmp_path, {name: text}))) == 1


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("reading/a.py", "from procedures_lib.findings import Place\nimport yaml\n"),
        ("reading/a.py", "from procedures_lib.reading.page import Page\nfrom .page import Block\n"),
        ("tightening/a.py", "from procedures_lib.quantities import Quantity\n"),
        ("entities/a.py", "from procedures_lib.threads import Thread\n"),
        ("checks/a.py", "from procedures_lib.tables.uses import Uses\nimport re\n"),
        ("quantities/a.py", "def f():\n    import pint\n"),
        (
            "site/a.py",
            "from sphinx.application import Sphinx\nfrom procedures_lib.checks import run\n",
        ),
        ("__main__.py", "from procedures_lib.cli import main\n"),
    ],
)
def test_a_right_import_is_not(tmp_path: Path, name: str, text: str) -> None:
    assert wrong_imports(make_tree(tmp_path, {name: text})) == []
