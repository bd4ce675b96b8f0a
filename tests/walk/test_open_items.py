"""What is open after each step, and the way back from there."""

from __future__ import annotations

from itertools import product
from typing import TYPE_CHECKING

import pytest

from procedures_lib.language.variants import read_condition
from procedures_lib.walk import walk
from procedures_lib.walk.open_items import OpenAfter, open_items
from procedures_lib.walk.states import OFF, Key, Kind
from procedures_lib.walk.way_back import BackOut, back_out, make, one_car
from tests.demo import demo, hands_on
from tests.walk.pages import (
    BUMPER_OFF,
    BUMPER_ON,
    COOLER_OFF,
    COOLER_ON,
    FRONT,
    HEAD,
    HOSE_OFF,
    HOSE_ON,
    walked,
)

if TYPE_CHECKING:
    from procedures_lib.manual import Plan
    from procedures_lib.walk import Walk

STEPS = (BUMPER_OFF, HOSE_OFF, COOLER_OFF, COOLER_ON, HOSE_ON, BUMPER_ON)


def listed(walk_: Walk, step: int, when: str = "") -> list[tuple[str, str, int]]:
    items = walk_.open_items(step, read_condition(when)) if when else walk_.open_items(step)
    return [(item.thing, item.how, item.step) for item in items]


def test_nothing_is_open_before_and_after() -> None:
    done = walked(FRONT, *STEPS)
    assert listed(done, 0) == []
    assert listed(done, 6) == []


def test_what_is_open_after_a_step() -> None:
    done = walked(FRONT, *STEPS)
    assert listed(done, 2) == [
        ("bumper", "off", 1),
        ("fog-plug", "disconnected", 1),
        ("undertray", "off", 1),
        ("hot-clamp", "not tight", 2),
        ("hot-hose", "disconnected", 2),
        ("turbo-mouth", "covered", 2),
    ]
    assert ("cooler", "off", 3) in listed(done, 3)
    assert [item[0] for item in listed(done, 5)] == ["bumper", "fog-plug", "undertray"]


def test_open_items_of_some_cars() -> None:
    done = walked(FRONT, BUMPER_OFF, "remove tow-cover", "fit tow-cover", BUMPER_ON)
    (tow,) = (item for item in done.open_items(2) if item.thing == "tow-cover")
    assert tow.variants == "tow-eye=fitted"
    assert "tow-cover" in {item[0] for item in listed(done, 2, "tow-eye=fitted")}
    assert "tow-cover" not in {item[0] for item in listed(done, 2, "tow-eye=absent")}


@pytest.mark.parametrize(
    ("steps", "item"),
    [
        (("isolate battery",), ("battery", "isolated", 1)),
        (("raise vehicle\n:tools: [stands]",), ("vehicle", "raised", 1)),
        (("loosen hot-clamp",), ("hot-clamp", "not tight", 1)),
        (("loosen hot-clamp", "disconnect hot-hose"), ("turbo-mouth", "open, without a cover", 2)),
        (("remove bumper-clips", "lift undertray"), ("undertray", "lifted", 2)),
    ],
)
def test_how_things_stand(steps: tuple[str, ...], item: tuple[str, str, int]) -> None:
    assert item in listed(walked(FRONT, *steps), len(steps))


def test_the_state_of_one_car() -> None:
    done = walked(FRONT, BUMPER_OFF, "remove tow-cover")
    cover = Key(Kind.PART, "tow-cover")
    assert done.state_after(1, {})[Key(Kind.PART, "bumper")] is OFF
    assert done.state_after(2, {"tow-eye": "fitted"})[cover] is OFF
    assert cover not in done.state_after(2, {"tow-eye": "absent"})


def test_the_way_back_is_the_way_out_reversed() -> None:
    back = back_out(walked(FRONT, *STEPS), 3, {})
    moves = [str(move) for move in back.moves]
    assert moves.index("fit cooler") < moves.index("fit bumper") < moves.index("fit undertray")
    assert moves.index("uncover turbo-mouth") + 1 == moves.index("connect hot-hose")
    assert moves.index("connect hot-hose") < moves.index("tighten hot-clamp")
    assert moves.index("fit bumper") < moves.index("tighten bumper-bolts")
    assert len(moves) == len(set(moves)) == 12


def test_nothing_to_do_from_the_start_or_the_end() -> None:
    for step in (0, 6):
        assert back_out(walked(FRONT, *STEPS), step, {}) == BackOut()


