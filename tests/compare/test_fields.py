"""Every field of the page language has a group, in which a change of it is told."""

from __future__ import annotations

import importlib
import pkgutil
import re
from collections.abc import Iterator
from typing import Any, get_args

import pytest

from procedures_lib.fronts.formats.block_schema import model_of
from procedures_lib.judging.compare import Group, compare
from procedures_lib.judging.compare.change import group_of
from procedures_lib.judging.compare.side import LISTED, REFERENCES
from procedures_lib.judging.compare.step_changes import FIELDS
from procedures_lib.language import entities
from procedures_lib.language.entities.car import Part
from procedures_lib.language.entities.entity import Entity, Model, fields_of
from procedures_lib.language.entities.work import Rule, StepOptions
from procedures_lib.language.reading.block_kinds import BLOCK_KINDS
from procedures_lib.manual import Manual
from tests.compare.small import CAR, edited
from tests.helpers import manual_from

BLOCKS = {block: model for block in BLOCK_KINDS if (model := model_of(block)) is not None}


def models() -> set[type[Model]]:
    """All models of the page language, but for those that only others are made of."""
    names = [module.name for module in pkgutil.iter_modules(entities.__path__)]
    modules = [importlib.import_module(f"{entities.__name__}.{name}") for name in names]
    found = {each for module in modules for each in vars(module).values() if _is_model(each)}
    return found - {Model, Entity}


def _is_model(value: Any) -> bool:
    return isinstance(value, type) and issubclass(value, Model)


def inner(annotation: Any) -> type[Model] | None:
    """The model of the mapping, or of each mapping of the list, that a field holds."""
    if _is_model(annotation):
        return annotation  # type: ignore[no-any-return]
    return next((model for each in get_args(annotation) if (model := inner(each))), None)


def topics(model: type[Model], before: str = "") -> Iterator[tuple[str, type[Model]]]:
    """Each field of a model, those of mappings in it too, with the model that has it."""
    for written, name in fields_of(model).items():
        mapping = inner(model.model_fields[name].annotation)
        if mapping is None:
            yield f"{before}{written}", model
        else:
            yield from topics(mapping, f"{before}{written} ")


def kind_of(block: str) -> str:
    """The kind of thing that a block defines, or what stands in it."""
    return getattr(BLOCKS[block], "KIND", str(BLOCK_KINDS[block].body))


ALL = [(block, topic) for block, model in BLOCKS.items() for topic, _ in topics(model)]


@pytest.mark.parametrize(("block", "topic"), ALL)
def test_a_field_of_a_block_has_a_group(block: str, topic: str) -> None:
    assert group_of(topic, kind_of(block)) in Group


def test_every_model_and_every_block_is_looked_at() -> None:
    reached = {owner for model in BLOCKS.values() for _, owner in topics(model)}
    assert models() - reached == {Rule}  # read as its options and its body
    assert group_of("text", Rule.KIND) is Group.SAFETY
    assert BLOCK_KINDS.keys() - BLOCKS.keys() == {"expect"}  # its rows are double entry


class Wheel(Part):
    """A part with a field that nobody thought of in the comparison."""

    rim_offset: str = ""


def test_a_field_without_a_group_is_found() -> None:
    without = []
    for topic, _ in topics(Wheel):
        try:
            group_of(topic, Wheel.KIND)
        except KeyError:
            without.append(topic)
    assert without == ["rim-offset"]


def test_every_field_with_a_list_of_mappings_is_compared_item_by_item() -> None:
    lists = {
        name
        for model in models()
        for name, field in model.model_fields.items()
        if inner(field.annotation) and "tuple" in str(field.annotation)
    }
    assert lists == LISTED


def test_every_field_that_names_an_id_follows_when_the_thing_is_renamed() -> None:
    named = {
        name
        for model in models()
        for name, kind in model.__annotations__.items()
        if re.search(r"\bRefs?\b", str(kind)) and not model.__name__.endswith("Options")
    }
    assert named
    assert named <= REFERENCES


def test_every_option_of_a_step_is_compared() -> None:
    assert {*fields_of(StepOptions)} == {*FIELDS, "id", "do"}  # actions and ids have rules apart


def with_example(check: str) -> Manual:
    """The small manual with a page shown as text that has to give this finding."""
    example = f"````{{page-example}} One\n:finds: {check}\n# One\n````\n"
    return manual_from(edited((CAR, "# The mule\n", f"# The mule\n\n{example}")))


def test_what_an_example_must_give_is_compared() -> None:
    comparison = compare(with_example("no-unit"), with_example("bad-id"))
    assert [change.group for change in comparison.changes] == [Group.PROSE]
    assert comparison.changes[0].topic == "prose"
