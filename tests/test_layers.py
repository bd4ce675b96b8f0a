"""The layers: imports only run downwards, those inside functions and for types too."""

from __future__ import annotations

import ast
from collections.abc import Collection, Mapping, Sequence
from pathlib import Path

import pytest

import procedures_lib

LIBRARY = Path(procedures_lib.__file__).parent

FLOORS = (
    ("findings", "spelling", "data_tables"),
    ("engineering.quantities",),
    ("engineering.threads", "engineering.dyno", "engineering.statistics", "language.variants"),
    ("engineering.tightening",),
    ("language.reading",),
    ("language.entities",),
    ("manual",),
    ("walk",),
    ("view",),
    ("judging.witness",),
    ("judging.checks", "judging.records", "judging.compare"),
    ("judging.unjudged_joints",),
    ("judging.fixing", "judging.unjudged", "judging.recall"),
    ("fronts.tables",),
    ("fronts.formats", "fronts.paper", "fronts.search"),
    ("fronts.editor",),
    ("fronts.site", "fronts.proving", "fronts.cli"),
)
"""From the ground up; what stands on one floor may not import its neighbours."""

ON_ONE_FLOOR = {
    ("fronts.proving", "fronts.cli"),  # console examples on pages run the command itself
    ("fronts.cli", "fronts.site"),  # a build gives Sphinx the manual that it has read and checked
}
"""Imports between neighbours that are allowed: the first from the second."""

GROUPS = {"engineering", "language", "judging", "fronts"}
"""Folders that hold parts; the others are parts themselves."""

DOORS = {
    "pint": {"engineering.quantities"},
    "sphinx": {"fronts.site"},
    "docutils": {"fronts.site"},
    "myst_parser": {"fronts.site"},
    "sphinx_design": {"fronts.site"},
    "sybil": {"fronts.proving"},
    "pytest": {"fronts.proving"},
    "click": {"fronts.cli"},
    "filelock": {"fronts.cli"},
    "h11": {"fronts.cli"},
    "openpyxl": {"fronts.cli"},
    "watchfiles": {"fronts.cli"},
    "pygls": {"fronts.editor"},
    "lsprotocol": {"fronts.editor"},
    "yaml": {"language.reading"},
    "markdown_it": {"language.reading"},
    "mdit_py_plugins": {"language.reading"},
    "PIL": {"manual"},
    "reportlab": {"fronts.paper"},
    "font_source_sans_pro": {"fronts.paper"},
    "segno": {"fronts.paper"},
}
"""Outside packages that only some parts may import."""

