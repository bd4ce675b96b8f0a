"""Numbers typed by hand, and sides that change from country to country."""

from __future__ import annotations

import pytest

from procedures_lib.findings import Level
from procedures_lib.judging.fixing.rewrites import typed_edits
from tests.demo import demo
from tests.helpers import manual_from, only_slip, slips_of, summary

HEAD = "```{vehicle} v\nname: V\n```\n```{procedure} p\nvehicle: v\nrevision: A\n```\n\n"  # 8 lines


def step(prose: str, title: str = "S") -> str:
    return f"{HEAD}:::{{step}} {title}\n\n{prose}\n:::\n"  # the prose begins on line 11


@pytest.mark.parametrize(
    ("typed", "kind"),
    [
        ("12 N·m", "torque"),
        ("12 Nm", "torque"),
        ("9 ft-lb", "torque"),
        ("89 in-lb", "torque"),
        ("10–12 N·m", "torque"),
        ("45°", "angle"),
        ("90 degrees", "angle"),
    ],
)
def test_a_torque_or_an_angle_typed_by_hand_is_an_error(typed: str, kind: str) -> None:
    found = only_slip(step(f"First line,\nthen {typed} and on."))
    assert (found.check, found.place.line, found.level) == ("hand-typed-number", 12, Level.ERROR)
    assert found.message == f"the {kind} {typed} is typed by hand"
    assert found.hint == "write {torque}`fastener-id`"


@pytest.mark.parametrize(
    "typed", ["19 mm", "5.2 L", "240 kPa", "20 °C", "93 AKI", "15 min", "12 V"]
)
def test_any_other_quantity_typed_by_hand_is_reported_with_its_role(typed: str) -> None:
    found = only_slip(step(f"Take {typed} of it."))
    assert (found.check, found.level) == ("hand-typed-number", Level.WARNING)
    assert found.hint == f"write {{q}}`{typed}`"


@pytest.mark.parametrize(
    "prose",
    [
        "Use {q}`19 mm` and `12 N·m`.",
        "Two people, 4 bolts, step 3, page 7.",
        "Part number 12-345, class 8.8, M8x1.25, revision 2.",
        "<!-- 12 N·m -->\n\nNothing.",
        "```\n12 N·m\n```",
        "[the sheet](12mm.pdf)",
        "In 3 of 5 cases turn it once.",
    ],
)
def test_silent_in_roles_code_comments_links_and_plain_counts(prose: str) -> None:
    assert slips_of(step(prose)) == []


@pytest.mark.parametrize(
    ("text", "line"),
    [
        (HEAD + "# Tighten to 12 N·m\n", 9),
        (HEAD + "- one\n- two\n\n  > 12 N·m\n", 12),
        (HEAD + "| a | b |\n|---|---|\n| x | 12 N·m |\n", 11),
        (HEAD + ":::{note} \n12 N·m\n:::\n", 10),
        (HEAD + ":::{admonition} To 12 N·m\nx\n:::\n", 9),
        (HEAD + ":::{warning} To 12 N·m\nx\n:::\n", 9),
        (step("x", title="Tighten to 12 N·m"), 9),
        (step("One `code\nline` more\n**12 N·m** here."), 13),
    ],
)
def test_found_wherever_prose_stands(text: str, line: int) -> None:
    assert summary(slips_of(text)) == [(line, "hand-typed-number")]


def test_pages_without_a_procedure_may_say_numbers() -> None:
    assert slips_of("# Guide\n\nWrite 12 N·m, not the driver's side.\n") == []
    assert slips_of("```{vehicle} v\nname: V\n```\n\nThe car weighs 1200 kg.\n") == []


def test_common_pages_are_judged_too() -> None:
    text = "```{common} c\n```\n\nLift it 300 mm on the passenger side.\n"
    assert summary(slips_of(text)) == [(4, "hand-typed-number"), (4, "side-ambiguous")]


@pytest.mark.parametrize(
    "side",
    [
        "driver's side",
        "driver’s side",
        "drivers side",
        "driver side",
        "driver-side",
        "Passenger's side",
        "passenger side",
        "passenger's hand side",
        "nearside",
        "near side",
        "offside",
        "driver's\nside",
    ],
)
def test_a_side_that_is_another_in_another_country(side: str) -> None:
    found = only_slip(step(f"First line,\nthen the {side} bolt."))
    assert (found.check, found.place.line) == ("side-ambiguous", 12)
    assert found.hint == "say left or right, seen from the driver's seat"


@pytest.mark.parametrize(
    "prose",
    [
        "Left, seen from the driver's seat.",
        "The driver's seat comes out.",
        "The left side, the upper side.",
        "The passenger seat on the left.",
    ],
)
def test_sides_that_are_clear(prose: str) -> None:
    assert slips_of(step(prose)) == []


@pytest.mark.parametrize(
    ("typed", "level"),
    [("twelve newton metres", Level.ERROR), ("two millimetres", Level.WARNING)],
)
def test_a_quantity_in_words(typed: str, level: Level) -> None:
    found = only_slip(step(f"First {typed}, then more."))
    assert (found.check, found.level) == ("hand-typed-number", level)


