"""What a review once missed: signs that move, rules, fluids, pictures, the shop; bad input."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

import pytest

from procedures_lib.judging.compare import Act, Group, Harm, Stale, Use, compare
from procedures_lib.judging.compare.renamed_things import match
from procedures_lib.judging.compare.report import text_report
from procedures_lib.judging.compare.witnesses import Witnesses
from procedures_lib.manual.shop import read_shop
from tests.compare.small import (
    BOX,
    CAR,
    COVER,
    OFF,
    VENT,
    after,
    edited,
    only,
    plain,
    plain_pages,
    told,
)
from tests.helpers import manual_from

if TYPE_CHECKING:
    from pathlib import Path

    from procedures_lib.manual import Manual

SIGN = ":::{caution} Sharp edge\nWear gloves.\n:::\n\n"


# -- where a sign stands -----------------------------------------------------------------------


def test_a_sign_below_the_words_it_stood_above() -> None:
    change = only(after((COVER, f"{SIGN}Lift it off.\n", f"Lift it off.\n\n{SIGN.rstrip()}\n")))
    assert (change.group, change.topic, change.act) == (
        Group.SAFETY, "place of the signal word", Act.MOVED,
    )  # fmt: skip
    assert (change.old, change.new) == ("above “Lift it off.”", "below “Lift it off.”")
    assert (change.harm, change.used) == (Harm.INJURES, (Use("renew-cover", (2,)),))


def test_a_sign_below_words_that_are_others_by_now() -> None:
    new = f"Take it off with both hands.\n\n{SIGN.rstrip()}\n"
    changes = after((COVER, f"{SIGN}Lift it off.\n", new)).changes
    assert (changes[0].topic, changes[0].new) == ("place of the signal word", "below all else")


def test_a_sign_below_a_drawing_of_its_step() -> None:
    drawing = "```{order-drawing} cover-bolts\n```\n\n"
    old = edited((COVER, SIGN, f"{SIGN}{drawing}"))
    new = edited((COVER, SIGN, f"{drawing}{SIGN}"))
    change = only(compare(manual_from(old), manual_from(new)))
    assert change.new == "below “{order-drawing} cover-bolts”"


def test_a_sign_of_the_page_below_a_step() -> None:
    base = (COVER, "Mind your fingers.\n", f"Mind your fingers.\n\n{SIGN}")
    end = (COVER, "```{torque-table}", f"{SIGN}```{{torque-table}}")
    old, new = manual_from(edited(base)), manual_from(edited(end))
    change = only(compare(old, new))
    assert change.topic == "place of the signal word"
    assert "below “{common-steps} battery-off” and 4 more" in change.new


@pytest.mark.parametrize(
    ("before", "now"),
    [
        ("Lift it off.", "Wipe it. Lift it off."),
        ("Lift it off.", "Lift it off.\n\nPut it down."),
        (SIGN, f"Look first.\n\n{SIGN}"),
    ],
)
def test_words_beside_a_sign_do_not_move_it(before: str, now: str) -> None:
    assert "place of the signal word" not in {row[0] for row in told(after((COVER, before, now)))}


# -- rules and hazards -------------------------------------------------------------------------

RULE = (
    "```{{rule}} one-key\n---\nabout: [battery]\nsource: shop rule {}\n---\n{}\n```\n\n"
    "```{{common}}"
)
HELD = "Whoever isolates keeps the key within {q}`1 m`."


def with_rule(text: str, number: str = "2") -> Manual:
    return manual_from(edited((OFF, "```{common}", RULE.format(number, text))))


def test_a_rule_is_one_change_and_first_with_all_steps_that_show_it() -> None:
    new = "Nobody else has the key within {q}`9 m`."
    change = only(compare(with_rule(HELD), with_rule(new)))
    assert (change.topic, change.harm, change.comes_first) == ("text", Harm.INJURES, True)
    assert (change.used, change.source) == ((Use("renew-cover", (1,)),), "shop rule 2")


def test_a_rule_precedes_a_torque_that_changed_all_over() -> None:
    old, new = (edited((OFF, "```{common}", RULE.format("2", text))) for text in (HELD, "None."))
    new[CAR] = new[CAR].replace("20 N·m, +60°", "25 N·m, +60°")
    comparison = compare(manual_from(old), manual_from(new))
    assert [change.topic for change in comparison.changes] == ["text", "torque"]


def test_a_hazard_of_the_page() -> None:
    block = "```{{hazards}}\nbattery: {{name: Battery, avoid: {}}}\n```\n\n```{{parts}}"
    old, new = (edited((CAR, "```{parts}", block.format(text))) for text in ("Wait.", "Go on."))
    change = only(compare(manual_from(old), manual_from(new)))
    assert (change.topic, change.harm, change.comes_first) == ("avoid", Harm.INJURES, True)
    assert change.used == (Use("renew-cover", (1,)),)


# -- cards -------------------------------------------------------------------------------------


def test_cards_are_stale_with_their_jobs() -> None:
    job = {"jobs/j.md": "# J\n\n```{job} service\nvehicle: mule\nprocedures: [fit-vent]\n```\n"}
    old = manual_from({**plain_pages(), **job})
    new = {**edited((CAR, "[hand, 8 N·m]", "[hand, 9 N·m]"), (VENT, "revision: B", "revision: C"))}
    assert compare(old, manual_from({**new, **job})).stale == (
        Stale("fit-vent", "B", ("service",)),
        Stale("renew-cover", "A"),
    )


def test_names_and_times_make_no_card_stale() -> None:
    comparison = after((COVER, "time: 5 min", "time: 6 min"), (CAR, "Mule sheet 1", "Sheet 1"))
    assert comparison.stale == ()


# -- files beside the pages --------------------------------------------------------------------


def test_a_picture_that_shows_something_else() -> None:
    pages = edited((COVER, "Mind your fingers.", "Mind your fingers.\n\n![The cover](cover.png)"))
    old, new = manual_from(pages), manual_from(pages)
    same = compare(old, new, (lambda _p, _n: "1", lambda _p, _n: "1"))
    assert same.changes == ()
    change = only(compare(old, new, (lambda _p, _n: "1", lambda _p, _n: "2")))
    assert (change.topic, change.thing.id, change.note) == (
        "picture",
        "cover.png",
        "another picture",
    )


def test_a_picture_whose_points_may_lie_elsewhere_now() -> None:
    block = "```{picture} above\nfile: cover.png\nseen: from above\nshows: {cover: [5, 9]}\n```"
    pages = edited((COVER, "Mind your fingers.", f"Mind your fingers.\n\n{block}"))
    moved = {name: text.replace("[5, 9]", "[6, 9]") for name, text in pages.items()}
    old, new, other = manual_from(pages), manual_from(pages), manual_from(moved)
    same = compare(old, new, (lambda _p, _n: "1", lambda _p, _n: "1"))
    assert same.changes == ()
    change = only(compare(old, new, (lambda _p, _n: "1", lambda _p, _n: "2")))
    assert (change.topic, change.thing.id) == ("picture", "above")
    assert "its points may lie elsewhere" in change.note
    change = only(compare(old, other, (lambda _p, _n: "1", lambda _p, _n: "1")))
    assert (change.topic, change.old, change.new) == ("shows cover", "(5, 9)", "(6, 9)")


SHOP = """[shop]
name = "Lane"