def test_the_battery_comes_last() -> None:
    steps = "isolate battery", BUMPER_OFF, BUMPER_ON, "restore battery"
    moves = [str(move) for move in back_out(walked(FRONT, *steps), 2, {}).moves]
    assert moves[-1] == "restore battery"


def test_no_way_back_from_what_is_gone_or_cut() -> None:
    gone = back_out(walked(FRONT, BUMPER_OFF, "discard bumper", "inspect body"), 2, {})
    assert "Bumper" in gone.why
    assert gone.steps == (3,)
    assert gone.moves == ()
    cut = back_out(walked(FRONT, "modify bumper\n{notice} Cut", "inspect body"), 1, {})
    assert "modified" in cut.why


def test_one_way_things_are_marked_as_new() -> None:
    blocks = """
    ```{parts}
    sump: {name: Sump}
    seal: {name: Seal, kind: seal}
    ```
    """
    moves = back_out(walked(blocks, "remove seal", "discard seal"), 2, {}).moves
    assert [(str(move), move.new) for move in moves] == [("fit seal", True)]


# -- every step of every demo procedure, in every variant ----------------------------------------

MANUAL = demo()
PLANS = {plan.head.id: plan for plan in MANUAL.plans()}


def cars_of(plan: Plan) -> list[dict[str, str]]:
    """Every combination of the options that the procedure's steps depend on."""
    named = {option for numbered in plan.steps for option in numbered.when.options}
    options = [pair for pair in (plan.vehicle.options if plan.vehicle else ()) if pair[0] in named]
    return [
        dict(zip([option for option, _ in options], values, strict=True))
        for values in product(*(values for _, values in options))
    ]


@pytest.mark.parametrize("name", sorted(PLANS))
def test_the_way_back_leaves_nothing_open(name: str) -> None:
    done = walk(PLANS[name], MANUAL)
    for car in cars_of(PLANS[name])[:4]:
        for step in range(len(PLANS[name].steps) + 1):
            back = back_out(done, step, car)
            assert back.left == () or hands_on(PLANS[name]), (car, step)
            assert "can be reached" not in back.why, (car, step)
            _walks_clean(done, step, car, back)


def _walks_clean(done: Walk, step: int, car: dict[str, str], back: BackOut) -> None:
    """Walk the way back once more, from a fresh replay, and look that nothing is open after it."""
    if not back.moves:
        return
    run = done.after(step)
    cars = one_car(run, car)
    for move in back.moves:
        make(run, move, cars)
    assert [finding.text() for finding in run.findings] == []
    assert open_items(run, cars) == []


@pytest.mark.parametrize("name", sorted(PLANS))
def test_a_demo_procedure_opens_things_and_closes_them(name: str) -> None:
    done = walk(PLANS[name], MANUAL)
    assert done.findings == ()
    last = len(PLANS[name].steps)
    assert bool(done.open_items(last)) == hands_on(PLANS[name])
    assert any(done.open_items(step) for step in range(last))


@pytest.mark.parametrize("name", sorted(PLANS))
def test_asked_for_in_their_order_the_steps_leave_the_same_open(name: str) -> None:
    done = walk(PLANS[name], MANUAL)
    after = OpenAfter(done.run, done.begun)
    steps = [*range(len(done.plan.steps) + 1), 3, 9, 2]
    for step in steps:
        assert after.items(step, done.run.all) == done.open_items(step)


A_NEW_MODULE = """
```{parts}
module: {name: Pump module}
```
```{connections}
feed: {name: Feed line, kind: line, between: [module, body], replaces: old-feed}
old-feed: {name: Old feed line, kind: line, between: [body, engine]}
spray: {name: Spray line, kind: line, between: [module, body]}
```
```{openings}
feed-end: {name: Feed end, exposed-by: spray}
```
"""


def test_a_cover_is_an_open_item_before_anything_that_closes_it_was_touched() -> None:
    kit = "```{kit} kit\nname: Kit\nfits: {vehicle: car}\ncontents:\n  - {connection: spray}\n```\n"
    steps = ("cover feed-end", "inspect module", "uncover feed-end\nconnect spray")
    done = walked(A_NEW_MODULE, *steps, kit=kit, head=HEAD.replace("car\n", "car\nkit: kit\n"))
    after = OpenAfter(done.run, done.begun)
    for step, open_ in ((0, []), (1, ["feed-end"]), (2, ["feed-end"]), (3, [])):
        assert [item.thing for item in done.open_items(step)] == open_
        assert after.items(step, done.run.all) == done.open_items(step)
