"""A procedure's steps in one row, common steps among them."""

from __future__ import annotations

from procedures_lib.language.entities.work import Common, Procedure
from procedures_lib.manual import Manual, Plan
from tests.helpers import manual_from, slips_of, summary

PROCEDURE = """
    # Fit it

    ```{vehicle} finch
    name: Finch
    options: {transmission: [manual, automatic], tow-eye: [fitted, absent]}
    ```
    ```{procedure} fit-it
    vehicle: finch
    revision: A
    ```
    :::{step} First
    :id: one
    :::
    :::{common-steps} raise-car
    :when: transmission=manual
    :::
    :::{step} Last
    :id: last
    :when: tow-eye=fitted
    :::
    """
COMMON = """
    # Raise the car
    ```{common} raise-car
    ```
    :::{step} Jack
    :id: jack
    :::
    :::{step} Stands
    :when: tow-eye=fitted
    :::
    """


def plan_of(manual: Manual, name: str = "fit-it") -> Plan:
    head = manual.head(Procedure, name)
    assert head is not None
    return manual.plan(head)


def test_steps_are_numbered_through() -> None:
    plan = plan_of(manual_from({"fit.md": PROCEDURE, "raise.md": COMMON}))
    assert [(n.number, n.step.title, n.page, str(n.when)) for n in plan.steps] == [
        (1, "First", "fit.md", ""),
        (2, "Jack", "raise.md", "transmission=manual"),
        (3, "Stands", "raise.md", "transmission=manual and tow-eye=fitted"),
        (4, "Last", "fit.md", "tow-eye=fitted"),
    ]
    assert [n.through.common if n.through else None for n in plan.steps] == [
        None,
        "raise-car",
        "raise-car",
        None,
    ]
    assert (plan.step_number("last"), plan.step_number("jack"), plan.step_number("none")) == (
        4,
        2,
        None,
    )


def test_the_title_is_the_heads_own_or_the_pages() -> None:
    manual = manual_from({"fit.md": PROCEDURE, "raise.md": COMMON})
    assert plan_of(manual).title == "Fit it"
    named = manual_from(
        {"fit.md": PROCEDURE.replace("revision: A", "revision: A\n    title: Short")}
    )
    assert plan_of(named).title == "Short"
    common = manual.head(Common, "raise-car")
    assert common is not None
    assert manual.plan(common).title == "Raise the car"


def test_common_steps_may_call_for_others() -> None:
    outer = COMMON + "\n    :::{common-steps} isolate\n    :::\n"
    inner = "```{common} isolate\n```\n:::{step} Off\n:when: tow-eye=absent\n:::\n"
    plan = plan_of(manual_from({"fit.md": PROCEDURE, "raise.md": outer, "isolate.md": inner}))
    assert [n.step.title for n in plan.steps] == ["First", "Jack", "Stands", "Off", "Last"]
    off = plan.steps[3]
    assert (off.page, str(off.when)) == ("isolate.md", "transmission=manual and tow-eye=absent")
    assert off.through is not None
    assert (off.through.common, off.through.place.page) == ("raise-car", "fit.md")


def test_common_steps_that_lead_back_to_themselves() -> None:
    one = "```{common} one\n```\n:::{common-steps} two\n:::\n"
    two = "```{common} two\n```\n:::{step} S\n:::\n:::{common-steps} one\n:::\n"
    manual = manual_from(
        {"one.md": one, "two.md": two, "fit.md": PROCEDURE.replace("raise-car", "one")}
    )
    assert [(str(f.place), f.check) for f in slips_of(manual)] == [
        ("one.md:3", "endless-steps"),
        ("two.md:5", "endless-steps"),
    ]
    assert [n.step.title for n in plan_of(manual).steps] == ["First", "S", "Last"]


def test_common_steps_that_call_for_themselves() -> None:
    text = "```{common} one\n```\n:::{common-steps} one\n:::\n"
    assert summary(slips_of(text)) == [(3, "endless-steps")]


def test_unknown_common_steps_are_one_finding() -> None:
    pages = {"fit.md": PROCEDURE.replace("raise-car", "raise-cars"), "raise.md": COMMON}
    (found,) = slips_of(pages)
    assert (str(found.place), found.check, found.hint) == (
        "fit.md:14",
        "unknown-id",
        "did you mean `raise-car`?",
    )


def test_two_steps_with_one_id() -> None:
    text = PROCEDURE.replace(":id: last", ":id: one")
    (found,) = slips_of({"fit.md": text, "raise.md": COMMON})
    assert (found.check, found.place.line) == ("duplicate-id", 17)
    assert [place.line for place in found.related] == [11]


def test_with_pages_makes_a_new_manual() -> None:
    manual = manual_from({"fit.md": PROCEDURE, "raise.md": COMMON})
    changed = manual_from({"raise.md": COMMON.replace("Jack", "Lift")}).contents["raise.md"]
    assert [n.step.title for n in plan_of(manual.with_pages([changed])).steps][1] == "Lift"
    assert [n.step.title for n in plan_of(manual).steps][1] == "Jack"
    assert len(plan_of(manual.with_pages([], gone=["raise.md"])).steps) == 2
