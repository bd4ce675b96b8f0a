"""Safe rewrites: what is rewritten, what is left alone, and that the rest stays byte for byte."""

from __future__ import annotations

from textwrap import dedent

import pytest

from procedures_lib.judging.checks import check_manual
from procedures_lib.judging.fixing import fix_page
from procedures_lib.judging.fixing.rewrites import Edit, applied, spelled
from procedures_lib.manual import Manual
from tests.helpers import content_from, manual_from

CAR = """\
# Finch

```{vehicle} finch
name: Finch
fixed: [harness]
```

```{parts}
lid: {name: Lid, held-by: [lid-bolts, tray-bolts]}
```

```{fasteners}
lid-bolts: {name: Lid bolts, kind: bolt, count: 2, tighten: 10 N·m, source: Sheet 1}
tray-bolts: {name: Tray bolts, kind: bolt, count: 2, tighten: 12 N·m, source: Sheet 1}
side-bolts: {name: Side bolts, kind: bolt, count: 2, tighten: 12 N·m, source: Sheet 1}
end-bolts: {name: End bolts, kind: bolt, count: 2, tighten: [8 N·m, +45°], source: Sheet 1}
```
"""
PROCEDURE = """\
# Open the lid

```{procedure} open-lid
vehicle: finch
revision: A
```

"""


def fixed(page: str, text: str | bytes, **others: str) -> str:
    """A page after the rewrites, beside the car's page."""
    raw = text if isinstance(text, bytes) else text.encode()
    pages: dict[str, str | bytes] = {"car.md": CAR.encode(), f"{page}.md": raw}
    pages |= {f"{name}.md": other.encode() for name, other in others.items()}
    return fix_page(manual_from(pages), f"{page}.md", raw).decode()


def fixed_prose(prose: str) -> str:
    return fixed("work", PROCEDURE + prose).removeprefix(PROCEDURE)


def fixed_step(header: str) -> str:
    step = f":::{{step}} Open it\n---\n{dedent(header)}---\nGo on.\n:::\n"
    return (
        fixed_prose(step)
        .removeprefix(":::{step} Open it\n---\n")
        .removesuffix("---\nGo on.\n:::\n")
    )


# -- units ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "one_way"),
    [
        ("10 Nm", "10 N·m"),
        ("10Nm", "10 N·m"),
        ("10 N*m", "10 N·m"),
        ("7 ft-lb", "7 lbf·ft"),
        ("62 in-lbs", "62 lbf·in"),
        ("12 ± 1 Nm", "12 ± 1 N·m"),
        ("10–12 newton metres", "10–12 N·m"),
        ("+45 degrees", "+45°"),
        ("back off 180 deg", "back off 180°"),
        ("next slot, at most 60 Nm", "next slot, at most 60 N·m"),
        ("drag 2.0-2.6 Nm", "drag 2.0-2.6 N·m"),
        ("+1/6 turns", "+1/6 turn"),
        ("snug", "snug"),
        ("10 N·m", "10 N·m"),
        ("10N·m", "10N·m"),
        ("35 lbs", "35 lbs"),
        ("35 pounds", "35 pounds"),
        ("10 nm", "10 nm"),
        ("12", "12"),
        ("", ""),
    ],
)
def test_units_of_a_stage(text: str, one_way: str) -> None:
    assert spelled(text, ("torque", "angle")) == one_way


def test_units_in_every_field_that_takes_a_quantity() -> None:
    page = """\
# Kit

```{kit} k-1
name: Kit, 10 Nm
fits: {vehicle: finch}
contents: [{supply: Grease 20 millimetres, number: K-1}]
claims: {power: +21 hp, torque: +25 ft-lb}
```

```{fasteners}
a: {kind: bolt, tighten: [10Nm, +45 deg], recheck: 100 miles, note: then 10 Nm}
b:
  kind: bolt
  into: {material: steel, engagement: 12 millimetres}   # 12 millimetres it is
  tighten:
    - {stage: 20 ft-lbs, order: cross}
    - next slot, at most 60 Nm   # never back
c:
  kind: bolt
  tighten:
    "a=b": [50 %, 30 Nm, stretch 0.2 millimetres]
    "a=c": 25 Nm or next slot
    "a=d": {until: 2 Nm}
```

```{fluids}
oil: {kind: oil, quantity: "4.5 litres"}
```
"""
    wanted = (
        page.replace("+25 ft-lb", "+25 lbf·ft")
        .replace("[10Nm, +45 deg]", "[10 N·m, +45°]")
        .replace("100 miles", "100 mi")
        .replace("20 ft-lbs,", "20 lbf·ft,")
        .replace("at most 60 Nm ", "at most 60 N·m ")
        .replace("30 Nm, stretch 0.2 millimetres", "30 N·m, stretch 0.2 mm")
        .replace("25 Nm or", "25 N·m or")
        .replace('"4.5 litres"', '"4.5 L"')
    )
    assert fixed("kit", page) == wanted, "12 millimetres stands twice on its line"


