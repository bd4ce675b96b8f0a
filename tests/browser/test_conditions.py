"""Option expressions in the browser against the library's evaluator, over thousands of them."""

from __future__ import annotations

import random
from itertools import product
from typing import TYPE_CHECKING, Any

import pytest

from procedures_lib.fronts.site.theme import THEME
from procedures_lib.language.variants import Condition, ConditionError, read_condition
from procedures_lib.language.variants.car_sets import possible
from tests.browser.serving import Served

if TYPE_CHECKING:
    from collections.abc import Iterator

    from playwright.sync_api import Page

STATIC = THEME / "static"
OPTIONS = (
    ("transmission", ("manual", "automatic", "6.2+")),
    ("tow-eye", ("fitted", "absent")),
    ("größe", ("s", "l")),
)
CARS: list[dict[str, str]] = [
    {option: value for option, value in zip((o for o, _ in OPTIONS), values, strict=True) if value}
    for values in product(*(("", *values) for _, values in OPTIONS))
]
"""Every car, and every car of which some options are not known."""


@pytest.fixture
def scripts(phone: Page) -> Iterator[Page]:
    """A page from whose address the theme's modules can be imported."""
    served = Served(STATIC)
    phone.goto(served.url + "blank")
    yield phone
    served.close()


def verdicts(scripts: Page, texts: list[str], cars: list[dict[str, str]]) -> list[Any]:
    """For each text what the browser says of each car; None where it can't read the text."""
    found: list[Any] = scripts.evaluate(
        """async ([texts, cars]) => {
          const { readCondition, verdict } = await import("/job/condition.js");
          return texts.map((text) => {
            const found = readCondition(text);
            return found && cars.map((car) => verdict(found, car));
          });
        }""",
        [texts, cars],
    )
    return found


def some_condition(chance: random.Random, depth: int = 0) -> Condition:
    """An expression at random, at most four deep."""
    kind = chance.choice(["test"] * (1 + depth) + ["not", "and", "or"])
    if kind == "test" or depth > 3:
        option, values = chance.choice(OPTIONS[:2])
        chosen = chance.sample(values, chance.randint(1, len(values)))
        return Condition("test", option, tuple(chosen))
    if kind == "not":
        return Condition("not", parts=(some_condition(chance, depth + 1),))
    parts = tuple(some_condition(chance, depth + 1) for _ in range(chance.randint(2, 3)))
    return Condition("and" if kind == "and" else "or", parts=parts)


def readable(text: str) -> Condition | None:
    try:
        return read_condition(text)
    except ConditionError:
        return None


def damaged(text: str, chance: random.Random) -> str:
    """A text with a sign taken out, put in or changed."""
    at = chance.randrange(len(text) + 1)
    sign = chance.choice("()[]=!, \tandornti-+.é9µ_\N{NO-BREAK SPACE}")
    return text[:at] + chance.choice(["", sign]) + text[at + chance.randint(0, 1) :]


def test_the_browser_agrees_with_the_library_on_every_car(scripts: Page) -> None:
    chance = random.Random(2026)  # noqa: S311
    texts = [str(some_condition(chance)) for _ in range(2000)]
    whole = [car for car in CARS if len(car) == len(OPTIONS)]
    for text, found in zip(texts, verdicts(scripts, texts, whole), strict=True):
        condition = read_condition(text)
        assert found == [condition.holds(car) for car in whole], text


def test_nothing_is_hidden_while_some_car_may_have_it(scripts: Page) -> None:
    chance = random.Random(44)  # noqa: S311
    texts = [str(some_condition(chance)) for _ in range(500)]
    for text, found in zip(texts, verdicts(scripts, texts, CARS), strict=True):
        condition = read_condition(text)
        for car, said in zip(CARS, found, strict=True):
            known = [Condition("test", option, (value,)) for option, value in car.items()]
            may = possible(Condition("and", parts=(condition, *known)), OPTIONS)
            negated = Condition("not", parts=(condition,))
            must = not possible(Condition("and", parts=(negated, *known)), OPTIONS)
            assert not (said is False and may), (text, car)
            assert not (said is True and not must), (text, car)
    options = [str(Condition("test", option, (value,))) for option, values in OPTIONS[:2]
               for value in values]  # fmt: skip
    for text, found in zip(options, verdicts(scripts, options, [{}]), strict=True):
        assert found == [None], text  # nothing known: nothing hidden


def test_both_read_and_refuse_the_same_texts(scripts: Page) -> None:
    chance = random.Random(7)  # noqa: S311
    texts = ["", " ", "a=b ", "(a=b)", "a in [b,c]", "a in []", "a!=b", "not", "a=b or", "a=not",
             "a=b c=d", "[a=b]", "-a=b", "été=b", "a=été", "(" * 39 + "a=b" + ")" * 39,
             "(" * 60 + "a=b" + ")" * 60, "not " * 60 + "a=b", "a = b\nand c=d"]  # fmt: skip
    texts += [damaged(str(some_condition(chance)), chance) for _ in range(3000)]
    cars = [car for car in CARS if len(car) == len(OPTIONS)]
    refused = 0
    for text, found in zip(texts, verdicts(scripts, texts, cars), strict=True):
        condition = readable(text)
        assert (found is None) == (condition is None), repr(text)
        refused += condition is None
        if condition and condition.options <= {option for option, _ in OPTIONS}:
            assert found == [condition.holds(car) for car in cars], repr(text)
    assert 500 < refused < 2500  # the texts try both
