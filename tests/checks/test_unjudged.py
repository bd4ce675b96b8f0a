"""What can't be judged: each kind found where it stands, and nothing that can be judged."""

from __future__ import annotations

from concurrent.futures import Executor, Future
from textwrap import dedent
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import HealthCheck, given, settings

from procedures_lib.judging.checks.executors import check_through
from procedures_lib.judging.unjudged import KINDS, count_text, counts_by_kind, unjudged_in
from procedures_lib.manual import Manual
from procedures_lib.manual.shop import Shop
from tests.demo import PROJECT
from tests.fuzz.manuals import Spoilt, spoilt
from tests.fuzz.properties import unjudged
from tests.helpers import findings_of, manual_from

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from procedures_lib.findings import Unjudged

CAR = """
    ```{vehicle} mule
    name: Mule
    options: {axle: [long, short]}
    ```
    """


def listed(*blocks: str, kind: str = "") -> list[Unjudged]:
    """Return what can't be judged of a car's page with these blocks, or that of one kind."""
    page = "\n".join(dedent(block) for block in (CAR, *blocks))
    found = unjudged_in(manual_from({"page.md": page}))
    return [each for each in found if kind in ("", each.kind)]


def plain(text: str) -> str:
    """Return a text with common spaces: between a number and its unit no line may break."""
    return text.replace("\u00a0", " ")


def fastener(fields: str) -> str:
    return f"```{{fasteners}}\nhub-bolts: {{{fields}}}\n```\n"


# -- joints ----------------------------------------------------------------------------------------

WHOLE = 'kind: bolt, count: 4, thread: M8x1.25, class: "8.8", condition: dry, source: Sheet'


@pytest.mark.parametrize(
    ("fields", "why"),
    [
        ("kind: bolt, tighten: 25 N·m", "25 N·m, and no thread is given"),
        ("kind: bolt, thread: M8x1.25, tighten: 25 N·m", "25 N·m, and no class is given"),
        ("kind: nut, thread: M8x1.25, class: unknown, tighten: 25 N·m",
         "25 N·m, and its class is unknown"),
        ("kind: bolt, thread: M8x1.25, class: titanium, tighten: [snug, 25 N·m]",
         "25 N·m, and no standard here has the class `titanium`"),
        ("kind: clamp, tighten: 5 N·m", "5 N·m, and no standard here says what a clamp bears"),
        ("kind: plug, thread: M14x1.5, tighten: 30 N·m",
         "30 N·m, and no standard here says what a plug bears"),
        ('kind: nut, thread: M20x1.5, class: "8", tighten: drag 2.0–2.6 N·m',
         "drag 2.0–2.6 N·m, and thread and class say nothing about a drag"),
        (f'{WHOLE}, tighten: {{see: "axle sheet, page 4"}}',
         "its source gives the torque elsewhere (axle sheet, page 4)"),
        ('kind: clamp, tighten: {until: "1 to 1 1/2 teeth show"}',
         "words say how tight it is: until 1 to 1 1/2 teeth show"),
        ("kind: bolt, thread: M8x1.25", "nothing says how tight, and no step tightens it"),
    ],
)  # fmt: skip
def test_a_joint_that_is_held_against_nothing(fields: str, why: str) -> None:
    (found,) = listed(fastener(fields), kind="joint")
    assert (found.what, plain(found.why), found.place.line) == ("`hub-bolts`", why, 7)


@pytest.mark.parametrize(
    "fields",
    [
        f"{WHOLE}, tighten: [hand, 25 N·m]",
        f"{WHOLE}, tighten: [20 N·m, +45°]",
        "kind: bolt, tighten: hand",  # nothing to hold against anything
        "kind: clamp",
        "kind: clip, count: 8",
        "kind: cotter-pin",
        'kind: bolt, thread: M8x1.25, class: "99.9", tighten: 25 N·m',  # a finding
    ],
)
def test_a_joint_that_is_judged_or_has_nothing_to_judge(fields: str) -> None:
    assert listed(fastener(fields), kind="joint") == []


def test_a_joint_is_told_for_the_cars_that_it_can_not_be_judged_on() -> None:
    fields = f'{WHOLE}, tighten: {{"axle=long": 25 N·m, "axle=short": {{see: "sheet 9"}}}}'
    (found,) = listed(fastener(fields), kind="joint")
    assert found.what == "`hub-bolts` on cars with `axle=short`"


HUB = "```{parts}\nhub: {name: Hub, held-by: hub-bolts}\n```\n"
HEAD = "```{procedure} off\nvehicle: mule\nrevision: A\n```\n"


def step(*actions: str) -> str:
    return (
        ":::{step} Work\n---\ndo:\n" + "".join(f"  - {a}\n" for a in actions) + "---\nWords.\n:::\n"
    )


