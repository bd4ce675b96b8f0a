"""Bad input: circles, gaps and sizes; a clear finding or none, and no crash."""

from __future__ import annotations

import pytest

from tests.helpers import findings_of
from tests.walk.pages import CAR, HEAD, checks, page


@pytest.mark.parametrize(
    "parts",
    [
        "a: {name: A, on: a}",
        "a: {name: A, on: b}\nb: {name: B, on: a}",
        "a: {name: A, behind: b}\nb: {name: B, behind: c}\nc: {name: C, behind: a}",
        "a: {name: A, behind: a}",
        "a: {name: A, replaces: b}\nb: {name: B, replaces: a}",
        "a: {name: A, replaces: a}",
    ],
)
def test_a_chain_that_leads_back_to_itself(parts: str) -> None:
    blocks = f"```{{parts}}\n{parts}\n```\n"
    assert checks(blocks, "remove a", "fit a") == ["endless-chain"]


def test_two_circles_are_two_findings() -> None:
    parts = "a: {name: A, behind: b}\nb: {name: B, behind: a}\n"
    parts += "c: {name: C, on: d}\nd: {name: D, on: c}"
    assert checks(f"```{{parts}}\n{parts}\n```\n", "inspect a") == ["endless-chain"] * 2


def test_a_part_fitted_on_itself() -> None:
    blocks = "```{parts}\na: {name: A}\nb: {name: B, on: a}\n```\n"
    assert checks(blocks, "remove a", "fit a on a") == ["endless-chain"]
    assert checks(blocks, "remove a", "fit a on b") == ["endless-chain"]


def test_a_long_chain_of_replacements_counts_to_its_end() -> None:
    parts = "p0: {name: P0}\n" + "".join(
        f"p{n}: {{name: P{n}, replaces: p{n - 1}}}\n" for n in range(1, 60)
    )
    assert checks(f"```{{parts}}\n{parts}```\n", "remove p0", "fit p59") == []
    assert checks(f"```{{parts}}\n{parts}```\n", "remove p0") == ["left-off"]


def test_four_thousand_things_and_five_hundred_steps() -> None:
    parts = "".join(f"p{n}: {{name: P{n}, held-by: f{n}}}\n" for n in range(2000))
    clips = "".join(f"f{n}: {{name: F{n}, kind: clip}}\n" for n in range(2000))
    blocks = f"```{{parts}}\n{parts}```\n```{{fasteners}}\n{clips}```\n"
    off = [f"remove f{n}, p{n}" for n in range(250)]
    on = [f"fit p{n}, f{n}" for n in range(250)]
    assert checks(blocks, *off, *on) == []
    assert checks(blocks, *off, *on[1:]) == ["left-off"]


def test_parts_in_a_row_behind_one_another() -> None:
    parts = "p0: {name: P0}\n" + "".join(
        f"p{n}: {{name: P{n}, behind: p{n - 1}, on: p{n - 1}}}\n" for n in range(1, 300)
    )
    blocks = f"```{{parts}}\n{parts}```\n"
    assert checks(blocks, "remove p0", "fit p0") == []


def test_an_action_that_cannot_be_read_stops_the_walk_not_the_rest() -> None:
    blocks = "```{parts}\na: {name: A}\n```\n"
    assert checks(blocks, "remvoe a", "fit a") == ["unknown-verb"]
    assert checks(blocks, "remove b", "fit a") == ["unknown-id"]
    assert checks(blocks, "cover a", "fit a") == ["wrong-verb"]


def test_a_vehicle_that_no_page_holds() -> None:
    text = page("", "remove bumper").replace(CAR, "")
    assert [finding.check for finding in findings_of(text)] == ["unknown-id"]


def test_a_step_without_anything() -> None:
    assert checks("", "") == []
    assert findings_of("# Work\n" + CAR + HEAD) == []
