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