def test_units_in_options_and_roles() -> None:
    step = (
        ":::{step} Wait\n:time: 15 minutes\nGo {q}`19 millimetres` down, `19 millimetres`.\n:::\n"
    )
    assert fixed_prose(step) == step.replace("15 minutes", "15 min").replace(
        "{q}`19 millimetres`", "{q}`19 mm`"
    )


def test_double_entry_stays_as_printed() -> None:
    page = "# Sheet\n\n```{expect} Sheet 1\nlid-bolts: 89 in-lbs\n```\n"
    assert fixed("sheet", page + PROCEDURE[2:]) == page + PROCEDURE[2:]


# -- do ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("before", "after"),
    [
        (
            "do: [remove lid-bolts, tray-bolts, remove lid]\n",
            "do:\n  - remove lid-bolts, tray-bolts\n  - remove lid\n",
        ),
        ("do: [inspect lid]\n", "do:\n  - inspect lid\n"),
        ("do: [raise vehicle, lower vehicle]\n", "do:\n  - raise vehicle\n  - lower vehicle\n"),
        ("do: [remove lid-bolt, tray-blts, remove lid]\n", ""),
        ("do: remove lid-bolts\n", ""),
        ("do: [inspect lid] # look\n", ""),
        ("do: ['inspect \"lid\"']\n", ""),
        ("do: [lid, remove lid]\n", ""),
        ("do:\n  - remove lid-bolts, tray-bolts\n", ""),
    ],
)
def test_do_becomes_a_list(before: str, after: str) -> None:
    assert fixed_step(before) == (after or before)


def test_do_as_an_option_keeps_its_line() -> None:
    step = ":::{step} Open\n:do: [remove lid-bolts, tray-bolts, remove lid]\nGo on.\n:::\n"
    listed = ':do: ["remove lid-bolts, tray-bolts", "remove lid"]'
    assert fixed_prose(step).split("\n")[1] == listed
    right = ":::{step} Open\n:do: [remove lid-bolts, remove tray-bolts]\nGo on.\n:::\n"
    assert fixed_prose(right) == right


# -- typed quantities ----------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("The lid bolts take 10 N·m.\n", "The lid bolts take {torque}`lid-bolts`.\n"),
        ("The **lid bolts**:\n10 Nm each.\n", "The **lid bolts**:\n{torque}`lid-bolts` each.\n"),
        (
            "Bring {fastener}`lid-bolts` to 10 N·m, in two goes.\n",
            "Bring {fastener}`lid-bolts` to {torque}`lid-bolts`, in two goes.\n",
        ),
        ("Set the wrench to 10 N·m.\n", ""),
        ("10 N·m for the lid bolts.\n", ""),
        ("The lid bolts.\n\nThen 10 N·m.\n", ""),
        ("The lid bolts, then the tray bolts: 10 N·m.\n", ""),
        ("{fastener}`lid-bolts` and {fastener}`tray-bolts` to 10 N·m.\n", ""),
        ("The tray bolts take 12 N·m.\n", ""),
        ("The end bolts take 8 N·m, then +45°.\n", ""),
        ("The lid bolts take 11 N·m.\n", ""),
        ("Leave a gap of 19 mm there.\n", "Leave a gap of {q}`19 mm` there.\n"),
        ("Fill in 4.5 litres, then 3 mm.\n", "Fill in {q}`4.5 L`, then {q}`3 mm`.\n"),
        ("| a | 19 mm |\n|---|---|\n| b | 3 mm |\n", ""),
        ("## A gap of 19 mm\n", ""),
        ("Type `19 mm`, see 3 mm.\n", "Type `19 mm`, see {q}`3 mm`.\n"),
        ("A <!-- 19 mm --> and 19 mm\n", "A <!-- 19 mm --> and {q}`19 mm`\n"),
        ("```text\n19 mm\n```\n", ""),
        ("```{q}`19 mm`", ""),
    ],
)
def test_typed_quantities(before: str, after: str) -> None:
    if before.startswith("|"):
        assert fixed_prose(before).count("{q}") in {0, 2}
        return
    assert fixed_prose(before) == (after or before)


