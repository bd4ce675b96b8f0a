"""What can stand at the cursor of a half-typed page."""

from __future__ import annotations

from contextlib import suppress

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from procedures_lib.fronts.editor.completion import completions
from procedures_lib.fronts.editor.desk import Desk
from procedures_lib.fronts.editor.hover import hover
from procedures_lib.fronts.editor.rename import RenameError, renamable
from procedures_lib.fronts.editor.things import id_at
from tests.editor.desks import PROJECT, completed, desk_of

PAGE = "procedures/fit-tf-220.md"
DEMO = (PROJECT / "docs" / PAGE).read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def desk() -> Desk:
    return desk_of(PROJECT)


BELOW = [
    ("```{torque-t¦", {"torque-table"}, {"remove"}),
    (":::{step} New\n:do: remove bumper-bolts, bu¦", {"bumper", "bumper-clips"}, {"fog-plugs"}),
    (":::{step} New\n:do: [remove bumper-bolts, cov¦", {"cover", "remove"}, {"bumper"}),
    (":::{step} New\n:do: fit boost-sensor on ¦", {"cooler-220"}, {"bumper-bolts"}),
    (":::{step} New\n:do: isolate ¦", {"battery", "fuel-pressure"}, {"bumper", "vehicle"}),
    (":::{step} New\n---\ndo:\n  - ¦\n", {"remove", "tighten"}, {"bumper"}),
    (":::{step} New\n---\nti¦\n---\n:::\n", {"time"}, {"kind"}),
    (":::{step} New\n:pe¦\n", {"people"}, {"kind"}),
    (":::{caution} Hot\n:hazard: ¦\n:::\n", {"charge-pipe-heat", "fuel-pressure"}, {"bumper"}),
    ("```{order-drawing} ¦", {"cooler-220-bolts"}, {"bumper"}),
    ("```{common-steps} ¦", {"lower-car"}, {"bumper"}),
    ("```{open-items}\n:after: ¦\n```", {"hoses-off"}, {"bumper"}),
    ("See {step}`¦", {"hoses-off"}, {"bumper"}),
    ("Take the {tool}`¦", {"trim lever"}, {"bumper"}),
    ("Tighten {to¦", {"torque", "tool"}, {"step-table"}),
    ("```{fasteners}\nx-bolts:\n  kind: bo¦\n```", {"bolt", "cotter-pin"}, {"plate"}),
    ("```{fasteners}\nx-bolts: {kind: ¦\nothers: {kind: nut}\n```", {"bolt"}, {"kind"}),
    ("```{fasteners}\nx-bolts: {name: X, ki¦}\n```", {"kind"}, {"name"}),
    ("```{fasteners}\nx-bolts:\n  into: {¦\n  kind: bolt\n```", {"material", "part"}, {"kind"}),
    ("```{fasteners}\nx-bolts:\n  ¦\n  kind: bolt\n```", {"thread"}, {"kind"}),
    ("```{fasteners}\nx:\n  condition: as ¦\n```", {"as supplied"}, {"bolt"}),
    ("```{fasteners}\nx:\n  reuse: ¦\n```", {"true", "false"}, {"bolt"}),
    ("```{parts}\nflap: {held-by: [bumper-bolts, ¦]}\n```", {"bumper-clips"}, {"bumper"}),
    ("```{parts}\nflap:\n  behind: ¦", {"bumper"}, {"bumper-bolts", "flap"}),
    ("```{connections}\nlead:\n  carries: ¦", {"fuel", "signal"}, {"bumper"}),
    ("```{hazards}\nai¦", {"airbag"}, {"bumper"}),
    ("```{hazards}\nhot:\n  called-by: [¦", {"coolant", "bumper"}, {"true"}),
    ("```{picture} below\nse¦", {"seen"}, {"bumper"}),
    ("```{picture} below\nshows:\n  coo¦: [1, 2]\n```", {"cooler-220-bolts"}, {"file"}),
    ("```{expect} Sheet\ncoo¦", {"cooler-220-bolts"}, {"name"}),
    ("Words ¦ only", set(), {"bumper"}),
    ("```text\nkind: ¦\n```", set(), {"bolt"}),
]


@pytest.mark.parametrize(("below", "among", "not_among"), BELOW)
def test_what_can_stand_there_is_offered(
    desk: Desk, below: str, among: set[str], not_among: set[str]
) -> None:
    labels = {choice.label for choice in completed(desk, PAGE, f"{DEMO}\n{below}")}
    assert labels >= among
    assert labels.isdisjoint(not_among)
    assert bool(labels) == bool(among)


