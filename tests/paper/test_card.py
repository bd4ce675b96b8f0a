"""What is on a job card: all of its cars' steps and torques, and nothing of others."""

from __future__ import annotations

import re
from functools import cache

import pytest

from procedures_lib.fronts.paper import SIZES, card_pdf
from procedures_lib.fronts.paper.card import MAKER_FIRST, Card, make_card
from procedures_lib.fronts.tables.plain_words import prose
from procedures_lib.fronts.tables.words import stages_text
from procedures_lib.language.entities.car import Fastener
from procedures_lib.language.variants import ALWAYS, Condition, read_condition
from procedures_lib.language.variants.car_sets import possible
from procedures_lib.manual import Manual, Plan
from procedures_lib.view.joint import joints
from procedures_lib.view.uses import options_of, uses_of
from tests.demo import CARDS, demo, demo_plan
from tests.helpers import manual_from
from tests.mule import PAGES
from tests.paper.pdf_text import colours_of, pages_of


def asked(text: str) -> Condition:
    return read_condition(text) if text else ALWAYS


def card_of(name: str, when: str) -> Card:
    return make_card(demo(), demo_plan(name), asked(when))


def plain(text: str) -> str:
    return re.sub(r"\s+", " ", text)


@cache
def printed(name: str, when: str, size: str = "a4") -> list[str]:
    """The text of each page of a card of the demo."""
    return pages_of(card_pdf(card_of(name, when), size))


def whole(name: str, when: str, size: str = "a4") -> str:
    return " ".join(printed(name, when, size))


def other_joints(plan: Plan, when: Condition) -> list[Fastener]:
    """The joints that the procedure has on some cars, and on none of those asked about."""
    here = {joint.id for joint in joints(uses_of(plan, when))}
    return [joint.fastener for joint in joints(uses_of(plan)) if joint.id not in here]


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize(("name", "when"), CARDS)
def test_every_torque_of_these_cars_and_none_of_others(name: str, when: str, size: str) -> None:
    plan = demo_plan(name)
    text = whole(name, when, size)
    here = [joint.fastener for joint in joints(uses_of(plan, asked(when)))]
    assert here or name == "load-tf-100"
    for fastener in here:
        for stage in fastener.tighten:
            assert plain(stage.shown()) in text, (fastener.id, stage.shown())
    shown = {stages_text(fastener.tighten) for fastener in here}
    uses = uses_of(plan, asked(when))
    said = plain(" ".join(" ".join(prose(n.step.block.body, uses)) for n in uses.steps))
    for fastener in other_joints(plan, asked(when)):
        assert text.count(fastener.name) == said.count(fastener.name)
        if stages_text(fastener.tighten) not in shown and not any(
            stages_text(fastener.tighten) in each for each in shown
        ):
            assert plain(stages_text(fastener.tighten)) not in text, fastener.id


def test_the_parameters_leave_joints_out() -> None:
    left_out = [f.id for name, when in CARDS for f in other_joints(demo_plan(name), asked(when))]
    assert len(set(left_out)) >= 4


@pytest.mark.parametrize(("name", "when"), CARDS)
def test_the_steps_of_these_cars_with_the_numbers_of_the_page(name: str, when: str) -> None:
    plan = demo_plan(name)
    text = whole(name, when)
    for numbered in plan.steps:
        applies = possible(numbered.when & asked(when), options_of(plan))
        titled = f"{numbered.number} {plain(numbered.step.title)}"
        assert (titled in text) == applies, numbered.number


@pytest.mark.parametrize(("name", "when"), CARDS)
def test_every_signal_word_of_the_pages_is_on_the_card(name: str, when: str) -> None:
    plan = demo_plan(name)
    text = whole(name, when)
    steps = uses_of(plan, asked(when)).steps
    signals = [signal for numbered in steps for signal in numbered.step.signals]
    for signal in (*signals, *plan.content.signals):
        assert plain(signal.title) in text
        assert signal.word in text


@pytest.mark.parametrize("size", SIZES)
def test_pages_are_counted_and_carry_procedure_revision_and_cars(size: str) -> None:
    pages = printed("fit-tf-220", "transmission=manual", size)
    assert len(pages) > 3
    for n, page in enumerate(pages, start=1):
        assert f"{n} of {len(pages)}" in page
        assert "fit-tf-220 · revision C · transmission=manual" in page