[[torque-wrench]]
id = "click-25"
name = "Click wrench"
range = "5–25 N·m"
"""


def shop_from(folder: Path, text: str) -> Manual:
    path = folder / "shop.toml"
    path.write_text(text, "utf-8")
    manual = manual_from(plain_pages())
    manual.shop = read_shop(path)[0]
    return manual


def test_the_shop_file(tmp_path: Path) -> None:
    old = shop_from(tmp_path, SHOP)
    new = shop_from(tmp_path, SHOP.replace("5–25 N·m", "5–20 N·m").replace("Lane", "Street"))
    assert told(compare(old, new)) == [
        ("range", "click-25", "changed", "5–25 N·m", "5–20 N·m"),
        ("name", "", "changed", "Lane", "Street"),
    ]
    gone = shop_from(tmp_path, SHOP.partition("[[")[0])
    assert [row[:3] for row in told(compare(old, gone))] == [("shop tool", "click-25", "dropped")]
    assert compare(old, manual_from(plain_pages())).changes == ()


# -- said as what they are ---------------------------------------------------------------------


def test_a_tolerance_and_an_order_alone() -> None:
    base = (BOX, "tighten: 3 N·m", "tighten: 3 ± 0.3 N·m")
    new = (BOX, "tighten: 3 N·m", "tighten: 3 ± 0.5 N·m")
    comparison = compare(manual_from(edited(base)), manual_from(edited(new)))
    report = plain(text_report(comparison, str, ("a", "b")))
    assert "(vent-screws): tolerance only: 3 ± 0.3 N·m → 3 ± 0.5 N·m" in report
    order = after((CAR, "order: [a, c, b, d]", "order: [a, d, b, c]"))
    assert "order only: a, c, b, d → a, d, b, c" in text_report(order, str, ("a", "b"))


# -- bad input ---------------------------------------------------------------------------------


def test_a_rename_and_a_change_together() -> None:
    comparison = after(
        (CAR, "cover-bolts", "lid-bolts"), (COVER, "cover-bolts", "lid-bolts"),
        (VENT, "cover-bolts", "lid-bolts"), (CAR, "[hand, 8 N·m]", "[hand, 12 N·m]"),
    )  # fmt: skip
    assert [(c.topic, c.act, c.harm) for c in comparison.changes] == [
        ("torque", Act.CHANGED, Harm.DAMAGES),
        ("id", Act.RENAMED, Harm.WASTES),
    ]


@pytest.mark.parametrize(
    ("source", "said"),
    [
        ("Mule sheet 1, 2021", "Mule sheet 1, 2021"),
        ("Mule book, p. 4", "Mule book, p. 4"),
        ("The bench", "The bench (names no page)"),
        ("Mule data 2021", "Mule data 2021 (names no page)"),
    ],
)
def test_a_source_that_names_no_page_is_said(source: str, said: str) -> None:
    base = (CAR, "+60°]\n  source: Mule sheet 1, 2021", f"+60°]\n  source: {source}")
    new = (CAR, "20 N·m, +60°]\n  source: Mule sheet 1, 2021", f"22 N·m, +60°]\n  source: {source}")
    change = only(compare(manual_from(edited(base)), manual_from(edited(new))))
    assert (change.topic, change.source) == ("torque", said)


def many(torque: int, word: str) -> dict[str, str]:
    """A manual with 2,500 joints, and 2,500 sentences in steps."""
    pages = {"vehicles/mule.md": "# Car\n\n```{vehicle} mule\nname: Mule\n```\n"}
    for k in range(50):
        rows = "\n".join(
            f"j{k}-{n}: {{kind: bolt, thread: M6x1.0, condition: dry, tighten: {torque} N·m}}"
            for n in range(50)
        )
        steps = "\n".join(
            f":::{{step}} Step {k} {n}\nThen {word} face {n}.\n:::\n" for n in range(50)
        )
        head = f"```{{procedure}} p{k}\nvehicle: mule\nrevision: A\n```\n"
        pages[f"procedures/p{k}.md"] = f"# P\n\n{head}\n```{{fasteners}}\n{rows}\n```\n\n{steps}"
    return pages


def test_five_thousand_changes_at_once() -> None:
    """A second of processor time on the machine where this was written; ten here."""
    old, new = manual_from(many(8, "wipe")), manual_from(many(9, "clean"))
    start = time.process_time()
    comparison = compare(old, new)
    report = text_report(comparison, str, ("old", "new"))
    assert time.process_time() - start < 10
    assert len(comparison.changes) == 5_000
    assert len(report.splitlines()) < 1_600
    assert "And 4500 more changes (2000 can damage): `--format json` names them all.\n" in report


def test_a_second_thing_with_one_id_is_said() -> None:
    twice = (CAR, "side-bolt:\n", "side-bolt: {kind: bolt}\nside-bolt:\n")
    comparison = after(twice)
    assert [(each.side, each.what) for each in comparison.unread] == [("new", "a second one")]


def test_what_a_number_is_held_against_is_looked_up_only_when_asked() -> None:
    old = manual_from(plain_pages())
    witnesses = Witnesses(match(old, old, frozenset()), [])
    assert "_rows" not in vars(witnesses)