def test_a_joint_without_torque_that_a_step_tightens_is_a_finding_instead() -> None:
    blocks = (HUB, fastener("kind: bolt, thread: M8x1.25"), HEAD, step("tighten hub-bolts"))
    assert listed(*blocks, kind="joint") == []
    page = "\n".join(dedent(block) for block in (CAR, *blocks))
    assert [found.check for found in findings_of(page, "no-torque")] == ["no-torque"]


def test_a_joint_that_leaves_for_good_needs_no_torque() -> None:
    steps = step("remove hub-bolts", "discard hub-bolts")
    assert listed(HUB, fastener("kind: bolt"), HEAD, steps, kind="joint") == []


# -- numbers ---------------------------------------------------------------------------------------


def expect(row: str) -> str:
    return f"```{{expect}} Sheet 4, page 2\n{row}\n```\n"


FLUIDS = "```{fluids}\ncoolant: {name: Coolant, kind: coolant, quantity: 5.2 L}\n```\n"
STAGES = f"{WHOLE}, tighten: [20 N·m, +45°]"
HARDWARE = "count 4, thread M8, class 8.8, condition dry"
HARDWARE_BY_KEY = 'count: 4, thread: M8, class: "8.8", condition: dry'


def test_a_number_typed_once() -> None:
    found = listed(fastener(STAGES), FLUIDS, kind="number")
    assert [(each.what, plain(each.why)) for each in found] == [
        ("`hub-bolts`", "20 N·m, +45° stands in no `expect` row"),
        ("`hub-bolts`", "class 8.8 stands in no `expect` row"),
        ("`hub-bolts`", "condition dry stands in no `expect` row"),
        ("`hub-bolts`", "count 4 stands in no `expect` row"),
        ("`hub-bolts`", "thread M8x1.25 stands in no `expect` row"),
        ("`coolant`", "5.2 L stands in no `expect` row"),
    ]


def test_a_row_is_a_witness_where_it_prints_the_number() -> None:
    rows = expect(f"hub-bolts: {HARDWARE}, 20 N·m, +45°\ncoolant: 5.2 L")
    assert listed(fastener(STAGES), FLUIDS, rows, kind="number") == []
    assert len(listed(fastener(STAGES), expect(f"hub-bolts: {HARDWARE}"), kind="number")) == 1


def test_a_row_on_another_page_is_a_witness_too() -> None:
    car = dedent(CAR) + fastener(STAGES)
    pages = {"car.md": car, "work.md": HEAD + expect(f"hub-bolts: {HARDWARE}, 20 N·m, +45°")}
    assert counts_by_kind(unjudged_in(manual_from(pages)))["number"] == 0
    assert counts_by_kind(unjudged_in(manual_from({"car.md": car})))["number"] == 5


def test_a_row_by_condition_is_a_witness_on_its_cars() -> None:
    joint = fastener(f'{WHOLE}, tighten: {{"axle=long": 25 N·m, "axle=short": 22 N·m}}')
    rows = expect(f'hub-bolts: {{"axle=long": 25 N·m, {HARDWARE_BY_KEY}}}')
    (found,) = listed(joint, rows, kind="number")
    assert found.what == "`hub-bolts` on cars with `axle=short`"
    assert listed(joint, expect(f"hub-bolts: {HARDWARE}, 25 N·m"), kind="number") == []


@pytest.mark.parametrize("tighten", ["hand", "[snug, back off fully]", '{see: "sheet 4"}'])
def test_no_number_no_witness(tighten: str) -> None:
    blocks = fastener(f"{WHOLE}, tighten: {tighten}"), expect(f"hub-bolts: {HARDWARE}")
    assert listed(*blocks, kind="number") == []


# -- orders and fluids -----------------------------------------------------------------------------

ORDER = "tighten: 25 N·m, order: [a, b, c, d]"


@pytest.mark.parametrize(
    ("fields", "why"),
    [
        (ORDER, "no positions say how the group lies"),
        ("tighten: 25 N·m, order: cross", "no positions say how the group lies"),
        (f"{ORDER}, positions: {{a: [0, 0], b: [100, 0], c: [60, 60], d: [10, 200]}}",
         "its positions make no ring and no row, and no other pattern is judged"),
    ],
)  # fmt: skip
def test_an_order_that_is_held_against_nothing(fields: str, why: str) -> None:
    (found,) = listed(fastener(f"{WHOLE}, {fields}"), kind="order")
    assert (found.what, found.why) == ("the order of `hub-bolts`", why)


def test_an_order_that_is_judged_or_makes_no_pattern() -> None:
    ring = "positions: {a: [0, 0], b: [100, 100], c: [100, 0], d: [0, 100]}"
    assert listed(fastener(f"{WHOLE}, {ORDER}, {ring}"), kind="order") == []
    three = WHOLE.replace("count: 4", "count: 3")
    assert listed(fastener(f"{three}, tighten: 25 N·m, order: [a, b, c]"), kind="order") == []