def test_the_head_says_whose_card_it_is_and_that_the_maker_comes_first() -> None:
    first = printed("fit-tf-220", "transmission=manual")[0]
    assert "Harbour Lane Performance" in first
    assert "Reviewed 2026-09-14" in first
    assert plain(MAKER_FIRST) in first
    assert plain(demo().shop.notice) in first
    assert first.index("Hazards") > first.index(plain(MAKER_FIRST))


def test_only_options_that_matter_are_asked_for() -> None:
    choices = card_of("fit-tf-220", "transmission=manual").head.choices
    assert [(each.option, each.chosen) for each in choices] == [
        ("transmission", "manual"),
        ("tow-eye", ""),
        ("headlamp-washers", ""),
    ]


def test_what_is_still_open_of_a_step_is_said_without_what_was_chosen() -> None:
    card = card_of("fit-tf-220", "transmission=automatic")
    only = {step.number: step.only for step in card.steps}
    assert (only[7], only[11]) == ("tow-eye=fitted", "")


def test_a_step_that_tightens_in_an_order_names_its_drawing() -> None:
    card = card_of("fit-tf-220", "")
    [drawing] = card.drawings
    assert drawing.pattern.order == ("hot lower", "cold upper", "cold lower", "hot upper")
    assert [step.number for step in card.steps if step.drawings == (1,)] == [16]
    [step] = [step for step in card.steps if step.number == 16]
    tightened = [doing.id for doing in step.doings if doing.torque]
    assert len(tightened) == 2
    drawn = [doing.id for doing, numbers in zip(step.doings, step.drawn, strict=True) if numbers]
    assert drawn == [drawing.fastener] == tightened[1:]  # under its own joint, the second
    text = whole("fit-tf-220", "")
    [at] = (m.start() for m in re.finditer("Drawing 1", text))
    assert text.index(card.steps[15].title) < at < text.index(card.steps[16].title, at)
    assert "see drawing" not in text
    assert "Every bolt through stage 1 before stage 2" in text


def test_the_calibration_of_other_cars_is_not_on_the_card() -> None:
    text = whole("fit-tf-220", "transmission=manual")
    assert "FC-2201" in text
    assert "FC-2202" not in text


def test_a_torque_of_other_cars_is_not_told_in_prose() -> None:
    assert prose_of("transmission=automatic") == "Side: (not on this car)."
    assert prose_of("transmission=manual") == "Side: 20–22 N·m (15–16 lbf·ft), then +1/6 turn."


def prose_of(when: str) -> str:
    return plain(make_card(*mule(when)).steps[1].prose[0])


def mule(when: str) -> tuple[Manual, Plan, Condition]:
    pages = {
        name: text.replace("In that order.", "Side: {torque}`side-bolt`.")
        for name, text in PAGES.items()
    }
    manual = manual_from(pages)
    plan = manual.plan_of_page("procedures/renew-cover.md")
    assert plan is not None
    return manual, plan, read_condition(when)


@pytest.mark.parametrize("size", SIZES)
def test_the_same_card_has_the_same_bytes(size: str) -> None:
    card = card_of("fit-tf-180", "transmission=manual")
    again = make_card(demo(), demo_plan("fit-tf-180"), read_condition("transmission=manual"))
    assert card_pdf(card, size) == card_pdf(again, size)


def test_the_card_knows_no_time_but_the_review(monkeypatch: pytest.MonkeyPatch) -> None:
    pdf = card_pdf(card_of("fit-tf-220", ""))
    assert b"(D:20260914000000+00'00')" in pdf
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1700000000")
    assert b"(D:20260914000000+00'00')" in card_pdf(card_of("fit-tf-220", ""))


def test_nothing_is_told_by_colour() -> None:
    colours = colours_of(card_pdf(card_of("fit-tf-220", "")))
    assert {operator for operator, _ in colours} <= {"g", "G", "rg", "RG"}
    assert all(len(set(values)) == 1 for _, values in colours)
