"""Option expressions: how they are read, what they mean, how they are shown."""

from __future__ import annotations

from functools import reduce
from itertools import product
from operator import and_

import pytest
from hypothesis import given
from hypothesis import strategies as st

from procedures_lib.language.variants import (
    ALWAYS,
    Condition,
    ConditionError,
    is_condition_word,
    read_condition,
)
from procedures_lib.language.variants.car_sets import Options, possible

OPTIONS: Options = (("transmission", ("manual", "automatic")), ("tow-eye", ("fitted", "absent")))
ALL_CARS = [
    {"transmission": gear, "tow-eye": eye}
    for gear, eye in product(("manual", "automatic"), ("fitted", "absent"))
]


def meets(text: str) -> list[str]:
    """The cars that meet an expression, as their first letters: mf, ma, af, aa."""
    condition = read_condition(text)
    return ["".join(value[0] for value in car.values()) for car in ALL_CARS if condition.holds(car)]


@pytest.mark.parametrize(
    ("text", "cars_met"),
    [
        ("tow-eye=fitted", ["mf", "af"]),
        ("not tow-eye=fitted", ["ma", "aa"]),
        ("transmission=manual and not tow-eye=fitted", ["ma"]),
        ("transmission=manual or tow-eye=fitted", ["mf", "ma", "af"]),
        ("transmission=automatic or transmission=manual and tow-eye=fitted", ["mf", "af", "aa"]),
        ("(transmission=automatic or transmission=manual) and tow-eye=fitted", ["mf", "af"]),
        ("not (transmission=manual or tow-eye=fitted)", ["aa"]),
        ("not not transmission=manual", ["mf", "ma"]),
        ("transmission in [manual, automatic]", ["mf", "ma", "af", "aa"]),
        ("transmission in [manual] and tow-eye in [absent,fitted]", ["mf", "ma"]),
        ("transmission=manual and transmission=automatic", []),
        ("  transmission = manual  ", ["mf", "ma"]),
        ("roof=glass", []),
        ("not roof=glass", ["mf", "ma", "af", "aa"]),
    ],
)
def test_which_cars_an_expression_means(text: str, cars_met: list[str]) -> None:
    assert meets(text) == cars_met


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "an option is missing"),
        ("manual", "`manual` stands alone"),
        ("transmission=", "a value after `transmission=` is missing"),
        ("=manual", "an option is missing"),
        ("transmission==manual", "`=` stands there"),
        ("transmission!=manual", "`transmission!=manual` is not read"),
        ("transmission=manual and", "it ends"),
        ("transmission=manual tow-eye=fitted", "`tow-eye` is not expected"),
        ("transmission=manual && tow-eye=fitted", "`&& tow-eye=fitted` can't be read"),
        ("(transmission=manual", "`)` is missing"),
        ("transmission=manual)", "`)` is not expected"),
        ("transmission in manual", "`[` is missing"),
        ("transmission in [manual", "`]` is missing"),
        ("transmission in []", "a value is missing"),
        ("and=or", "an option is missing"),
        ("not", "it ends"),
        ("(" * 60 + "a=b" + ")" * 60, "nested too deep"),
        ("not " * 60 + "a=b", "nested too deep"),
        (" and ".join(f"o{n}=x" for n in range(17)), "names more than 16 options"),
        ("transmission=manual;", "`;` can't be read"),
    ],
)
def test_what_can_not_be_read(text: str, message: str) -> None:
    with pytest.raises(ConditionError) as caught:
        read_condition(text)
    assert message in caught.value.message
    assert caught.value.hint


def test_sixteen_options_are_read() -> None:
    many = read_condition(" or ".join(f"o{n}=x and o{n}=y" for n in range(16)))
    assert len(many.options) == 16


def test_long_expressions_are_read_in_one_go() -> None:
    text = " or ".join(f"a=v{n}" for n in range(5_000))
    assert read_condition(text).holds({"a": "v4999"})


