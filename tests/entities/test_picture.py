"""The picture block: what it shows, by points, and what is wrong with one."""

from __future__ import annotations

import pytest

from procedures_lib.language.entities.picture import Picture
from procedures_lib.language.entities.work import Content
from tests.helpers import content_from, entity_from, only_slip, slips_of

CAR = """\
```{vehicle} car
name: Car
```

```{fasteners}
cover-bolts: {name: Cover bolts, kind: bolt, count: 2, source: "Sheet 1, page 2"}
```

```{connections}
hot-hose: {kind: hose, between: [cover, body]}
```

```{parts}
cover: {name: Cover, held-by: cover-bolts}
```

"""
BELOW = """\
```{{picture}} from-below
file: pictures/below.jpg
seen: from below, front of the car up
shows: {shows}
```
"""


def picture_of(shows: str) -> Picture:
    found = entity_from(BELOW.format(shows=shows), "from-below")
    assert isinstance(found, Picture)
    return found


@pytest.mark.parametrize(
    ("shows", "points", "names"),
    [
        ("{hot-hose: [120, 300]}", ((120, 300),), ()),
        ("{cover-bolts: [[412, 220], [640, 221]]}", ((412, 220), (640, 221)), ()),
        ("{cover-bolts: {left: [4, 2], right: [6, 2]}}", ((4, 2), (6, 2)), ("left", "right")),
        ("{hot-hose: [[0, 0]]}", ((0, 0),), ()),
    ],
)
def test_a_thing_is_shown_by_a_point_a_list_or_named_points(
    shows: str, points: object, names: object
) -> None:
    picture = picture_of(shows)
    assert [(each.points, each.names) for each in picture.shows] == [(points, names)]
    assert f'"shows":{picture.model_dump_json(include={"shows"})[9:-1]}' in (
        picture.model_dump_json(by_alias=True)
    )


@pytest.mark.parametrize(
    ("shows", "check", "said"),
    [
        ("[412, 220]", "wrong-shape", "what a picture shows is a mapping"),
        ("{hot-hose: 120}", "wrong-shape", "points of two whole numbers"),
        ("{hot-hose: [120]}", "wrong-shape", "points of two whole numbers"),
        ("{hot-hose: [120, -3]}", "wrong-shape", "points of two whole numbers"),
        ("{hot-hose: [1.5, 3]}", "wrong-shape", "points of two whole numbers"),
        ("{hot-hose: [[1, 2], 3]}", "wrong-shape", "points of two whole numbers"),
        ("{Hot Hose: [1, 2]}", "bad-id", "`Hot Hose` is no id"),
        ("{hot-hoes: [1, 2]}", "unknown-id", "`shows` of `from-below` names `hot-hoes`"),
    ],
)
def test_what_is_wrong_with_points_is_told_on_their_line(shows: str, check: str, said: str) -> None:
    found = only_slip(CAR + BELOW.format(shows=shows))
    assert (found.check, found.place.line) == (check, 20)
    assert said in found.message


def test_a_picture_needs_its_file() -> None:
    text = "```{picture} below\nseen: from below\n```\n"
    assert [(f.check, f.message) for f in slips_of(CAR + text)] == [
        ("missing-field", "a picture block needs `file`")
    ]


STEP = """\
```{procedure} do-it
vehicle: car
revision: A
```

````{step} Look at it
Look.

```{picture} from-below
```
````
"""


def steps_in(content: Content) -> list[tuple[str, ...]]:
    return [step.pictures for _, steps in content.steps for step in steps]


def test_an_empty_block_shows_a_picture_again_and_a_step_knows_its_pictures() -> None:
    content = content_from(CAR + BELOW.format(shows="{hot-hose: [1, 2]}") + STEP)
    assert [each.block.name for each in content.derived] == ["picture"]
    assert steps_in(content) == [("from-below",)]
    assert content.findings == ()


def test_a_picture_may_be_described_inside_a_step() -> None:
    inside = BELOW.format(shows="{hot-hose: [1, 2]}").rstrip()
    content = content_from(CAR + STEP.replace("```{picture} from-below\n```", inside))
    assert [entity.id for entity in content.entities if isinstance(entity, Picture)] == [
        "from-below"
    ]
    assert steps_in(content) == [("from-below",)]
    assert (*content.findings, *content.page.findings) == ()


def test_a_picture_that_is_nowhere_is_told() -> None:
    found = slips_of(CAR + STEP, "unknown-id")
    assert [f.message for f in found] == [
        "{picture} names `from-below`, which no page in reach defines"
    ]