def test_step_titles_stay_words() -> None:
    step = ":::{step} A gap of 19 mm\nLeave 19 mm.\n:::\n"
    assert fixed_prose(step) == ":::{step} A gap of 19 mm\nLeave {q}`19 mm`.\n:::\n"


def test_pages_that_are_not_judged_may_say_numbers() -> None:
    page = "# The 1.6 engine\n\nIt has 132 kW, and 12 N·m.\n"
    assert fixed("guide", page) == page
    assert fixed("car2", CAR.replace("finch", "drover") + "\nIt has 132 kW.\n").endswith(
        "132 kW.\n"
    )


def test_examples_are_never_touched() -> None:
    page = (
        "# Guide\n\n`````{page-example} Units\n# P\n\n```{fasteners}\n"
        "a: {kind: bolt, tighten: 10 Nm}\n```\n`````\n\n"
        "```md\n:do: [remove lid-bolts, tray-bolts]\n10 Nm\n```\n"
        "<!--\n```{fasteners}\na: {kind: bolt, tighten: 10 Nm}\n```\n-->\n"
    )
    assert fixed("guide", page) == page


# -- bytes ---------------------------------------------------------------------------------------

MESSY = (
    b"\xef\xbb\xbf# Lid  \r\n\r\n```{procedure} open-lid\r\nvehicle: finch\n"
    b"revision: A   \r\n```\r\n"
    b"\r\n:::{step} Open\t \r\n---\r\ndo: [remove lid-bolts, tray-bolts, remove lid]\r\n"
    b"time: 5 minutes\t\r\n---\r\nA gap of 19 mm.  \r\nTwo\xc2\xa0spaces.\x0c\r:::\r\n"
    b" \t \r\n\r\n\r\nEnd"
)
MESSY_FIXED = (
    MESSY.replace(
        b"do: [remove lid-bolts, tray-bolts, remove lid]",
        b"do:\r\n  - remove lid-bolts, tray-bolts\r\n  - remove lid",
    )
    .replace(b"5 minutes", b"5 min")
    .replace(b"19 mm", b"{q}`19 mm`")
)


def test_the_rest_stays_byte_for_byte() -> None:
    pages = {"car.md": CAR.encode(), "lid.md": MESSY}
    assert fix_page(manual_from(pages), "lid.md", MESSY) == MESSY_FIXED
    again = {"car.md": CAR.encode(), "lid.md": MESSY_FIXED}
    assert fix_page(manual_from(again), "lid.md", MESSY_FIXED) == MESSY_FIXED


@pytest.mark.parametrize("raw", [b"", b"\xff\xfe", b"\xef\xbb\xbf", b"# A\x00", b"\r\r\n\n\r"])
def test_a_page_that_can_not_be_read_is_left_alone(raw: bytes) -> None:
    assert fix_page(manual_from({"a.md": raw}), "a.md", raw) == raw


def test_a_rewrite_that_brings_a_finding_about_is_not_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    def careless(_manual: Manual, _page: str, _text: str) -> list[Edit]:
        return [Edit(1, 0, 5, "{part}`none`")]

    monkeypatch.setattr("procedures_lib.judging.fixing.page_fix._STEPS", (careless,))
    raw = (PROCEDURE + "End\n").encode()
    assert fix_page(manual_from({"car.md": CAR.encode(), "p.md": raw}), "p.md", raw) == raw


def test_edits_that_meet_are_not_both_made() -> None:
    edits = [Edit(1, 0, 3, "x"), Edit(1, 2, 4, "y"), Edit(2, 0, 0, "z")]
    assert applied("abcde\r\nfg", edits) == "xde\r\nzfg"


def test_the_manual_is_as_clean_after_as_before() -> None:
    text = PROCEDURE + "The lid bolts take 10 N·m, with a gap of 19 mm.\n"
    new = fixed("work", text)
    before, after = ({f.check for f in check_manual(manual_from({"car.md": CAR.encode(),
                     "work.md": page.encode()}))} for page in (text, new))  # fmt: skip
    assert before - after == {"hand-typed-number"}
    assert after <= before
    assert content_from(new.encode()).findings == ()
