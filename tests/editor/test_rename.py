"""Ids renamed: every place that means the thing, and no other."""

from __future__ import annotations

from pathlib import Path

import pytest

from procedures_lib.fronts.editor.id_places import id_places
from procedures_lib.fronts.editor.rename import RenameError, rename, renamed_texts
from procedures_lib.fronts.editor.things import words_on
from procedures_lib.judging.checks import check_manual
from procedures_lib.language.entities.builder import build
from procedures_lib.language.reading.reader import read_page
from tests.cli.world import make_manual
from tests.editor.desks import PROJECT, desk_of, place_in

CAR = """
    # Car

    ```{vehicle} quay
    name: Quay
    fixed: [harness]
    ```

    ```{parts}
    tray: {name: Tray, held-by: tray-bolts, note: the tray}
    lid: {name: Lid, held-by: [lid-bolts], behind: tray}
    ```

    ```{connections}
    lid-plug: {name: Lid plug, kind: plug, between: [lid, harness], carries: signal}
    ```

    ```{openings}
    mouth: {name: Mouth, exposed-by: lid}
    ```

    ```{fasteners}
    tray-bolts: &no
    ```
    """
SHARED = """
    # Car {n}

    ```{{vehicle}} car-{n}
    name: Car {n}
    ```

    ```{{parts}}
    cap: {{name: Cap, held-by: cap-nut}}
    ```

    ```{{fasteners}}
    cap-nut: {{name: Cap nut, kind: nut, thread: M6x1.0, class: "8", condition: dry,
      tighten: 8 N·m, source: sheet {n}}}
    ```
    """
COMMON = """
    # Take the cap off

    ```{common} cap-off
    name: Take the cap off
    ```

    :::{step} Off and on
    :do: [remove cap-nut, remove cap, fit cap, tighten cap-nut]
    :id: off-and-on
    Turn {fastener}`cap-nut` off, and on again to {torque}`cap-nut`.
    :::
    """
WORK = """
    # Work {n}

    ```{{procedure}} work-{n}
    vehicle: car-{n}
    revision: A
    ```

    :::{{common-steps}} cap-off
    :::

    See {{step}}`off-and-on`.
    """
TWO_CARS = {
    "common/cap.md": COMMON,
    **{f"vehicles/car-{n}.md": SHARED.format(n=n) for n in (1, 2)},
    **{f"procedures/work-{n}.md": WORK.format(n=n) for n in (1, 2)},
}


def test_every_id_of_a_page_of_the_demo_can_be_renamed() -> None:
    """After each rename a full check finds nothing: no place was left out, none taken wrongly."""
    desk = desk_of(PROJECT)
    before, page = desk.manual, "kits/tf-220.md"
    renamed = 0
    for at in [at for word in words_on(desk, page) for at in id_places(word) if at.defines]:
        found = rename(desk, page, at.line, at.column, f"other-{at.id}")
        texts = renamed_texts(desk, f"other-{at.id}", found)
        after = before.with_pages(build(read_page(t.encode(), name)) for name, t in texts.items())
        assert check_manual(after, sorted(texts)) == []
        left = [t for t in texts.values() if f"`{at.id}`" in t]
        assert left == []
        renamed += 1
    assert renamed > 10


def test_an_id_that_two_cars_share_is_not_renamed_on_one(tmp_path: Path) -> None:
    desk = desk_of(make_manual(tmp_path, TWO_CARS))
    page = "vehicles/car-1.md"
    assert check_manual(desk.manual, ["procedures/work-1.md", "procedures/work-2.md"]) == []
    place = place_in(desk.text(page), "cap-nut: {")
    with pytest.raises(RenameError, match="with `lid-nut` something would be wrong"):
        rename(desk, page, *place, "lid-nut")


def test_a_step_is_renamed_where_it_stands_and_where_it_is_named(tmp_path: Path) -> None:
    desk = desk_of(make_manual(tmp_path, TWO_CARS))
    place = place_in(desk.text("procedures/work-2.md"), "off-and-on")
    found = rename(desk, "procedures/work-2.md", *place, "turn")
    assert [(each.page, each.at.line) for each in found] == [
        ("common/cap.md", 9),
        ("procedures/work-1.md", 11),
        ("procedures/work-2.md", 11),
    ]


def test_names_and_notes_that_are_the_same_word_stay(tmp_path: Path) -> None:
    pages = {"car.md": CAR.replace("&no", '{name: tray, kind: clip, note: "lid"}')}
    desk = desk_of(make_manual(tmp_path, pages))
    text = desk.text("car.md")
    found = rename(desk, "car.md", *place_in(text, "lid: {"), "top")
    new = renamed_texts(desk, "top", found)["car.md"]
    assert "top: {name: Lid" in new
    assert "between: [top, harness]" in new
    assert "exposed-by: top" in new
    assert 'note: "lid"' in new
    assert "lid-plug: {name: Lid plug" in new


@pytest.mark.parametrize(
    ("page", "found", "new", "why"),
    [
        ("car.md", "harness", "loom", "no page describes `harness`"),
        ("car.md", "quay\n", "Quay 2", "write `quay-2`"),
        ("car.md", "tray: {", "lid", "`lid` is taken on car.md"),
        ("car.md", "tray: {", "engine", "a word of the page language"),
        ("car.md", "# Car", "lorry", "no id stands here"),
    ],
)
def test_what_can_not_be_renamed_is_refused(
    tmp_path: Path, page: str, found: str, new: str, why: str
) -> None:
    desk = desk_of(make_manual(tmp_path, {"car.md": CAR}))
    with pytest.raises(RenameError, match=why):
        rename(desk, page, *place_in(desk.text(page), found), new)


def test_a_name_that_is_the_same_changes_nothing(tmp_path: Path) -> None:
    desk = desk_of(make_manual(tmp_path, {"car.md": CAR}))
    assert rename(desk, "car.md", *place_in(desk.text("car.md"), "tray: {"), "tray") == []
