"""Sets of cars: checked against listing every car, with the conditions' own `holds`."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from procedures_lib.language.variants import Condition, read_condition
from procedures_lib.language.variants.car_sets import Region, Space
from procedures_lib.language.variants.shortest_condition import shortest_text

OPTIONS = (("a", ("1", "2")), ("b", ("1", "2", "3")), ("c", ("1", "2")), ("d", ("1", "2", "3")))
CARS = [
    dict(zip([option for option, _ in OPTIONS], values, strict=True))
    for values in product(*(values for _, values in OPTIONS))
]

TESTS = st.sampled_from(OPTIONS).flatmap(
    lambda option: st.sets(st.sampled_from(option[1]), min_size=1).map(
        lambda values: Condition("test", option[0], tuple(sorted(values)))
    )
)
CONDITIONS = st.recursive(
    TESTS,
    lambda inner: st.one_of(
        inner.map(lambda part: Condition("not", parts=(part,))),
        st.tuples(st.sampled_from(["and", "or"]), st.lists(inner, min_size=2, max_size=3)).map(
            lambda made: Condition(made[0], parts=tuple(made[1]))
        ),
    ),
    max_leaves=8,
)


def members(region: Region) -> list[int]:
    return [n for n, car in enumerate(CARS) if region.contains(car)]


def listed(condition: Condition) -> list[int]:
    return [n for n, car in enumerate(CARS) if condition.holds(car)]


@given(CONDITIONS)
def test_a_region_holds_the_cars_that_meet_its_condition(condition: Condition) -> None:
    assert members(Space(OPTIONS).region(condition)) == listed(condition)


@given(CONDITIONS, CONDITIONS)
def test_and_or_less(one: Condition, two: Condition) -> None:
    space = Space(OPTIONS)
    first, second = space.region(one), space.region(two)
    ones, twos = set(listed(one)), set(listed(two))
    assert set(members(first & second)) == ones & twos
    assert set(members(first | second)) == ones | twos
    assert set(members(first - second)) == ones - twos
    assert set(members(~first)) == set(range(len(CARS))) - ones


@given(CONDITIONS, CONDITIONS)
def test_equal_sets_are_one_object(one: Condition, two: Condition) -> None:
    space = Space(OPTIONS)
    assert (space.region(one) is space.region(two)) == (listed(one) == listed(two))


@given(CONDITIONS)
def test_the_shortest_text_means_the_same_cars(condition: Condition) -> None:
    space = Space(OPTIONS)
    region = space.region(condition)
    text = shortest_text(region)
    if not region:
        assert text == "no car"
    elif text:
        assert space.region(read_condition(text)) is region
    else:
        assert region is space.all


@given(CONDITIONS, CONDITIONS)
def test_within_is_the_same_inside_the_base(one: Condition, two: Condition) -> None:
    space = Space(OPTIONS)
    region, base = space.region(one), space.region(two)
    if base:
        assert region.within(base) & base is region & base
        assert set(region.within(base).support()) <= set(region.support())


@given(CONDITIONS)
def test_an_example_is_in_the_set(condition: Condition) -> None:
    region = Space(OPTIONS).region(condition)
    if region:
        assert region.contains(region.example())


@pytest.mark.parametrize(
    ("text", "shortest"),
    [
        ("a=1 and a=1", "a=1"),
        ("not a=1", "a=2"),
        ("a=1 and b=1 or a=1 and not b=1", "a=1"),
        ("b=1 or b=2", "not b=3"),
        ("a=1 or a=2", ""),
        ("a=1 and c=1 or a=1 and d=2", "a=1 and (c=1 or d=2)"),
        ("a=1 and not b in [2, 3]", "a=1 and b=1"),
        ("a=1 and c=1 or a=2 and c=2 or a=1 and c=2", "a=1 or c=2"),
    ],
)
def test_the_shortest_form(text: str, shortest: str) -> None:
    assert shortest_text(Space(OPTIONS).region(read_condition(text))) == shortest


def test_a_car_for_all_of_a_long_list() -> None:
    options = tuple((f"o{n}", ("1", "2")) for n in range(60))
    space = Space(options)
    tests = [read_condition(f"o{n}=1") for n in range(60)]
    some = space.region(Condition("or", parts=tuple(tests)))
    assert shortest_text(some).startswith("not (o0=2 and ")
    pairs = tuple(tests[n] | tests[n + 1] for n in range(0, 60, 2))
    many = space.region(Condition("and", parts=pairs))
    assert many.contains({f"o{n}": "1" if n % 2 else "2" for n in range(60)})
    assert not many.contains({f"o{n}": "2" for n in range(60)})
    assert shortest_text(many).count("=") == 60


def test_a_slip_is_read_as_the_option_it_is_nearest_to() -> None:
    space = Space((("gearbox", ("manual", "automatic")),))
    meant = space.region(read_condition("gearbox=manual"))
    assert space.region(read_condition("gearbx=manual")) is meant
    assert space.region(read_condition("gearbox=manuel")) is meant


def test_an_option_that_no_page_lists_has_one_more_value() -> None:
    space = Space()
    one, other = (space.region(read_condition(text)) for text in ("x=1", "not x=1"))
    assert one
    assert other
    assert not one & other
    assert shortest_text(other) == "not x=1"
