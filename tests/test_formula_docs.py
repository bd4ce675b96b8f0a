"""Whoever lifts a formula out finds its unit and its source beside it."""

from __future__ import annotations

import inspect
import re
from importlib import import_module
from types import FunctionType

import pytest

MODULES = (
    "dyno.correction_factor",
    "dyno.gain_interval",
    "threads.dimensions",
    "threads.thread_strip",
    "tightening.angle",
    "tightening.clamp_load",
)
UNIT = re.compile(
    r"(?<!\w)(?:mm²?|N|N·m|N·mm/N|N/mm|MPa|hPa|°C|%|degrees|mg per litre|dimensionless|share of"
    r"|0 to 1|in (?:one|a|the) unit)(?!\w)",
    re.IGNORECASE,
)
SOURCE = re.compile(
    r"(?<!\w)(?:ISO|VDI 2230-1|SAE J\d+|DIN|UN R85|ASME|FED-STD-H28|Shigley|Buck|Welch|DLMF|Hooke"
    r"|by definition|common practice|\w*source)(?!\w)",
    re.IGNORECASE,
)


def formulas(name: str) -> list[FunctionType]:
    """The public functions that a module of ``engineering`` defines itself."""
    module = import_module(f"procedures_lib.engineering.{name}")
    found = (inspect.unwrap(each) for each in vars(module).values() if callable(each))
    return [
        each
        for each in found
        if isinstance(each, FunctionType)
        and each.__module__ == module.__name__
        and not each.__name__.startswith("_")
    ]


FORMULAS = [formula for module in MODULES for formula in formulas(module)]


def test_the_formulas_are_found() -> None:
    names = {formula.__name__ for formula in FORMULAS}
    assert {"clamp_load", "angle_load", "strip_load", "dimensions", "factor_of", "welch"} <= names


@pytest.mark.parametrize("formula", FORMULAS, ids=lambda each: each.__name__)
def test_a_formula_says_its_units_and_its_source(formula: FunctionType) -> None:
    told = inspect.getdoc(formula) or ""
    assert UNIT.search(told), told
    assert SOURCE.search(told), told


def test_a_formula_without_unit_or_source_would_be_found() -> None:
    assert not UNIT.search("The load after Newton.")
    assert not SOURCE.search("The load in N.")
