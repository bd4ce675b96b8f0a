"""Pictures on the site: their files, their marks, exact rebuilds, and where they are kept."""

from __future__ import annotations

import io
import json
import re
from typing import TYPE_CHECKING

import pytest
from PIL import Image

from procedures_lib.fronts.site.inspection import faults_in
from procedures_lib.manual.picture_coding import BUDGETS
from tests.manual.pictures import CAMERA, camera_exif, ground, saved
from tests.site.building import CONF, SmallManual

if TYPE_CHECKING:
    from pathlib import Path

PICTURE = """
```{picture} cover-from-above
file: pictures/above.jpg
seen: from above, front of the car up
shows:
  cover-bolts: {left: [400, 600], right: [1200, 300]}
```
"""
AGAIN = """
```{picture} cover-from-above
```
"""


@pytest.fixture
def small(tmp_path: Path) -> SmallManual:
    """A car with a picture on its page, shown again on the page of its procedure."""
    made = SmallManual(tmp_path / "manual", CONF)
    saved(made.root / "docs" / "pictures" / "above.jpg", ground(), exif=camera_exif())
    made.change("hatch.md", "```{parts}", f"{PICTURE}\n```{{parts}}")
    made.change("lift-cover.md", "```{preparation}\n```\n", "```{preparation}\n```\n" + AGAIN)
    return made


def images(html: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in sorted((html / "_images").glob("*.webp"))}


def figures(page: str) -> list[str]:
    return re.findall(r'<figure class="picture.*?</figure>', page, re.S)


def rings_and_labels(figure: str) -> dict[str, tuple[float, float]]:
    """Where the rings of the drawing for a phone stand, by the label of each: its line ends there.

    A ring's path begins at its left, 9 from its middle.
    """
    [near] = re.findall(r'<svg[^>]*class="near".*?</svg>', figure, re.S)
    rings = re.findall(r'"/><path d="[^"]*M([\d.]+) ([\d.]+)a9 9 .*?<text[^>]*>(\w+)</text>', near)
    return {label: (round(float(x) + 9, 1), float(y)) for x, y, label in rings}


def test_the_figure_has_files_for_phone_and_desk_within_their_weight(small: SmallManual) -> None:
    built = small.build(fatal=True)
    [figure] = figures(built.page("lift-cover"))
    assert 'data-picture="cover-from-above"' in figure
    found = images(built.html)
    widths = [int(name.rpartition("-")[2].removesuffix(".webp")) for name in found]
    assert sorted(widths) == [*BUDGETS] == [780, 1600]
    for width, raw in zip(widths, found.values(), strict=True):
        assert len(raw) <= BUDGETS[width]
    for name in found:
        assert f"_images/{name}" in figure
    assert 'srcset="' in figure
    assert 'width="1600" height="1200"' in figure
    assert 'loading="lazy"' in figure
    assert "style=" not in figure
    assert list(faults_in(figure)) == []


def test_the_words_and_the_marks_come_from_the_blocks(small: SmallManual) -> None:
    [figure] = figures(small.build().page("lift-cover"))
    assert (
        'alt="View, from above, front of the car up; shows cover bolts 1 and 2 in the order of'
        ' tightening 1 left, 2 right."'
    ) in figure
    assert '<a href="#fastener-cover-bolts"' in figure or "definition-cover-bolts" in figure
    listed = figure[figure.index("<ul") :]
    assert re.search(r'class="torque"[^>]*>10\u00a0N·m \(89\u00a0lbf·in\)', listed)
    small.change("hatch.md", "order: [left, right]", "order: [right, left]")
    small.change("hatch.md", "tighten: [10 N·m]", "tighten: [12 N·m]")
    [other] = figures(small.build().page("lift-cover"))
    marks = [rings_and_labels(each) for each in (figure, other)]
    # on 358 × 268.5: 400 of 1600 is 89.5, 600 of 1200 is 134.25; 1200 is 268.5, 300 is 67.1
    assert marks[0] == {"1": (89.5, 134.2), "2": (268.5, 67.1)}
    assert marks[1] == {"2": (89.5, 134.2), "1": (268.5, 67.1)}
    assert "12\u00a0N·m" in other


def test_in_a_step_a_torque_stands_only_beside_what_the_step_tightens(small: SmallManual) -> None:
    seen = "seen: from above, front of the car up\nshows:\n  other-bolts: [90, 90]\n"
    small.change("hatch.md", "seen: from above, front of the car up\nshows:\n", seen)
    small.change("lift-cover.md", "come out.\n", f"come out.\n{AGAIN}")
    small.change("lift-cover.md", "drawn.\n", f"drawn.\n{AGAIN}")
    of_page, out, back = figures(small.build(fatal=True).page("lift-cover"))
    assert "20\u00a0N·m" in of_page
    assert 'class="picture-layer around"' not in of_page
    for figure in (out, back):
        of_step, around = figure.split('<p class="picture-also">Also in the picture:</p>')
        assert "B1 and B2" in of_step
        assert "Other bolts" in around
        assert "N·m" not in around
        assert re.findall('class="picture-layer( around)?"', figure) == [" around", ""]
    assert "N·m" not in out
    assert "10\u00a0N·m" in back


