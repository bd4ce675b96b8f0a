"""The demo's pictures: each is what its view draws, and shows what its block says."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from functools import cache

import numpy as np
import pytest
from PIL import Image

from procedures_lib.language.entities.car import Connection, Fastener
from procedures_lib.language.entities.picture import Picture
from procedures_lib.manual import Plan
from procedures_lib.manual.picture_coding import BUDGETS, coded
from tests.demo import demo
from tests.drawn_views.__main__ import PICTURES, in_sixteen_greys
from tests.drawn_views.blocks import shows_of
from tests.drawn_views.catalogue import VIEWS
from tests.drawn_views.drawing import Scene, Sight, inked, look_at

ALIKE = 0.88  # at half its size lines are wider: 0.90 to 0.99; another picture is below 0.80
HALF, COARSE = 2, 4
LIGHT = 28_000  # bytes
CLOSEST = 60  # pixels between two numbers of an order: 15 on a phone that is 390 wide


@cache
def _scene(name: str) -> Scene:
    return VIEWS[name].scene()


@cache
def _sight(name: str) -> Sight:
    return look_at(_scene(name), 1 / HALF)


@cache
def _blocks() -> dict[str, Picture]:
    pages = demo().contents.values()
    found = [each for page in pages for each in page.entities if isinstance(each, Picture)]
    return {each.id: each for each in found if each.file.startswith("../pictures/")}


def _likeness(name: str, other: str) -> float:
    """How alike what a view draws is to a file: the correlation of their greys, 1 for the same."""
    half = inked(_scene(name), _sight(name), 1 / HALF)
    drawn = np.asarray(in_sixteen_greys(half).convert("L").reduce(COARSE), dtype=float)
    with Image.open(PICTURES / f"{other}.png") as file:
        filed = np.asarray(file.convert("L").reduce(HALF * COARSE), dtype=float)
    rows, columns = np.minimum(drawn.shape, filed.shape)
    both = np.stack([each[:rows, :columns].ravel() for each in (drawn, filed)])
    return float(np.corrcoef(both)[0, 1])


def test_each_view_has_its_block_and_its_file_and_no_file_is_left_over() -> None:
    files = {file.stem for file in PICTURES.iterdir()}
    assert set(VIEWS) == set(_blocks()) == files


@pytest.mark.parametrize("name", VIEWS)
def test_a_file_is_what_its_view_draws(name: str) -> None:
    assert _likeness(name, name) > ALIKE
    size = (PICTURES / f"{name}.png").stat().st_size
    assert size < 82_000, f"{size} bytes"


@pytest.mark.parametrize("name", ["finch-pressure-plate", "finch-oil-cooler", "drover-ring-gear"])
def test_a_view_is_light_on_a_phone(name: str) -> None:
    """Those with the most lines."""
    [phone] = coded(PICTURES / f"{name}.png", {780: BUDGETS[780]})
    assert phone.width == 780
    assert len(phone.data) <= LIGHT


def test_another_picture_is_told_from_what_a_view_draws() -> None:
    assert _likeness("finch-flywheel", "finch-pressure-plate") < ALIKE
    assert _likeness("finch-old-brake", "finch-new-brake") < ALIKE


@pytest.mark.parametrize("name", VIEWS)
def test_a_block_says_what_its_view_shows(name: str) -> None:
    block = _blocks()[name]
    shows = shows_of(_scene(name), demo(), block.place.page)
    assert {str(each.thing): each.written for each in block.shows} == shows
    assert block.seen == VIEWS[name].seen


@pytest.mark.parametrize("name", VIEWS)
def test_each_point_lies_on_its_thing_and_nothing_hides_it(name: str) -> None:
    scene, sight = _scene(name), _sight(name)
    assert scene.points
    for thing, points in scene.shows().items():
        for x, y in points:
            there = int(sight.thing[y // HALF, x // HALF])
            assert there >= 0, f"{thing} at {x}, {y} is background"
            assert scene.things[there][2] == thing, f"{thing} at {x}, {y} is hidden"


def _patterns() -> Iterator[tuple[str, Fastener, tuple[tuple[int, int], ...]]]:
    for block in _blocks().values():
        for shown in block.shows:
            entity = demo().scope(block.place.page).get(str(shown.thing))
            if isinstance(entity, Fastener) and entity.positions:
                yield block.id, entity, shown.points


def test_patterns_lie_as_their_positions_say() -> None:
    """A view without vanishing points maps a flat pattern by a linear map and a shift: so does
    each picture.
    """
    seen = 0
    for name, entity, points in _patterns():
        at = np.array([place for _, place in entity.positions], dtype=float)
        given = np.hstack([at, np.ones((len(at), 1))])
        fit = np.linalg.lstsq(given, np.array(points, dtype=float), rcond=None)[0]
        off = np.abs(given @ fit - np.array(points)).max()
        assert off < 1.5, f"{entity.id} in {name} is off by {off:.1f} pixels"
        # Right is right and up is up: nobody looks at a pattern from its back.
        assert fit[0, 0] > 0 > fit[1, 1], f"{entity.id} in {name} is turned"
        seen += 1
    assert seen >= 16


def test_the_numbers_of_an_order_stand_apart() -> None:
    for name, entity, points in _patterns():
        at = np.array(points, dtype=float)
        gaps = np.linalg.norm(at[:, None] - at[None], axis=2)[np.triu_indices(len(at), 1)]
        assert gaps.min() > CLOSEST, f"{entity.id} in {name}"


def test_every_order_of_the_demo_is_seen_where_it_is_worked() -> None:
    checked = 0
    for plan in demo().plans():
        steps = [numbered.step for numbered in plan.steps]
        pictures = [_blocks()[name] for step in steps for name in step.pictures]
        shown = {str(each.thing) for block in pictures for each in block.shows}
        actions = [each for step in steps for each in step.actions if each.verb == "tighten"]
        for name in {str(name) for each in actions for name in each.objects}:
            entity = plan.scope.get(name)
            if isinstance(entity, Fastener) and entity.order and entity.count > 2:
                assert name in shown, f"{name} of {plan.head.id} is in no picture"
                checked += 1
    assert checked >= 16


def _look_alikes(connections: Iterable[Connection]) -> Iterator[Connection]:
    """Those of which there is another of the same kind, or which are two themselves."""
    kinds = defaultdict(list)
    for each in connections:
        kinds[each.kind].append(each)
    for alike in kinds.values():
        if sum(each.count for each in alike) > 1:
            yield from alike


def _is_seen(connection: Connection, shown: set[str]) -> bool:
    """By itself, or by what holds it."""
    return connection.id in shown or any(name in shown for name in connection.holders)


def _shown_in(plan: Plan) -> set[str]:
    names = {name for numbered in plan.steps for name in numbered.step.pictures}
    return {str(each.thing) for name in names for each in _blocks()[name].shows}


def test_what_looks_alike_is_seen_in_the_procedure_that_opens_it() -> None:
    """Two plugs, two hoses, two lines that one procedure opens or makes: which is which?"""
    checked = 0
    for plan in demo().plans():
        actions = [each for numbered in plan.steps for each in numbered.step.actions]
        names = {str(name) for each in actions for name in each.objects}
        found = (plan.scope.get(name) for name in sorted(names))
        alike = list(_look_alikes(each for each in found if isinstance(each, Connection)))
        missing = [each.id for each in alike if not _is_seen(each, _shown_in(plan))]
        assert missing == [], f"{plan.head.id} shows in no picture which is {missing}"
        checked += len(alike)
    assert checked >= 70


def test_what_looks_alike_on_a_car_is_seen_on_its_page_or_on_a_kits() -> None:
    shown = {str(each.thing) for block in _blocks().values() for each in block.shows}
    checked = 0
    for name, content in demo().contents.items():
        if name.startswith(("vehicles/", "kits/")):
            mine = [each for each in content.entities if isinstance(each, Connection)]
            alike = list(_look_alikes(mine))
            assert [each.id for each in alike if not _is_seen(each, shown)] == [], name
            checked += len(alike)
    assert checked >= 45


def test_a_missing_view_would_be_told() -> None:
    plugs = [each for each in demo().scope("vehicles/tarrow-finch.md").all(Connection)
             if each.kind == "plug"]  # fmt: skip
    assert len(list(_look_alikes(plugs))) == len(plugs) > 8
    assert not any(_is_seen(each, set()) for each in plugs)
    assert list(_look_alikes(plugs[:1])) == (plugs[:1] if plugs[0].count > 1 else [])
