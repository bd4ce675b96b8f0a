"""Things that a procedure or kit page defines and nothing uses."""

from __future__ import annotations

import pytest

from procedures_lib.findings import Level
from tests.helpers import only_slip, slips_of

CAR = "```{vehicle} v\nname: V\n```\n```{parts}\nspare-wheel: {name: Wheel}\n```\n"
HEAD = "```{procedure} p\nvehicle: v\nkit: k\nrevision: A\n```\n"
KIT = "```{kit} k\nname: K\nfits: {vehicle: v}\ncontents:\n  - {part: cooler}\n```\n"


def test_a_part_of_a_kit_page_that_nothing_mentions() -> None:
    found = only_slip(
        {"v.md": CAR, "p.md": HEAD, "k.md": KIT + "```{parts}\ncooler: {}\nbracket: {}\n```\n"}
    )
    assert (found.check, str(found.place), found.level) == (
        "unused-entity",
        "k.md:9",
        Level.WARNING,
    )
    assert found.message == "nothing mentions the part `bracket`"


@pytest.mark.parametrize(
    "use",
    [
        "{part}`bracket`",
        ":::{step} S\n:do: fit bracket\n:::",
        "```{parts}\nx: {behind: bracket}\n```\n{part}`x`",
        "```{connections}\nx: {kind: plug, between: [bracket, y]}\n```\n{connection}`x`",
        "```{hazards}\nx: {name: X, signal: NOTICE, harm: h, avoid: a, called-by: [bracket]}\n```",
    ],
)
def test_any_use_counts(use: str) -> None:
    kit = KIT + "```{parts}\nbracket: {}\n```\n"
    assert slips_of({"v.md": CAR, "p.md": f"{HEAD}{use}\n", "k.md": kit}) == []


def test_uses_in_common_steps_count() -> None:
    common = "```{common} c\n```\n:::{step} S\n:do: fit bracket\n:::\n"
    pages = {
        "v.md": CAR,
        "p.md": HEAD + ":::{common-steps} c\n:::\n",
        "k.md": KIT + "```{parts}\nbracket: {}\n```\n",
        "c.md": common,
    }
    assert slips_of(pages) == []


def test_an_opening_is_used_with_what_exposes_it_and_a_drain_with_its_fluid() -> None:
    page = HEAD + (
        "```{connections}\nhose: {kind: hose, between: [a, b]}\n```\n"
        "```{openings}\nmouth: {exposed-by: hose}\n```\n"
        "```{fluids}\noil: {kind: oil, drain: drain-plug}\n```\n"
        "```{fasteners}\ndrain-plug: {kind: bolt}\n```\n"
        ":::{step} S\n---\ndo:\n  - disconnect hose\n  - drain oil\n---\n:::\n"
    )
    assert slips_of({"v.md": CAR, "p.md": page, "k.md": KIT}) == []


def test_vehicle_pages_are_not_judged() -> None:
    assert slips_of({"v.md": CAR + HEAD.replace("kit: k\n", "")}) == []


def test_a_kit_without_a_procedure_is_judged_unless_one_names_a_kit_that_is_not_there() -> None:
    pages = {"v.md": CAR, "k.md": KIT + "```{parts}\nbracket: {}\n```\n"}
    assert [found.check for found in slips_of(pages)] == ["unused-entity"]
    pages["p.md"] = HEAD.replace("kit: k", "kit: kk")
    assert [found.check for found in slips_of(pages)] == ["unknown-id"]


def test_nothing_is_said_while_some_action_could_not_be_read() -> None:
    pages = {
        "v.md": CAR,
        "p.md": HEAD + ":::{step} S\n:do: fti bracket\n:::\n",
        "k.md": KIT + "```{parts}\nbracket: {}\n```\n",
    }
    assert [found.check for found in slips_of(pages)] == ["unknown-verb"]
