"""The checks of pictures: files, sizes, points. Each page of a check has its own two examples."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

import pytest

from procedures_lib.judging.checks import check_manual
from procedures_lib.manual import Manual
from tests.manual.pictures import camera_exif, ground, saved

if TYPE_CHECKING:
    from pathlib import Path

PAGE = """\
# Car

```{vehicle} car
name: Car
options: {gearbox: [manual, automatic]}
```

```{parts}
cover: {name: Cover, held-by: cover-bolts}
lamps: {name: Lamps, count: 2}
```

```{fasteners}
cover-bolts:
  name: Cover bolts
  kind: bolt
  count: 4
  thread: M6x1.0
  class: "8.8"
  condition: dry
  tighten: 10 N·m
  positions: {a: [0, 0], b: [90, 0], c: [0, 60], d: [90, 60]}
  order: [a, d, b, c]
  source: Sheet 1, page 2
clips: {name: Clips, kind: clip, count: 6}
```

"""


def told(root: Path, shows: str, file: str = "pictures/a.jpg") -> list[tuple[str, str]]:
    """The findings of a page with one picture: check and message."""
    text = f"```{{picture}} below\nfile: {file}\nseen: from below\nshows: {shows}\n```\n"
    (root / "index.md").write_text(PAGE + text, encoding="utf-8")
    return [(f.check, f.message) for f in check_manual(Manual.read(root))]


@pytest.fixture
def root(tmp_path: Path) -> Path:
    saved(tmp_path / "pictures" / "a.jpg")
    return tmp_path


@pytest.mark.parametrize(
    "shows",
    [
        "{cover-bolts: [[100, 900], [900, 900], [100, 300], [900, 300]]}",
        "{cover-bolts: {a: [900, 900], b: [100, 900], c: [900, 300], d: [100, 300]}}",
        "{cover-bolts: {a: [100, 900], d: [900, 300]}}",
        "{cover-bolts: [[500, 100], [520, 900], [90, 150], [110, 880]]}",
        "{clips: [5, 5], lamps: [7, 7], cover: [1599, 1199]}",
        "{lamps: [[5, 5], [900, 5]]}",
    ],
)
def test_pictures_that_are_right_pass(root: Path, shows: str) -> None:
    assert told(root, shows) == []


@pytest.mark.parametrize(
    ("shows", "check", "said"),
    [
        ("{cover: [1600, 10]}", "point-outside", "shown at [1600, 10], outside of the picture"),
        ("{cover: [10, 1200]}", "point-outside", "1600 wide and 1200 high"),
        ("{cover-bolts: [[1, 1], [9, 9]]}", "points-differ", "2 points, and there are 4"),
        ("{cover-bolts: [5, 5]}", "points-differ", "1 point, and there are 4"),
        ("{clips: [[5, 5], [9, 9]]}", "points-differ", "2 points, and there are 6"),
        ("{lamps: [[1, 1], [2, 2], [3, 3]]}", "points-differ", "3 points, and there are 2"),
        ("{cover: [[1, 1], [2, 2]]}", "points-differ", "2 points, and there is 1"),
        ("{lamps: [[5, 5], [5, 5]]}", "points-differ", "at the same point [5, 5]"),
        ("{cover-bolts: {a: [5, 5], b: [5, 5]}}", "points-differ", "two of `cover-bolts`"),
        ("{cover-bolts: {a: [1, 1], e: [2, 2]}}", "points-differ", "has no position `e`"),
        ("{cover: {left: [1, 1]}}", "points-differ", "has no position `left`"),
        (
            "{cover-bolts: [[100, 900], [900, 900], [900, 300], [100, 300]]}",
            "points-turned",
            "do not lie as its positions do",
        ),
        ("{gone: [5, 5]}", "unknown-id", "names `gone`"),
        ("{car: [5, 5]}", "wrong-kind", "`car`"),
    ],
)
def test_points_that_are_wrong_are_told(root: Path, shows: str, check: str, said: str) -> None:
    found = told(root, shows)
    assert [name for name, _ in found] == [check]
    assert said in found[0][1]


BOTH = "{cover: [5, 5]}"


def test_points_are_those_of_the_picture_as_it_is_held(root: Path) -> None:
    saved(root / "pictures" / "a.jpg", ground((1600, 1200)), exif=camera_exif(6))
    assert told(root, "{cover: [1190, 1590]}") == []
    assert [name for name, _ in told(root, "{cover: [1590, 1190]}")] == ["point-outside"]


@pytest.mark.parametrize(
    ("file", "check"),
    [
        ("pictures/b.jpg", "broken-link"),
        ("pictures", "broken-link"),
        ("../outside.jpg", "outside-manual"),
        ("/../outside.jpg", "outside-manual"),
        ("https://example.org/a.jpg", "foreign-address"),
        ("file:///etc/passwd", "foreign-address"),
        ("//example.org/a.jpg", "foreign-address"),
        ("pictures/drawn.svg", "foreign-file"),
        ("pictures/really-jpeg.png", "foreign-file"),
        ("pictures/linked.jpg", "foreign-file"),
        ("linked-folder/a.jpg", "foreign-file"),
        ("pictures/away.jpg", "outside-manual"),
    ],
)
def test_no_file_from_elsewhere_or_of_another_kind(root: Path, file: str, check: str) -> None:
    saved(root.parent / "outside.jpg")
    (root / "pictures" / "drawn.svg").write_text("<svg/>", encoding="utf-8")
    (root / "pictures" / "really-jpeg.png").write_bytes((root / "pictures" / "a.jpg").read_bytes())
    os.symlink(root / "pictures" / "a.jpg", root / "pictures" / "linked.jpg")
    os.symlink(root / "pictures", root / "linked-folder")
    os.symlink(root.parent / "outside.jpg", root / "pictures" / "away.jpg")
    text = f"```{{picture}} below\nfile: {file}\nseen: from below\nshows: {BOTH}\n```\n"
    (root / "index.md").write_text(PAGE + text, encoding="utf-8")
    found = check_manual(Manual.read(root))
    assert [f.check for f in found if f.place.page == "index.md"] == [check]


def test_a_small_picture_and_a_heavy_one_are_warnings(root: Path) -> None:
    saved(root / "pictures" / "a.jpg", ground((1169, 800)))
    assert told(root, BOTH) == [
        ("picture-size", "`pictures/a.jpg` is 1169 pixels wide: on a phone it is blurred")
    ]
    path = saved(root / "pictures" / "a.jpg")
    path.write_bytes(path.read_bytes() + bytes(17_000_000))
    assert told(root, BOTH) == [("picture-size", "`pictures/a.jpg` weighs 17 MB")]


def test_a_picture_that_changes_is_judged_anew(root: Path) -> None:
    assert told(root, "{cover: [1500, 5]}") == []
    saved(root / "pictures" / "a.jpg", ground((1400, 1000)))
    assert [name for name, _ in told(root, "{cover: [1500, 5]}")] == ["point-outside"]


@pytest.mark.parametrize(
    ("shows", "hint"),
    [
        ("{clips: [[5, 5], [9, 9]]}", "a point for each, or one for all of them"),
        ("{cover: [[1, 1], [2, 2]]}", "give one point"),
        ("{cover-bolts: [5, 5]}", "name those that are seen"),
    ],
)
def test_the_hint_asks_for_what_the_group_can_have(root: Path, shows: str, hint: str) -> None:
    told(root, shows)
    [found] = check_manual(Manual.read(root))
    assert hint in found.hint


def finding_of_file(root: Path, file: str) -> tuple[str, str, str]:
    text = f"```{{picture}} below\nfile: {file}\nseen: from below\nshows: {BOTH}\n```\n"
    (root / "index.md").write_text(PAGE + text, encoding="utf-8")
    [found] = [f for f in check_manual(Manual.read(root)) if f.place.page == "index.md"]
    return found.check, found.message, found.hint


def test_what_is_no_file_of_a_picture_is_called_by_its_name(root: Path) -> None:
    raw = (root / "pictures" / "a.jpg").read_bytes()
    (root / "pictures" / "EMPTY.jpg").write_bytes(b"")
    (root / "pictures" / "b.JPG").write_bytes(raw)
    (root / "pictures" / "c.jpg").mkdir()
    os.mkfifo(root / "pictures" / "d.jpg")
    assert finding_of_file(root, "pictures/EMPTY.jpg")[:2] == (
        "foreign-file", "`pictures/EMPTY.jpg` is empty",
    )  # fmt: skip
    assert finding_of_file(root, "pictures/b.JPG")[2] == "rename it `b.jpg`"
    assert finding_of_file(root, "pictures/c.jpg")[1] == "`pictures/c.jpg` is a folder"
    assert finding_of_file(root, "pictures/d.jpg")[1] == "`pictures/d.jpg` is no plain file"
    check, message, _ = finding_of_file(root, f"pictures/{'a' * 5000}.jpg")
    assert check == "broken-link"
    assert len(message) < 100


@pytest.mark.parametrize("name", ["a.jpg", "b.png", "c.webp"])
def test_a_picture_that_is_cut_off_is_told_before_a_build(root: Path, name: str) -> None:
    path = saved(root / "pictures" / name)
    raw = path.read_bytes()
    assert told(root, BOTH, f"pictures/{name}") == []
    for left in (len(raw) - 3, len(raw) * 2 // 3):
        path.write_bytes(raw[:left])
        [(check, message)] = told(root, BOTH, f"pictures/{name}")
        assert check == "unreadable-picture"
        assert "is cut off" in message or "can't be read" in message


def test_what_stands_behind_the_end_of_a_photograph_is_no_fault(root: Path) -> None:
    path = saved(root / "pictures" / "a.jpg", ground(), exif=camera_exif(), progressive=True)
    path.write_bytes(path.read_bytes() + b"\xff\xda trailer of a telephone \xff")
    assert told(root, BOTH) == []


def test_a_strip_is_a_warning(root: Path) -> None:
    saved(root / "pictures" / "a.jpg", ground((6000, 1400)))
    assert told(root, BOTH) == [
        ("picture-size", "`pictures/a.jpg` is 4 times as long as the other way")
    ]
    saved(root / "pictures" / "a.jpg", ground((4800, 1200)))
    assert told(root, BOTH) == []


def test_a_bad_id_of_a_picture_is_told_once(root: Path) -> None:
    text = (
        "```{picture} Be low\nfile: pictures/a.jpg\nseen: from below\nshows: {cover: [5, 5]}\n```\n"
    )
    (root / "index.md").write_text(PAGE + text, encoding="utf-8")
    assert [f.check for f in check_manual(Manual.read(root))] == ["bad-id"]
