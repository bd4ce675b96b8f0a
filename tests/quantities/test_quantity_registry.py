"""pint behind one door."""

from __future__ import annotations

import ast
import subprocess
import sys
from fractions import Fraction
from pathlib import Path

import pytest

import procedures_lib
from procedures_lib.engineering.quantities import read_quantity

LIBRARY = Path(procedures_lib.__file__).parent


def test_a_quantity_becomes_a_pint_quantity() -> None:
    torque = read_quantity("33 lbf·ft").to_pint()
    assert torque.to("newton*metre").magnitude == pytest.approx(44.741992, rel=1e-7)
    assert read_quantity("20 °C").to_pint().to("kelvin").magnitude == Fraction("293.15")
    assert not read_quantity("93 AKI").to_pint().dimensionless


def test_quantities_of_one_registry_add() -> None:
    whole = read_quantity("1 N·m").to_pint() + read_quantity("1 kgf·m").to_pint()
    assert whole.to("newton*metre").magnitude == Fraction("10.80665")


def _imported(path: Path) -> set[str]:
    names = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name.partition(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            names.add(node.module.partition(".")[0])
    return names


def test_only_the_units_import_pint() -> None:
    doors = [path for path in LIBRARY.rglob("*.py") if "pint" in _imported(path)]
    assert doors == [LIBRARY / "engineering" / "quantities" / "units.py"]


def _loaded(program: str) -> bool:
    program = f"import sys; {program}; print('pint' in sys.modules, file=sys.stderr)"
    done = subprocess.run(  # noqa: S603  our own program
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    return done.stderr.strip() == "True"


READ = "from procedures_lib.engineering.quantities import read_quantity as read; read('12 ± 1 N·m')"


def test_pint_is_loaded_by_the_first_conversion() -> None:
    assert not _loaded(READ)
    assert _loaded(f"{READ}.exact('lbf·ft')")


@pytest.mark.parametrize("words", ["explain left-loose", "schema"])
def test_a_command_that_converts_nothing_does_not_load_pint(words: str) -> None:
    run = (
        "from procedures_lib.fronts.cli.program import main; "
        f"main({words.split()!r}, standalone_mode=False)"
    )
    assert not _loaded(run)
