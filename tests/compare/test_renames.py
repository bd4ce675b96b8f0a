"""What was renamed, moved to another page, or has another page name is one thing still."""

from __future__ import annotations

from procedures_lib.judging.compare import compare
from tests.compare.small import BOX, CAR, COVER, OFF, VENT, after, edited, only, plain_pages, told
from tests.helpers import manual_from

RENAMED = tuple((page, "cover-bolts", "lid-bolts") for page in (CAR, COVER, VENT))


def test_an_id_renamed_everywhere_is_one_change() -> None:
    assert told(after(*RENAMED)) == [("id", "lid-bolts", "renamed", "cover-bolts", "lid-bolts")]


def test_a_number_that_changes_with_the_name_is_still_said() -> None:
    comparison = after(*RENAMED, (CAR, "[hand, 8 N·m]", "[hand, 9 N·m]"))
    assert [row[:3] for row in told(comparison)] == [
        ("torque", "lid-bolts", "changed"),
        ("id", "lid-bolts", "renamed"),
    ]


def test_a_rename_that_a_page_does_not_follow_is_the_same_change() -> None:
    """What the page says has not changed; that it now says nothing is for `procedures check`."""
    comparison = after((CAR, "cover-bolts", "lid-bolts"), (COVER, "It must", "It has to"))
    assert [row[0] for row in told(comparison)] == ["sentence", "id"]


def test_another_thing_is_no_rename() -> None:
    comparison = after(
        (
            BOX,
            "vent-screws:\n  name: Vent screws\n  kind: screw",
            "nut-x:\n  name: Nut\n  kind: nut",
        )
    )
    assert {row[:3] for row in told(comparison)} == {
        ("joint", "vent-screws", "dropped"),
        ("joint", "nut-x", "added"),
    }


def test_a_procedure_renamed() -> None:
    comparison = after((COVER, "{procedure} renew-cover", "{procedure} new-cover"))
    assert told(comparison) == [("id", "new-cover", "renamed", "renew-cover", "new-cover")]


def test_a_common_page_renamed_with_its_callers() -> None:
    comparison = after((OFF, "battery-off", "battery-dead"), (COVER, "battery-off", "battery-dead"))
    assert told(comparison) == [("id", "battery-dead", "renamed", "battery-off", "battery-dead")]


def test_a_page_under_another_name() -> None:
    pages = plain_pages()
    new = {("procedures/lid.md" if name == COVER else name): text for name, text in pages.items()}
    change = only(compare(manual_from(pages), manual_from(new)))
    assert (str(change.act), change.old, change.new) == ("renamed", COVER, "procedures/lid.md")


def test_a_thing_that_went_to_another_page() -> None:
    pages = plain_pages()
    start = pages[BOX].index("vent-screws:\n")
    screws = pages[BOX][start : pages[BOX].rindex("```")]
    new = edited(
        (BOX, screws, ""), (VENT, ":::{step}", f"```{{fasteners}}\n{screws}```\n\n:::{{step}}")
    )
    change = only(compare(manual_from(pages), manual_from(new)))
    assert (change.topic, str(change.act), change.old, change.new) == ("page", "moved", BOX, VENT)


def test_a_page_added_or_dropped_is_one_change() -> None:
    pages = plain_pages()
    less = {name: text for name, text in pages.items() if name != VENT}
    dropped = only(compare(manual_from(pages), manual_from(less)))
    assert (str(dropped.act), dropped.old) == ("dropped", "procedure fit-vent, 1 step")
    added = only(compare(manual_from(less), manual_from(pages)))
    assert (str(added.act), added.new) == ("added", "procedure fit-vent, 1 step")
