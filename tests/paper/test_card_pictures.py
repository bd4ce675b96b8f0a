"""Pictures on a job card: at the step, once, with their marks, and nothing of the camera."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

import pytest
from pypdf import PdfReader

from procedures_lib.fronts.paper import card_pdf
from procedures_lib.fronts.paper.card import make_card
from procedures_lib.fronts.paper.picture import MarkedPicture
from procedures_lib.language.entities.work import Procedure
from procedures_lib.language.variants import ALWAYS, read_condition
from procedures_lib.manual import Manual
from tests.manual.pictures import CAMERA, camera_exif, ground, saved

if TYPE_CHECKING:
    from pathlib import Path

    from procedures_lib.fronts.paper.card import Card

PAGE = """\
# Lift the cover

```{vehicle} car
name: Car
options: {gearbox: [manual, automatic]}
```

```{parts}
cover: {name: Cover, held-by: cover-bolts}
lever: {name: Shift lever, when: gearbox=manual}
```

```{fasteners}
cover-bolts:
  {name: Cover bolts, kind: bolt, count: 2, tighten: 10 N·m, order: [left, right],
   positions: {left: [0, 0], right: [100, 0]}}
```

```{picture} from-above
file: above.jpg
seen: from above
shows: {cover-bolts: [[400, 600], [1200, 300]], lever: [800, 800]}
```

```{procedure} lift
vehicle: car
revision: A
reviewed: 2026-01-10
```

````{step} Take the cover off
:do: remove cover-bolts, cover
Look.

```{picture} from-above
```
````

````{step} Put it back
---
do:
  - fit cover
  - tighten cover-bolts
---
```{picture} from-above
```
````
"""


@pytest.fixture
def root(tmp_path: Path) -> Path:
    saved(tmp_path / "above.jpg", ground(), exif=camera_exif())
    (tmp_path / "index.md").write_text(PAGE, encoding="utf-8")
    return tmp_path


def card_of(root: Path, when: str = "gearbox=manual") -> Card:
    manual = Manual.read(root)
    procedure = manual.head(Procedure, "lift")
    assert procedure is not None
    return make_card(manual, manual.plan(procedure), read_condition(when) if when else ALWAYS)


def test_a_picture_stands_at_its_first_step_with_its_marks(root: Path) -> None:
    pdf = card_pdf(card_of(root))
    pages = PdfReader(io.BytesIO(pdf)).pages
    text = " ".join(" ".join(page.extract_text() for page in pages).split())
    assert [image.name.rpartition(".")[2] for page in pages for image in page.images] == ["jpg"]
    assert text.count("Seen from above.") == 1
    assert "Picture: see step 1. A1 and A2 2 × Cover bolts: 10 N·m" in text
    assert "A1 and A2" in text
    assert "Also in the picture: B Shift lever" in text
    assert "only:" not in text  # the card of a car that has all of it
    assert "B Shift lever (only: gearbox=manual)" in " ".join(
        " ".join(
            page.extract_text() for page in PdfReader(io.BytesIO(card_pdf(card_of(root, "")))).pages
        ).split()
    )


def test_a_card_of_other_cars_leaves_out_what_they_lack(root: Path) -> None:
    step = card_of(root, "gearbox=automatic").steps[0]
    assert [mark.label for mark in step.pictures[0].marks] == ["A1", "A2"]
    assert step.pictures[0].around == ""


def test_a_torque_stands_at_the_step_that_tightens_and_at_no_other(root: Path) -> None:
    removed, back = (step.pictures[0] for step in card_of(root).steps)
    assert removed.lines == (
        "A1 and A2  2 × Cover bolts. The numbers are the order of tightening.",
    )
    assert removed.around == "Also in the picture: B\u00a0Shift lever"
    assert back.lines[0].startswith("A1 and A2  2 × Cover bolts: 10\u00a0N·m")
    assert back.step == removed.step + 1 == 1


def test_a_picture_whose_numbers_are_those_of_another_stage_is_drawn_anew(root: Path) -> None:
    page = root / "index.md"
    text = page.read_text(encoding="utf-8")
    stages = "tighten: [5 N·m, {stage: 10 N·m, order: [right, left]}]"
    text = text.replace("tighten: 10 N·m", stages)
    one, two = ("  - tighten cover-bolts stage 1\n", "  - tighten cover-bolts stage 2\n")
    again = text[text.index("````{step} Put it back") :].replace("Put it back", "Tighten it")
    again = again.replace("  - fit cover\n", "").replace("  - tighten cover-bolts\n", two)
    page.write_text(text.replace("  - tighten cover-bolts\n", one) + "\n" + again, encoding="utf-8")
    drawn = [step.pictures[0] for step in card_of(root).steps]
    assert [picture.step for picture in drawn] == [0, 1, 0]
    assert [[mark.position for mark in picture.marks[:2]] for picture in drawn[1:]] == [
        ["left", "right"], ["right", "left"],
    ]  # fmt: skip


def test_it_fits_on_the_sheet_whatever_its_shape(root: Path) -> None:
    for size in ((1600, 1200), (1200, 4000), (4000, 600)):
        saved(root / "above.jpg", ground(size))
        picture = card_of(root).steps[0].pictures[0]
        drawn = MarkedPicture(picture)
        assert drawn.width <= 300.5
        assert drawn.height <= 230.5
        assert drawn.width / drawn.height == pytest.approx(size[0] / size[1])


def test_the_same_card_has_the_same_bytes_and_nothing_of_the_camera(root: Path) -> None:
    card = card_of(root)
    assert card_pdf(card) == card_pdf(card_of(root))
    assert CAMERA.encode() not in card.steps[0].pictures[0].image
    assert b"Exif" not in card.steps[0].pictures[0].image


def test_a_picture_that_can_not_be_read_leaves_its_words(root: Path) -> None:
    raw = (root / "above.jpg").read_bytes()
    for content in (raw[: len(raw) // 2], b"no picture"):
        (root / "above.jpg").write_bytes(content)
        picture = card_of(root).steps[0].pictures[0]
        assert picture.image == b""
        assert "Seen from above." in " ".join(
            page.extract_text() for page in PdfReader(io.BytesIO(card_pdf(card_of(root)))).pages
        )