@pytest.mark.parametrize("lost", ["{tool`saw`", "tool}`saw`", "{tool} `saw`", "{tool}saw`"])
def test_a_role_that_is_shown_as_text(lost: str) -> None:
    found = only_slip(step(f"With the {lost} cut it."))
    assert (found.check, found.hint) == ("unknown-role", "write {tool}`…`, without a space")


def test_code_and_words_in_braces_are_no_roles() -> None:
    assert slips_of(step("The tool `saw`, {part one}, and part `2`.")) == []


@pytest.mark.parametrize(
    ("do", "expected"),
    [
        ("  - inspect kit\n  - measure ride height", []),
        ("  inspect kit\n  - measure ride height", ["wrong-shape"]),
        ("  - measure ride-height - front", ["wrong-shape"]),
        ("  - inspect low-pressure line", []),
    ],
)
def test_two_actions_read_as_one(do: str, expected: list[str]) -> None:
    page = step("Look.").replace("Look.", f"---\ndo:\n{do}\n---\nLook.")
    assert [found.check for found in slips_of(page)] == expected


CAR = "```{vehicle} v\nname: V\n```\n\n```{parts}\ncover: {name: Cover}\n```\n\n"
HEADS = {
    "car": "",
    "kit": "```{kit} k\nname: K\nfits: {vehicle: v}\ncontents: [{part: cover}]\n```\n\n",
    "procedure": "```{procedure} q\nvehicle: v\nrevision: A\n```\n\n",
}
PICTURE = "```{{picture}} p\nfile: a.png\n{words}\nshows: {{cover: [3, 4]}}\n```\n"


def pictured(words: str, field: str) -> str:
    """A picture with some words in a field, which stands on its third line."""
    seen = "" if field == "seen" else "\nseen: from below"
    return PICTURE.format(words=f"{field}: {words}{seen}")


def slips_with(words: str, field: str, head: str) -> list[tuple[int, str, Level]]:
    """What is found in the words of a picture on some page, by line of the picture's block."""
    first = CAR if head == "car" else HEADS[head]
    pages = {"car.md": CAR, f"{head}.md": first + pictured(words, field)}
    return [(f.place.line - first.count("\n"), f.check, f.level) for f in slips_of(pages)]


@pytest.mark.parametrize("head", ["car", "kit", "procedure"])
@pytest.mark.parametrize(
    ("words", "field", "check", "level"),
    [
        ("Cover bolts, 12 N·m", "name", "hand-typed-number", Level.ERROR),
        ("twelve newton metres on each", "note", "hand-typed-number", Level.ERROR),
        ("the bolts at 9 ft-lb", "seen", "hand-typed-number", Level.ERROR),
        ("the bolts turned by 90°", "name", "hand-typed-number", Level.ERROR),
        ("19 mm nuts", "name", "hand-typed-number", Level.WARNING),
        ("from the driver's side", "seen", "side-ambiguous", Level.ERROR),
        ("Nearside cover", "name", "side-ambiguous", Level.ERROR),
        ("passenger side", "note", "side-ambiguous", Level.ERROR),
        ("bolts at {torque}`cover-bolts`", "seen", "unknown-role", Level.ERROR),
    ],
)
def test_the_words_of_a_picture_are_judged_on_every_page(
    head: str, words: str, field: str, check: str, level: Level
) -> None:
    assert slips_with(words, field, head) == [(3, check, level)]


@pytest.mark.parametrize("head", ["car", "kit", "procedure"])
@pytest.mark.parametrize(
    ("words", "field"),
    [
        ("from 2 m behind, at 45°, the car raised 300 mm", "seen"),
        ("from the left, seen from the driver's seat", "seen"),
        ("left front corner, 2 of 4 bolts in sight, wheel off", "seen"),
        ("M8x1.25 bolts, class 8.8, drawing 3", "name"),
        ("Charge-air cooler TF-220", "name"),
        ("taken at 35 mm, 20 °C in the bay", "note"),
    ],
)
def test_silent_on_pictures_that_say_what_is_seen(head: str, words: str, field: str) -> None:
    assert slips_with(words, field, head) == []


def test_what_to_do_about_a_number_in_a_picture_is_no_role_there() -> None:
    torque, length = (only_slip(CAR + pictured(words, "name")) for words in ("5 N·m", "19 mm"))
    assert torque.message == "the torque 5 N·m is typed by hand into `name` of a picture"
    assert torque.hint == "leave it out: beside a picture the torques stand from their blocks"
    assert length.hint == "leave it out, or say it in the text of the step: {q}`19 mm`"


def test_no_rewrite_puts_a_role_into_the_words_of_a_picture() -> None:
    text = CAR + pictured("19 mm nuts", "name")
    manual = manual_from({"v.md": text})
    assert len(slips_of(text)) == 1
    assert list(typed_edits(manual, "v.md", text)) == []


def test_the_pictures_of_the_demo_say_no_number_and_no_side_that_wanders() -> None:
    pictures = [block for content in demo().contents.values() for block in content.page.walk()
                if block.name == "picture" and block.data]  # fmt: skip
    words = [str(each.data[key]) for each in pictures if isinstance(each.data, dict)
             for key in each.data if key in {"name", "seen", "note"}]  # fmt: skip
    assert len(words) > 80
    for said in set(words):
        for field in ("name", "seen", "note"):
            assert slips_with(f'"{said}"', field, "car") == [], said
