"""Entities and contents as values: frozen, comparable, hashable, safe to send between processes."""

from __future__ import annotations

import copy
import pickle
from itertools import product

import pytest
from pydantic import ValidationError

from procedures_lib.findings import Place, SlipError
from procedures_lib.language.entities.car import Part
from procedures_lib.language.entities.printed import PRINTED_OF, paths_of, read_printed
from procedures_lib.language.reading.page import Scalar
from tests.entities.test_car import FASTENER, PAGE
from tests.entities.test_heads import KIT, SESSION
from tests.helpers import content_from, entity_from

WORK = """
    ```{procedure} p
    vehicle: v
    revision: A
    ```
    ::::{step} One
    ---
    do: [lift vehicle-part, {a: b}]
    time: 5 min
    when: a=b
    ---
    :::{warning} Hot {part}`x`
    :::
    ::::
    :::{common-steps} c
    :::
    ```{expect} Sheet
    bolts: 10 N·m, +45°
    ```
    ```{torque-table}
    ```
    ```{parts}
    bad: {when: ?}
    ```
    """
PAGES = [PAGE, FASTENER, KIT, SESSION, WORK]


@pytest.mark.parametrize("text", PAGES)
def test_a_content_survives_pickling_and_copying(text: str) -> None:
    content = content_from(text)
    for made in (pickle.loads(pickle.dumps(content)), copy.deepcopy(content)):  # noqa: S301
        assert made == content
        assert made.entities == content.entities
        assert [entity.digest for entity in made.entities] == [e.digest for e in content.entities]
        assert [entity.place for entity in made.entities] == [e.place for e in content.entities]


@pytest.mark.parametrize("text", PAGES)
def test_contents_read_twice_are_equal_and_entities_hash_alike(text: str) -> None:
    one, two = content_from(text), content_from(text)
    assert one == two
    assert {hash(entity) for entity in one.entities} == {hash(entity) for entity in two.entities}


def test_text_keeps_its_line_when_pickled_and_copied() -> None:
    word = Scalar("bumper", 7)
    for made in (pickle.loads(pickle.dumps(word)), copy.copy(word), copy.deepcopy(word)):  # noqa: S301
        assert (made, made.line) == ("bumper", 7)


def test_a_line_takes_no_part_in_comparing_texts() -> None:
    assert Scalar("a", 1) == Scalar("a", 2) == "a"
    assert hash(Scalar("a", 1)) == hash("a")


@pytest.mark.parametrize("text", PAGES)
def test_a_digest_does_not_change_when_the_page_grows_above(text: str) -> None:
    one, two = (
        content_from(text),
        content_from("# Title\n\n" + text.replace("\n    ", "\n").lstrip("\n")),
    )
    assert [e.digest for e in one.entities] == [e.digest for e in two.entities]
    assert [e.place for e in one.entities] != [e.place for e in two.entities]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("10 N·m", "11 N·m"),
        ("[0, 180]", "[0, 181]"),
        ("order: [lower left, upper left,", "order: [upper left, lower left,"),
        ("order: [upper left, lower left,", "order: [lower left, upper left,"),
        ("turns: left", "turns: right"),
        ("M6x1.0", "M6x1"),
        ("engagement: 12 mm", "engagement: 13 mm"),
        ("transmission=manual", "transmission=automatic"),
    ],
)
def test_a_digest_changes_with_every_fact(old: str, new: str) -> None:
    assert old in FASTENER
    before = entity_from(FASTENER, "cooler-bolts").digest
    assert entity_from(FASTENER.replace(old, new), "cooler-bolts").digest != before


def test_an_entity_is_frozen_and_refuses_unknown_fields() -> None:
    part = Part(id="a", place=Place("page.md", 1))
    with pytest.raises(ValidationError):
        part.name = "other"  # type: ignore[misc]
    with pytest.raises(ValidationError):
        Part.model_validate({"id": "a", "place": Place("page.md", 1), "nmae": "x"})


@pytest.mark.parametrize("kind", PRINTED_OF)
def test_whatever_a_row_prints_of_a_field_is_read_or_refused(kind: str) -> None:
    """Every field of every kind, also one that holds a model or a dataclass of its own."""
    one = Scalar("a=b", 3)
    values = (one, Scalar("5 mm", 3), Scalar("", 3), [one, one], {one: one})
    refused = []
    for name, given in product(paths_of(kind), values):
        try:
            read_printed((kind,), name, given)
        except SlipError as slip:
            refused.append(slip)
    assert 0 < len(refused) < len(paths_of(kind)) * len(values)
    assert [slip.message for slip in refused if not slip.hint] == []