@pytest.mark.parametrize(
    ("old", "new", "among"),
    [
        ("vehicle: tarrow-finch", "vehicle: ¦", {"tarrow-finch", "brannock-drover"}),
        ("kit: tf-220", "kit: t¦", {"tf-220", "bd-310"}),
        ("when: transmission=automatic", "when: ¦", {"transmission=manual", "not"}),
        ("when: transmission=automatic", "when: transmission=¦", {"manual", "automatic"}),
        ("when: transmission=automatic", "when: tow-eye=fitted ¦", {"and", "or"}),
        ("when: transmission=automatic", "when: transmission in [manual, ¦]", {"automatic"}),
        ("- fit brackets-220", "- remove bump¦, undertray", {"bumper"}),
    ],
)
def test_what_can_take_the_place_of_something_is_offered(
    desk: Desk, old: str, new: str, among: set[str]
) -> None:
    assert old in DEMO
    choices = completed(desk, PAGE, DEMO.replace(old, new, 1))
    assert {choice.label for choice in choices} >= among


def test_the_packing_list_has_its_own_fields_and_ids(desk: Desk) -> None:
    page = "kits/tf-220.md"
    text = (PROJECT / "docs" / page).read_text(encoding="utf-8")
    begun = text.replace("contents:\n", "contents:\n  - {part: ¦, qty: 1}\n", 1)
    assert "cooler-220" in {choice.label for choice in completed(desk, page, begun)}
    begun = text.replace("contents:\n", "contents:\n  - {part: cooler-220, ¦}\n", 1)
    assert {"qty", "replaces"} <= {choice.label for choice in completed(desk, page, begun)}
    desk.close(page)


def test_the_order_of_a_group_is_made_of_its_positions(desk: Desk) -> None:
    page = "kits/tf-220.md"
    text = (PROJECT / "docs" / page).read_text(encoding="utf-8")
    begun = text.replace("  order: [", "  order: [¦, ", 1)
    labels = {choice.label for choice in completed(desk, page, begun)}
    assert {"hot lower", "cold upper", "cross"} <= labels
    desk.close(page)


def test_what_was_typed_is_replaced(desk: Desk) -> None:
    choices = completed(desk, PAGE, f"{DEMO}\nBring it to {{torque}}`cooler-2¦`\n")
    assert {choice.replaces for choice in choices} == {len("cooler-2")}


def test_any_beginning_of_a_page_is_answered(desk: Desk) -> None:
    """A page is typed from its first letter on, and nothing ever goes wrong."""
    asked = 0
    for end in range(0, len(DEMO), 211):
        begun = DEMO[:end]
        completed(desk, PAGE, f"{begun}¦")
        line, column = begun.count("\n") + 1, end - begun.rfind("\n") - 1
        assert isinstance(hover(desk, PAGE, line, column), str)
        with suppress(RenameError):
            renamable(desk, PAGE, line, column)
        asked += 1
    desk.close(PAGE)
    assert asked > 50


BITS = (
    "{", "}", "[", "]", "`", "```", "```{parts}\n", ":::{step} x\n", "---\n", ": ", "- ", "\t", '"',
    "🔧", "\u2028", "\r", "‹a, such as b›", "&a ", "*a ", "|", "> ", "\n", "{torque}`", "do: ",
)  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(st.integers(0, len(DEMO)), st.integers(0, 60), st.sampled_from(BITS), st.integers(0, 99))
def test_a_page_broken_anywhere_is_answered(
    desk: Desk, at: int, gone: int, bit: str, further: int
) -> None:
    text = DEMO[:at] + bit + DEMO[at + gone :]
    desk.put(PAGE, text)
    lines = desk.text(PAGE).split("\n")
    line = min(text[:at].count("\n") + 1, len(lines))
    column = further % (len(lines[line - 1]) + 1)
    assert isinstance(completions(desk, PAGE, line, column), list)
    assert isinstance(hover(desk, PAGE, line, column), str)
    found = id_at(desk, PAGE, line, column)
    assert found is None or found.column <= column <= found.end
    desk.close(PAGE)


def test_a_page_that_is_no_text_offers_nothing(desk: Desk) -> None:
    assert completed(desk, PAGE, "\0 ```{torq¦") == []
    desk.close(PAGE)
