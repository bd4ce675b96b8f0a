"""Views hold values: numbers of steps, conditions, things; what is rendered is made of them."""

from __future__ import annotations

import dataclasses
import pkgutil
import re
from collections.abc import Iterator
from importlib import import_module
from types import ModuleType
from typing import Any, get_args, get_type_hints

import pytest

import procedures_lib.view
from procedures_lib.language.entities.work import Procedure
from procedures_lib.language.variants import Condition
from procedures_lib.view.closing import closing, handover
from procedures_lib.view.joint import JointView, joint_tools, joints
from procedures_lib.view.order_drawing import patterns_of
from procedures_lib.view.preparation import PreparationView, parts, preparation
from procedures_lib.view.step import StepView, steps_in
from procedures_lib.view.uses import uses_of
from tests.demo import TIGHTENS_NOTHING, demo, demo_plan

ALL = [head.id for head in demo().heads(Procedure)]


def modules() -> list[ModuleType]:
    package = procedures_lib.view
    names = [module.name for module in pkgutil.iter_modules(package.__path__)]
    return [import_module(f"{package.__name__}.{name}") for name in names]


def views() -> dict[str, type]:
    """The dataclasses of the package by name."""
    return {
        name: each
        for module in modules()
        for name, each in vars(module).items()
        if dataclasses.is_dataclass(each)
        and isinstance(each, type)
        and each.__module__ == module.__name__
    }


VIEWS = views()

TEXTS = {
    "ActionView": {"verb", "to"},
    "Choice": {"option", "values"},
    "Claim": {"written", "unit"},
    "ClosingView": {"left_open"},
    "HandoverView": {"cars_of", "title", "calibration", "returned", "left_open", "notes"},
    "JointTool": {"name"},
    "JointView": {"name", "under"},
    "Label": {"text"},
    "Mark": {"label", "position"},
    "MeasuredPull": {"name", "conditions", "samples", "repeats"},
    "PartView": {"number"},
    "PicturedThing": {"label", "order"},
    "ProtectionView": {"name"},
    "Pattern": {"title", "positions", "order", "front"},
    "Sheet": {"points"},
    "StepView": {"common", "hazards", "tools", "protection"},
    "SupplyView": {"name"},
    "FinalTest": {"what"},
    "Thing": {"id", "name"},
    "ToolView": {"name", "joints"},
    "Uses": {"by_object", "made"},
}
"""The fields with text in them: ids, names, numbers of parts and what the page itself says."""


NAMED_BY_TORQUE = {"JointTool.name", "ToolView.name"}
"""A wrench has its name from the shop, where it may say its range; one that lacks, its torque."""


def leaves(hint: Any) -> Iterator[Any]:
    """The types that a type is made of: ``tuple[Thing, ...]`` is of Thing alone."""
    inner = [each for each in get_args(hint) if each is not ...]
    if not inner:
        yield hint
    for each in inner:
        yield from leaves(each)


def fields_of(view: type) -> dict[str, Any]:
    hints = get_type_hints(view)
    return {field.name: hints[field.name] for field in dataclasses.fields(view)}


def test_the_views_are_there() -> None:
    front = {"JointView", "StepView", "PreparationView", "ClosingView", "HandoverView", "PartView"}
    assert set(VIEWS) >= front
    assert set(VIEWS) >= set(TEXTS)


@pytest.mark.parametrize("name", VIEWS)
def test_a_view_is_frozen(name: str) -> None:
    view = VIEWS[name]
    assert view.__dataclass_params__.frozen  # type: ignore[attr-defined]
    assert "__dict__" not in dir(view), "it has slots"


@pytest.mark.parametrize("name", VIEWS)
def test_a_view_holds_nothing_of_a_front_end(name: str) -> None:
    for field, hint in fields_of(VIEWS[name]).items():
        for leaf in leaves(hint):
            assert not getattr(leaf, "__module__", "").startswith("procedures_lib.fronts"), field


@pytest.mark.parametrize("name", VIEWS)
def test_conditions_and_numbers_of_steps_are_values(name: str) -> None:
    for field, hint in fields_of(VIEWS[name]).items():
        if field in {"when", "tight_when"}:
            assert hint is Condition, field
        if field in {"steps", "tight_steps", "stage", "count"} and name != "Uses":
            assert set(leaves(hint)) <= {int, type(None)}, field


@pytest.mark.parametrize("name", VIEWS)
def test_texts_are_names_and_words_of_the_page_alone(name: str) -> None:
    found = {field for field, hint in fields_of(VIEWS[name]).items() if str in leaves(hint)}
    assert found == TEXTS.get(name, set())


def texts_in(value: Any) -> Iterator[tuple[str, str]]:
    """Each text that views hold themselves, with where it stands; entities are not entered."""
    if isinstance(value, tuple):
        for each in value:
            yield from texts_in(each)
    elif type(value).__name__ in VIEWS and type(value).__name__ != "Uses":
        for field in dataclasses.fields(value):
            inner = getattr(value, field.name)
            if isinstance(inner, str):
                yield f"{type(value).__name__}.{field.name}", inner
            else:
                yield from texts_in(inner)


@pytest.mark.parametrize("name", ALL)
def test_no_text_of_a_view_is_rendered(name: str) -> None:
    """No torque, no list of steps, no condition, no markup."""
    uses, shop = uses_of(demo_plan(name)), demo().shop
    found = joints(uses)
    everything = (
        found,
        *(joint_tools(joint.fastener, shop) for joint in found),
        *(tuple(p for p, _ in patterns_of(j.fastener, j.name)) for j in found),
        steps_in(uses),
        parts(uses),
        preparation(uses, shop),
        closing(uses),
        handover(uses),
    )
    texts = [(at, text) for at, text in texts_in(everything) if at not in NAMED_BY_TORQUE]
    least = {"JointView.name", "Thing.name", "ActionView.verb", "FinalTest.what"}
    if name in TIGHTENS_NOTHING:
        least -= {"JointView.name"}
    if closing(uses).left_open:  # and its road test is made by who goes on
        least -= {"FinalTest.what"}
    assert least <= {at for at, _ in texts}
    for at, text in texts:
        assert not re.search(r"lbf|N·m|[<>{}`]|^\d+(, \d+)*$|=", text), (at, text)


def test_the_values_are_those_of_the_plan() -> None:
    plan = demo_plan("fit-tf-220")
    uses = uses_of(plan)
    for joint in joints(uses):
        assert isinstance(joint, JointView)
        assert joint.fastener is plan.scope.get(joint.id)
        assert joint.tight_steps == tuple(sorted(set(joint.tight_steps) & set(joint.steps)))
    for view, numbered in zip(steps_in(uses), plan.steps, strict=True):
        assert isinstance(view, StepView)
        assert (view.number, view.step, view.when) == (
            numbered.number,
            numbered.step,
            numbered.when,
        )
    ready = preparation(uses, demo().shop)
    assert isinstance(ready, PreparationView)
    assert ready.plan is plan