OILS = "```{fluids}\nengine-oil: {kind: oil}\ngear-oil: {kind: oil}\n```\n"
LINES = "```{connections}\noil-line: {kind: line, between: [engine, cooler], carries: oil}\n```\n"


def test_several_fluids_of_one_kind_when_lines_carry_it() -> None:
    (found,) = listed(OILS, LINES, kind="fluid")
    assert found.what == "`engine-oil`, `gear-oil`"
    assert "all are oil" in found.why
    assert listed(OILS, kind="fluid") == []


# -- the work --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("action", "free"),
    [
        ("inspect bearing cups", True),
        ("measure backlash", True),
        ("clean gasket faces", True),
        ("test airbag lamp", True),
        ("apply tape", True),
        ("inspect hub", False),
        ("clean hub, hub-bolts", False),
        ("inspect kit", False),
        ("test leaks fuel", False),
        ("test brakes", False),
        ("test road", False),
        ("test engine at idle", False),
        ("inspect axle stands", False),
        ("remove hub-bolts", False),
    ],
)
def test_work_in_free_words(action: str, free: bool) -> None:
    joint = fastener(f"{WHOLE}, tighten: 25 N·m")
    found = listed(HUB, joint, HEAD, step(action), kind="work")
    assert [each.what for each in found] == ([f"`{action}`"] if free else [])


def test_what_is_applied_is_a_supply_of_the_step() -> None:
    given_ = step("apply grease", "clean brush").replace(
        "---\nWords", "supplies: [Grease sachet]\ntools: [brush]\n---\nWords"
    )
    assert listed(HEAD, given_, kind="work") == []


@pytest.mark.parametrize(
    ("text", "free"),
    [
        ("The hub is hot. Unbolt it and lift it off.", True),
        ("- Remove the hub.", True),
        ("Read the sheet, and compare the numbers. Look at the hub.", False),
        ("What you removed lies on the bench.", False),
    ],
)
def test_a_step_that_does_not_say_what_it_does(text: str, free: bool) -> None:
    found = listed(HEAD, f":::{{step}} Words\n{text}\n:::\n", kind="work")
    assert [each.what for each in found] == (["the step “Words”"] if free else [])


HOSES = "```{connections}\nhose: {kind: hose, between: [turbo, cooler], carries: charge-air}\n```\n"
OPEN_AND_SHUT = ("disconnect hose", "connect hose")


@pytest.mark.parametrize(
    ("tests", "number"),
    [
        ((), 1),
        (("test leaks charge-air",), 0),
        (("inspect boost hoses for leaks",), 0),
        (("test leaks",), 0),
        (("test leaks exhaust",), 1),
    ],
)
def test_a_circuit_that_nothing_asks_a_test_of(tests: tuple[str, ...], number: int) -> None:
    found = listed(HOSES, HEAD, step(*OPEN_AND_SHUT, *tests), kind="circuit")
    assert [each.what for each in found] == ["`off` opens charge-air"] * number


def test_a_circuit_that_is_tested_or_stays_shut() -> None:
    fuel = HOSES.replace("charge-air", "fuel")
    assert listed(fuel, HEAD, step(*OPEN_AND_SHUT), kind="circuit") == []
    assert listed(HOSES, HEAD, step("inspect hose"), kind="circuit") == []


def test_states_that_no_block_describes() -> None:
    head = HEAD.replace(
        "revision", "begins-with: [as it arrives, hub-off, bed-on-blocks]\nrevision"
    )
    joint = fastener(f"{WHOLE}, tighten: 25 N·m")
    (found,) = listed(HUB, joint, head, kind="state")
    assert (found.what, found.place.line) == ("`bed-on-blocks` in `begins-with`", 16)


# -- what is not carried out -----------------------------------------------------------------------

PAGES: dict[str, str | bytes] = {
    "car.md": dedent(CAR) + HUB + fastener(f"{WHOLE}, tighten: 25 N·m"),
    "kit.md": "```{kit} k\nname: K\nfits: {vehicle: mule}\ncontents: [{supply: Rag}]\n```\n",
    "work.md": HEAD.replace("revision", "kit: k\nrevision")
    + step("remove hub-bolts", "remove hub"),
    "job.md": "```{job} visit\nvehicle: mule\nprocedures: [off]\n```\n",
}


def not_walked(page: str, text: str | bytes) -> list[tuple[str, str, str]]:
    found = unjudged_in(manual_from({**PAGES, page: text}))
    kinds = {"procedure", "job"}
    return [(e.kind, e.why, str(e.related[0])) for e in found if e.kind in kinds]


def test_all_is_walked_where_all_was_read() -> None:
    assert not {e.kind for e in unjudged_in(manual_from(PAGES))} & {"procedure", "job"}