def test_nothing_of_the_camera_is_published(small: SmallManual) -> None:
    built = small.build()
    for path in built.html.rglob("*"):
        if path.is_file():
            raw = path.read_bytes()
            assert CAMERA.encode() not in raw
            assert path.suffix not in {".jpg", ".jpeg"}, path
    for raw in images(built.html).values():
        with Image.open(io.BytesIO(raw)) as image:
            assert dict(image.getexif()) == {}


def test_pages_are_rebuilt_when_a_picture_changes_and_then_alone(small: SmallManual) -> None:
    first = images(small.build().html)
    assert small.build().read == []
    saved(small.root / "docs" / "pictures" / "above.jpg", ground(red=300))
    built = small.build()
    assert built.read == ["hatch", "lift-cover"]
    second = images(built.html)
    assert len(second) == 2
    assert not first.keys() & second.keys()
    for name in second:
        assert name in built.page("hatch")
    small.change("hatch.md", "left: [400, 600]", "left: [420, 600]")
    built = small.build()
    assert built.read == ["hatch", "lift-cover"]
    assert images(built.html) == second
    small.change("lift-cover.md", AGAIN, "")
    small.change("hatch.md", PICTURE.replace("[400,", "[420,"), "")
    assert images(small.build().html) == {}


def test_a_picture_that_has_not_changed_is_not_coded_again(
    small: SmallManual, monkeypatch: pytest.MonkeyPatch
) -> None:
    small.build()

    def refuse(*_: object) -> None:
        raise AssertionError("coded again")

    monkeypatch.setattr("procedures_lib.fronts.site.pictures.coded", refuse)
    small.change("lift-cover.md", "come out.", "come off.")
    built = small.build()
    assert built.read == ["lift-cover"]
    assert len(figures(built.page("lift-cover"))) == 1


def test_serial_and_parallel_builds_give_the_same_pictures(
    small: SmallManual, tmp_path: Path
) -> None:
    serial = images(small.build().html)
    other = SmallManual(tmp_path / "other", CONF)
    for name in ("hatch.md", "lift-cover.md"):
        other.write(name, (small.root / "docs" / name).read_text(encoding="utf-8"))
    for n in range(8):  # Sphinx reads in several processes from a few pages on
        other.write(f"more-{n}.md", f"# More {n}\n")
    saved(other.root / "docs" / "pictures" / "above.jpg", ground(), exif=camera_exif())
    assert images(other.build(jobs=2).html) == serial


def test_a_picture_is_kept_with_the_car_whose_pages_show_it(tmp_path: Path) -> None:
    made = SmallManual(tmp_path / "manual", CONF.replace('"basic"', '"bench"'))
    saved(made.root / "docs" / "pictures" / "above.jpg", ground())
    made.change("hatch.md", "```{parts}", f"{PICTURE}\n```{{parts}}")
    built = made.build()
    listed = json.loads((built.html / "offline" / "files.json").read_text(encoding="utf-8"))
    numbers = {part["id"]: n for n, part in enumerate(listed["parts"])}
    parts = {name: row[2:] for name, row in listed["files"].items() if name.startswith("_images/")}
    assert len(parts) == 2
    assert set(map(tuple, parts.values())) == {(numbers["hatch"],)}


def test_a_picture_cut_short_is_told_and_its_words_stand(small: SmallManual) -> None:
    path = small.root / "docs" / "pictures" / "above.jpg"
    raw = path.read_bytes()
    path.write_bytes(raw[: len(raw) // 2])
    built = small.build()
    assert "`above.jpg` is cut off" in built.warnings
    [figure] = figures(built.page("lift-cover"))
    assert "<img" not in figure
    assert "View, from above" in figure
    assert images(built.html) == {}


def test_other_builders_get_the_words(small: SmallManual) -> None:
    built = small.build(builder="text")
    text = (built.html / "lift-cover.txt").read_text(encoding="utf-8")
    assert "View, from above, front of the car up; shows" in " ".join(text.split())


def test_no_address_from_elsewhere_stands_in_a_set_of_sources() -> None:
    good = '<img src="a.webp" srcset="a.webp 780w, b.webp 1600w" alt="a">'
    bad = '<img src="a.webp" srcset="a.webp 780w, https://example.org/b.webp 1600w" alt="a">'
    assert list(faults_in(good)) == []
    assert list(faults_in(bad)) == ["an address `https://example.org/b.webp 1600w`"]