SIDE_DOORS = {
    ("fronts/cli/sphinx_run.py", "sphinx"),  # `build` and `serve` run Sphinx in this process
    ("fronts/cli/sphinx_run.py", "docutils"),
    ("fronts/site/parser.py", "markdown_it"),  # MyST's renderer is handed its tokens
    ("fronts/proving/examples.py", "click"),  # console examples
    ("fronts/proving/examples.py", "yaml"),  # YAML examples have to parse
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


def part_of(names: Sequence[str]) -> str:
    """The part of the library that a module belongs to, of its names below the library's."""
    return ".".join(names[:2]) if names[0] in GROUPS else names[0]


def part_of_file(path: Path, root: Path) -> str:
    """The part of the library that a file belongs to; a group's own file belongs to none."""
    return part_of(path.relative_to(root).with_suffix("").parts)


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
        here = part_of_file(path, root)
        for module in sorted(imported(path, root)):
            first, *rest = module.split(".")
            inside = first == root.name and bool(rest)
            file = path.relative_to(root).as_posix()
            outside = here in DOORS.get(first, {here}) or (file, first) in SIDE_DOORS
            if not (may_import(here, part_of(rest)) if inside else outside):
                wrong.append(f"{file} imports {module}")
    return wrong


def test_every_part_of_the_library_has_its_floor() -> None:
    parts = {part_of_file(path, LIBRARY) for path in LIBRARY.rglob("*.py")}
    faces = {"__init__", "__main__", *(f"{group}.__init__" for group in GROUPS)}
    assert parts - faces == set(FLOOR_OF)


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


def circles(root: Path) -> list[str]:
    """The modules that import each other in a circle."""
    files = {module_of(path, root): path for path in root.rglob("*.py")}
    needs = {name: needed(path, root, files) for name, path in files.items()}
    while ends := _ends(needs):
        needs = {name: others for name, others in needs.items() if name not in ends}
    return sorted(needs)


def _ends(needs: Mapping[str, set[str]]) -> set[str]:
    """The modules that need no other of these, and those that no other needs."""
    used = {other for others in needs.values() for other in others}
    return {name for name, others in needs.items() if not others & set(needs) or name not in used}


def module_of(path: Path, root: Path) -> str:
    """The full name of the module in a file."""
    parts = path.relative_to(root).with_suffix("").parts
    return ".".join((root.name, *(part for part in parts if part != "__init__")))


def needed(path: Path, root: Path, files: Collection[str]) -> set[str]:
    """The modules of the library that a file imports, whatever for."""
    found = {name if name in files else name.rpartition(".")[0] for name in imported(path, root)}
    return {name for name in found if name in files} - {module_of(path, root)}


def test_no_modules_import_each_other_in_a_circle() -> None:
    assert circles(LIBRARY) == []


def test_a_circle_is_found(tmp_path: Path) -> None:
    files = {
        "a.py": "from procedures_lib.b import x\n",
        "b.py": "if TYPE_CHECKING:\n    from procedures_lib.c import y\n",
        "c.py": "def f():\n    import procedures_lib.a\n",
        "d.py": "from procedures_lib import a\n",
    }
    library = make_tree(tmp_path, files)
    assert circles(library) == ["procedures_lib.a", "procedures_lib.b", "procedures_lib.c"]


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
        ("language/reading/a.py", "from procedures_lib.language.entities.car import Part\n"),
        ("language/reading/a.py", "import procedures_lib.manual\n"),
        ("language/reading/a.py", "from procedures_lib.judging import checks\n"),
        ("language/reading/a.py", "def f():\n    from procedures_lib.judging.checks import run\n"),
        (
            "language/reading/a.py",
            "if TYPE_CHECKING:\n    from procedures_lib.manual import Manual\n",
        ),
        ("language/reading/a.py", "from ...judging.checks import run\n"),
        (
            "language/reading/a.py",
            "from importlib import import_module\nimport_module('procedures_lib.fronts.site')\n",
        ),
        ("findings.py", "from procedures_lib.language.reading import page\n"),
        ("walk/a.py", "from procedures_lib.view.uses import Uses\n"),
        ("fronts/site/a.py", "from procedures_lib.fronts.cli import main\n"),
        ("engineering/threads/a.py", "from procedures_lib.language.variants import ALWAYS\n"),
        ("judging/checks/a.py", "import pint\n"),
        ("judging/checks/a.py", "def f():\n    import sphinx.application\n"),
        ("manual/a.py", "from docutils import nodes\n"),
        ("fronts/site/a.py", "import click\n"),
        ("fronts/cli/a.py", "import sybil\n"),
        ("elsewhere/a.py", "from procedures_lib.findings import Place\n"),
    ],
)
def test_a_wrong_import_is_found(tmp_path: Path, name: str, text: str) -> None:
    assert len(wrong_imports(make_tree(tmp_path, {name: text}))) == 1


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("language/reading/a.py", "from procedures_lib.findings import Place\nimport yaml\n"),
        (
            "language/reading/a.py",
            "from procedures_lib.language.reading.page import Page\nfrom .page import Block\n",
        ),
        (
            "engineering/tightening/a.py",
            "from procedures_lib.engineering.quantities import Quantity\n",
        ),
        ("language/entities/a.py", "from procedures_lib.engineering.threads import Thread\n"),
        ("judging/checks/a.py", "from procedures_lib.view.uses import Uses\nimport re\n"),
        ("engineering/quantities/a.py", "def f():\n    import pint\n"),
        (
            "fronts/site/a.py",
            "import sphinx.application\nfrom procedures_lib.judging.checks import run\n",
        ),
        ("__main__.py", "from procedures_lib.fronts.cli import main\n"),
    ],
)
def test_a_right_import_is_not(tmp_path: Path, name: str, text: str) -> None:
    assert wrong_imports(make_tree(tmp_path, {name: text})) == []