@pytest.mark.parametrize(
    "text",
    [
        "a=x",
        "not a=x",
        "a=x and not b=y",
        "a=x or b=y and c=z",
        "(a=x or b=y) and c=z",
        "not (a=x or b=y)",
        "a in [x, y]",
    ],
)
def test_shown_as_a_writer_would_put_it(text: str) -> None:
    assert str(read_condition(text)) == text


def test_always() -> None:
    some = read_condition("a=x")
    assert (str(ALWAYS), ALWAYS.holds({})) == ("", True)
    assert (some & ALWAYS, ALWAYS & some, ALWAYS & ALWAYS) == (some, some, ALWAYS)
    assert (some | ALWAYS, ALWAYS | some) == (ALWAYS, ALWAYS)


def test_joining_says_nothing_twice() -> None:
    a, ab = read_condition("a=x"), read_condition("a=x and b=y")
    assert str(a & ab) == str(ab & a & ab) == "a=x and b=y"
    assert str(a & a) == str(a | a) == "a=x"
    assert str(read_condition("a=x or b=y") & a) == "(a=x or b=y) and a=x"


@pytest.mark.parametrize(
    ("text", "is_word"),
    [("manual", True), ("1.6", True), ("6-speed", True), ("in", False), ("a b", False), ("", False),
     ("-x", False), ("a=b", False), ("x\n", False), ("é", False)],
)  # fmt: skip
def test_words_that_an_expression_can_name(text: str, is_word: bool) -> None:
    assert is_condition_word(text) is is_word


tests = st.builds(
    lambda option, value: Condition("test", option, (value,)),
    st.sampled_from("abc"),
    st.sampled_from("xy"),
)
expressions = st.recursive(
    tests,
    lambda inner: st.one_of(
        st.builds(lambda part: Condition("not", parts=(part,)), inner),
        st.builds(
            lambda parts: Condition("and", parts=tuple(parts)),
            st.lists(inner, min_size=2, max_size=3),
        ),
        st.builds(
            lambda parts: Condition("or", parts=tuple(parts)),
            st.lists(inner, min_size=2, max_size=3),
        ),
    ),
    max_leaves=8,
)
ABC: Options = (("a", ("x", "y")), ("b", ("x", "y")), ("c", ("x", "y")))
CARS = [dict(zip("abc", values, strict=True)) for values in product("xy", repeat=3)]


@given(expressions)
def test_what_is_shown_reads_back_to_the_same_cars(condition: Condition) -> None:
    again = read_condition(str(condition))
    assert [again.holds(car) for car in CARS] == [condition.holds(car) for car in CARS]


@given(expressions)
def test_possible_agrees_with_trying_every_car(condition: Condition) -> None:
    assert possible(condition, ABC) is any(condition.holds(car) for car in CARS)


@given(expressions, expressions)
def test_joining_means_both_or_either(one: Condition, two: Condition) -> None:
    for car in CARS:
        assert (one & two).holds(car) is (one.holds(car) and two.holds(car))
        assert (one | two).holds(car) is (one.holds(car) or two.holds(car))


@pytest.mark.parametrize(
    ("text", "can_be"),
    [
        ("transmission=manual and transmission=automatic", False),
        ("transmission=manuel", False),
        ("not transmission in [manual, automatic]", False),
        ("roof=glass", True),
        ("roof=glass and roof=steel", False),
        ("not roof=glass", True),
    ],
)
def test_possible_knows_the_values_of_an_option(text: str, can_be: bool) -> None:
    assert possible(read_condition(text), OPTIONS) is can_be


def test_possible_does_not_try_all_combinations() -> None:
    many = reduce(and_, (read_condition(f"o{n}=on") for n in range(60)))
    options = tuple((f"o{n}", ("on", "off")) for n in range(60))
    assert possible(many, options)
    assert not possible(many & read_condition("o59=off"), options)
