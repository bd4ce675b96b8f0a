"""Marks of change: which steps and joints of which procedure, in words, without old numbers."""

from __future__ import annotations

from procedures_lib.judging.compare.marks import marks_of
from tests.compare.small import BOX, CAR, COVER, OFF, VENT, edited, plain_pages
from tests.helpers import manual_from

Marks = dict[str, dict[str, dict[str, str]]]


def marks(*edits: tuple[str, str, str]) -> Marks:
    return marks_of(manual_from(plain_pages()), manual_from(edited(*edits)))


def test_nothing_changed_nothing_marked() -> None:
    assert marks() == {}
    assert (
        marks((COVER, "Lift it off.", "Lift it away."), (CAR, "Mule sheet 1", "Mule sheet 2")) == {}
    )


def test_a_joint_of_the_car_in_every_procedure_with_its_own_revision() -> None:
    found = marks((CAR, "[hand, 8 N·m]", "[hand, 9 N·m]"))
    assert found == {
        "renew-cover": {
            "steps": {"4": "changed since revision A: torque"},
            "joints": {"cover-bolts": "changed since revision A: torque"},
        },
        "fit-vent": {
            "steps": {"1": "changed since revision B: torque"},
            "joints": {"cover-bolts": "changed since revision B: torque"},
        },
    }


def test_the_revision_named_is_the_old_one() -> None:
    found = marks((BOX, "tighten: 3 N·m", "tighten: 4 N·m"), (VENT, "revision: B", "revision: C"))
    assert found["fit-vent"]["joints"] == {"vent-screws": "changed since revision B: torque"}


def test_steps_new_moved_and_changed() -> None:
    look = ":::{step} Look at the seal\n:do: inspect seal\nIt must be whole.\n:::\n\n"
    again = look.replace("Look at", "Wipe").replace("inspect", "clean")
    assert marks((COVER, look, look + again))["renew-cover"]["steps"] == {
        "4": "new since revision A"
    }
    assert marks((COVER, look, ""), (COVER, "```{torque-table}", f"{look}```{{torque-table}}")) == {
        "renew-cover": {"steps": {"5": "changed since revision A: its place"}, "joints": {}}
    }
    assert marks((COVER, "tools: [trim lever]", "tools: [hook]"))["renew-cover"]["steps"] == {
        "2": "changed since revision A: tools"
    }


def test_what_a_step_lost_marks_it_too() -> None:
    found = marks((COVER, "  - tighten side-bolt\n", ""), (COVER, ":::{caution}", ":::{warning}"))
    assert found["renew-cover"]["steps"] == {
        "2": "changed since revision A: signal word",
        "4": "changed since revision A: tightening",
    }


def test_common_steps_mark_the_procedures_that_call_for_them() -> None:
    found = marks((OFF, "{q}`3 min`", "{q}`10 min`"))
    assert found == {
        "renew-cover": {
            "steps": {"1": "changed since revision A: amount in the text"},
            "joints": {},
        }
    }


def test_a_new_procedure_has_no_marks() -> None:
    pages = plain_pages()
    without = {name: text for name, text in pages.items() if name != VENT}
    assert marks_of(manual_from(without), manual_from(pages)) == {}


def test_a_renamed_procedure_keeps_its_marks() -> None:
    found = marks((COVER, "{procedure} renew-cover", "{procedure} new-cover"),
                  (COVER, "time: 5 min", "time: 6 min"))  # fmt: skip
    assert found == {"new-cover": {"steps": {"2": "changed since revision A: time"}, "joints": {}}}
