"""The hashes by which a page tells a job that it has changed."""

from __future__ import annotations

import pytest

from procedures_lib.judging.records.readings import asked, procedure_digest, step_digest, step_keys
from tests.helpers import manual_from
from tests.mule import PAGES
from tests.records.samples import mule_plan, shop_manual


def digests(old: str = "", new: str = "") -> tuple[str, ...]:
    """The digests of the procedure's steps, with a text on any of its pages replaced."""
    pages = {name: text.replace(old, new) if old else text for name, text in PAGES.items()}
    assert not old or pages != PAGES
    plan = mule_plan(manual_from(pages))
    return tuple(step_digest(numbered, plan) for numbered in plan.steps)


@pytest.mark.parametrize(
    ("old", "new", "changed"),
    [
        ("Lift it off.", "Lift it off, with help.", [1]),
        ("Take the cover off", "Take off the cover", [1]),
        ("[trim lever]", "[trim lever, lamp]", [1]),
        ("89 lbf·in", "98 lbf·in", [2]),
        ("count: 2", "count: 3", [2]),
        ("    # Renew the cover", "    # Renew the cover\n\n    A new line.", []),
        ("revision: A", "revision: B", []),
        ("Mule sheet 1", "Mule sheet 2", []),
    ],
)
def test_a_step_changes_with_what_it_says(old: str, new: str, changed: list[int]) -> None:
    pairs = zip(digests(), digests(old, new), strict=True)
    assert [n for n, (a, b) in enumerate(pairs, start=1) if a != b] == changed


def test_the_procedures_digest_follows_its_steps() -> None:
    before = procedure_digest(mule_plan(shop_manual()))
    pages = {name: text.replace("Lift it off.", "Up.") for name, text in PAGES.items()}
    assert procedure_digest(mule_plan(manual_from(pages))) != before
    assert len(before) == 16


def test_keys_are_ids_or_titles_each_once() -> None:
    page = PAGES["procedures/renew-cover.md"]
    page = page.replace("Put the cover on\n    ---", "Take the cover off\n    ---")
    page = page.replace(":do: remove", ":id: off\n    :do: remove")
    keys = step_keys(mule_plan(manual_from({**PAGES, "procedures/renew-cover.md": page})))
    assert keys == ("off", "take-the-cover-off")
    twice = page.replace(":id: off\n    ", "")
    keys = step_keys(mule_plan(manual_from({**PAGES, "procedures/renew-cover.md": twice})))
    assert keys == ("take-the-cover-off", "take-the-cover-off-2")


def test_readings_are_asked_for_where_something_can_be_read() -> None:
    wanted = [(each.key, str(each.when), each.is_angle) for each in asked(mule_plan(shop_manual()))]
    assert wanted == [
        ((2, "cover-bolts", 2), "", False),
        ((2, "side-bolt", 1), "transmission=manual", False),
        ((2, "side-bolt", 2), "transmission=manual", True),
    ]
