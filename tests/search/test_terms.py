"""Terms: one form for every spelling of a number, a thread and a part number."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from procedures_lib.engineering.quantities import KINDS, units_of
from procedures_lib.fronts.search import terms_of
from procedures_lib.fronts.search.terms import LONGEST, short_unit, unit_readings, unit_words
from tests.search.typed import TYPED


@pytest.mark.parametrize(("text", "asked"), TYPED)
def test_what_is_typed_is_among_the_terms_of_the_same_text(
    text: str, asked: tuple[str, ...]
) -> None:
    assert set(asked) <= set(terms_of(text))


@pytest.mark.parametrize(
    ("text", "terms"),
    [
        ("M8x1.25", ("m8x1.25", "m8")),
        ("Charge-air cooler", ("chargeair", "charge", "air", "cooler")),
        ("cooler-220-bolts", ("cooler220bolts", "cooler", "220", "bolts")),
        ("TF-220-07", ("tf22007",)),
        ("bolts and bolts", ("bolts",)),
        ("12-point", ("12point", "12", "point")),
        ("Tie 4 to the inner", ("tie", "4", "inner")),
        ("", ()),
        ("– · –", ()),
    ],
)
def test_terms_of_a_text(text: str, terms: tuple[str, ...]) -> None:
    assert terms_of(text) == terms


def test_a_number_keeps_its_unit_apart_from_others() -> None:
    assert terms_of("10 N·m")[0] != terms_of("10 mm")[0] != terms_of("10 lbf·ft")[0]


def test_inch_pounds_are_never_foot_pounds() -> None:
    inch = {unit_words()[short_unit(word)] for word in ("in-lb", "lbf·in", "inch pounds", "lb in")}
    foot = {unit_words()[short_unit(word)] for word in ("ft-lb", "lbf·ft", "foot pounds", "lb ft")}
    assert (inch, foot) == ({"lbfin"}, {"lbfft"})


def test_every_spelling_of_the_unit_table_is_known_and_torques_come_first() -> None:
    for kind in KINDS:
        for unit in units_of(kind):
            assert {short_unit(word) for word in unit.spellings} - {""} <= set(unit_words())
    for unit in units_of("torque"):
        assert {unit_words()[short_unit(word)] for word in unit.spellings} == {
            short_unit(unit.symbol)
        }


def test_pounds_may_be_either_torque() -> None:
    assert unit_readings()["lb"] == ("lbfft", "lbfin")


@given(st.text(max_size=200))
def test_any_text_has_terms_that_can_be_kept(text: str) -> None:
    terms = terms_of(text)
    assert len(set(terms)) == len(terms)
    assert all(0 < len(term) <= LONGEST and not any(map(str.isspace, term)) for term in terms)