def changed(page: str, old: str, new: str) -> tuple[str, str]:
    text = PAGES[page]
    assert isinstance(text, str)
    assert old in text
    return page, text.replace(old, new)


@pytest.mark.parametrize(
    ("page", "text", "why", "cause"),
    [
        ("kit.md", b"\xff\xfe\x00", "the kit `k` can't be found or read", "work.md:3"),
        (*changed("kit.md", "fits: {vehicle: mule}\n", ""),
         "the kit `k` can't be found or read", "kit.md:1"),
        (*changed("car.md", "name: Hub", "nam: Hub"), "`hub` can't be read whole", "car.md:6"),
        (*changed("work.md", "remove hub\n", "remov hub\n"),
         "`remov hub` in its steps can't be read", "work.md:10"),
        (*changed("work.md", "remove hub\n", "remove hubcap\n"),
         "`remove hubcap` means nothing here", "work.md:10"),
        (*changed("work.md", "remove hub\n", "disconnect hub\n"),
         "`disconnect hub` means nothing here", "work.md:10"),
        (*changed("work.md", "vehicle: mule", "vehicle: mul"),
         "its car `mul` can't be found or read", "work.md:2"),
    ],
    ids=lambda value: str(value)[:24],
)  # fmt: skip
def test_a_procedure_that_is_not_walked(page: str, text: str, why: str, cause: str) -> None:
    found = not_walked(page, text)
    assert ("procedure", f"not walked: {why}", cause) in found
    assert ("job", f"not worked out: `off` is not walked: {why}", cause) in found


def test_what_went_before_may_be_out_of_sight() -> None:
    """A procedure that begins with another one, whose kit its own page can't see."""
    kit = "```{kit} k2\nname: K\nfits: {vehicle: mule}\ncontents: [{part: brace}]\n```\n"
    first = HEAD.replace("off", "first").replace("revision", "kit: k2\nrevision")
    second = HEAD.replace("revision", "begins-with: first\nrevision") + step("remove hub-bolts")
    pages = {"car.md": PAGES["car.md"], "k2.md": kit, "a.md": first + step("fit brace")}
    found = unjudged_in(manual_from({**pages, "b.md": second}))
    told = [(e.what, e.why, str(e.related[0])) for e in found if e.kind == "procedure"]
    assert told == [("`off`", "not walked: `fit brace` means nothing here", "a.md:9")]
    assert findings_of({**pages, "b.md": second}, "left-loose") == []


def test_a_job_without_one_of_its_procedures() -> None:
    page, text = changed("job.md", "[off]", "[off, on]")
    assert not_walked(page, text) == [
        ("job", "not worked out: `on` can't be found or read", "job.md:3")
    ]


# -- counted, and told alike -----------------------------------------------------------------------


def test_the_count_says_how_many_of_each_kind() -> None:
    joints = (
        "```{fasteners}\na: {kind: bolt, tighten: 25 N·m}\nb: {kind: bolt, tighten: 8 N·m}\n```\n"
    )
    found = listed(joints, HEAD, step("measure backlash"))
    assert count_text(found) == (
        "not judged: 2 joints, 2 numbers typed once, 1 piece of work in free words"
    )
    assert counts_by_kind(found) == {**dict.fromkeys(KINDS, 0), "joint": 2, "number": 2, "work": 1}
    assert count_text([]) == ""


def test_some_pages_alone() -> None:
    manual = manual_from({**PAGES, "car.md": dedent(CAR) + fastener("kind: bolt, tighten: 9 N·m")})
    assert {each.place.page for each in unjudged_in(manual, ["car.md", "no.md"])} == {"car.md"}


class InTurn(Executor):
    """Does everything at once, in the process that asks."""

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        """Do it now."""
        future: Future[Any] = Future()
        future.set_result(fn(*args, **kwargs))
        return future


def test_outlines_tell_the_same_as_pages(tmp_path: Path) -> None:
    broken = {**PAGES, "kit.md": changed("kit.md", "name: K", "nam: K")[1], "more.md":
              dedent(CAR).replace("mule", "ox") + ":::{step} Off\nUnbolt it.\n:::\n"}  # fmt: skip
    for name, text in broken.items():
        assert isinstance(text, str)
        tmp_path.joinpath(name).write_text(text, encoding="utf-8")
    for root in (tmp_path, PROJECT / "docs"):
        told: list[Unjudged] = []
        check_through(InTurn(), root, Shop(), outlined=lambda m: told.extend(unjudged_in(m)))  # noqa: B023
        assert told
        assert told == unjudged_in(Manual.read(root))


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(spoilt())
def test_whatever_is_typed_it_is_told_and_the_walk_agrees(typed: Spoilt) -> None:
    unjudged(typed)
