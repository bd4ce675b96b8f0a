"""Steps, their options and actions; signal words, derived blocks, double entry."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from procedures_lib.language.entities.verbs import VERBS
from tests.helpers import content_from, only_slip, slips_of, summary

if TYPE_CHECKING:
    from procedures_lib.language.entities.work import Action, Content, Step

HEAD = "```{common} c\n```\n\n"  # the first step begins on line 4


def only_step(text: str) -> Step:
    content = content_from(HEAD + text)
    assert (*content.page.findings, *content.findings) == ()
    (step,) = content.steps_of("c")
    return step


def action(text: str) -> Action:
    (made,) = only_step(f":::{{step}} S\n---\ndo:\n  - {text}\n---\n:::\n").actions
    return made


def read_findings(content: Content) -> list[tuple[int, str]]:
    return summary([*content.page.findings, *content.findings])


def test_every_option_of_a_step() -> None:
    step = only_step("""\
:::{step} Take the front bumper cover off
---
do:
  - raise vehicle
  - remove undertray-screws, undertray
tools: [trim lever]
supplies: [masking tape]
people: 2
time: 15 min
id: bumper-off
when: transmission=manual
hazards: [brake-dust]
---
Tape the wing edges first.
:::
""")
    assert (step.title, step.id, step.people) == (
        "Take the front bumper cover off",
        "bumper-off",
        2,
    )
    assert (step.tools, step.supplies, step.hazards) == (
        ("trim lever",),
        ("masking tape",),
        ("brake-dust",),
    )
    assert step.time is not None
    assert (step.time.si, str(step.when)) == (900, "transmission=manual")
    assert [str(each) for each in step.actions] == [
        "raise vehicle",
        "remove undertray-screws, undertray",
    ]
    assert [each.place.line for each in step.actions] == [7, 8]
    assert (step.place.line, step.block.body) == (4, "Tape the wing edges first.")


def test_a_step_with_colon_options() -> None:
    step = only_step(
        ":::{step} S\n:do: tighten cooler-220-bolts\n:time: 5 min\nBring them up.\n:::\n"
    )
    assert [str(each) for each in step.actions] == ["tighten cooler-220-bolts"]
    assert step.actions[0].place.line == 5


def test_a_step_without_do_changes_nothing() -> None:
    step = only_step(":::{step} Compare\nLook.\n:::\n")
    assert (step.actions, step.people, step.time, step.id) == ((), 1, None, "")


# The verbs of the page language, section 4.
TABLE = [
    "disconnect",
    "connect",
    "lift",
    "position",
    "seat",
    "remove",
    "fit",
    "discard",
    "return",
    "modify",
    "loosen",
    "start",
    "tighten",
    "cover",
    "uncover",
    "isolate",
    "relieve",
    "cool",
    "restore",
    "drain",
    "fill",
    "bleed",
    "top-up",
    "support",
    "release",
    "adjust",
    "raise",
    "lower",
    "program",
    "tag",
    "inspect",
    "clean",
    "measure",
    "apply",
    "test",
]


@pytest.mark.parametrize("verb", TABLE)
def test_every_verb_is_read(verb: str) -> None:
    made = action(f"{verb} some-thing{' to 10–12 mm' if verb == 'adjust' else ''}")
    assert (made.verb, made.objects) == (verb, ("some-thing",))


@pytest.mark.parametrize(
    ("said", "to"),
    [
        ("adjust drive-belt to 10–12 mm", "10–12 mm"),
        ("adjust drive-belt to 3/8 in", "3/8 in"),
        ("adjust hand-brake to 5–7 clicks", "5–7 clicks"),
        ("adjust free-play to 1/2 turn", "1/2 turn"),
    ],
)
def test_a_setting_says_to_what(said: str, to: str) -> None:
    made = action(said)
    assert (made.verb, made.to, str(made)) == ("adjust", to, said)


def test_there_is_no_other_verb() -> None:
    assert set(VERBS) == set(TABLE)


def test_objects_share_the_verb() -> None:
    made = action("remove bumper-bolts,bumper-clips , bumper")
    assert made.objects == ("bumper-bolts", "bumper-clips", "bumper")
    assert [each.line for each in made.objects] == [7, 7, 7]


def test_a_new_parent_and_a_single_stage() -> None:
    moved, stage = action("fit map-sensor on cooler-220"), action("tighten head-bolts stage 2")
    assert (moved.objects, moved.on, str(moved)) == (
        ("map-sensor",),
        "cooler-220",
        "fit map-sensor on cooler-220",
    )
    assert (stage.objects, stage.stage, str(stage)) == (
        ("head-bolts",),
        2,
        "tighten head-bolts stage 2",
    )
    assert action("test leaks fuel").objects == ("leaks fuel",)
    assert action("inspect wear on pads").objects == ("wear on pads",)


@pytest.mark.parametrize(
    ("line", "check", "hint"),
    [
        ("remvoe bumper", "unknown-verb", "did you mean `remove`?"),
        ("Remove bumper", "unknown-verb", "did you mean `remove`?"),
        ("bumper-clips", "unknown-verb", "a comma inside `[ ]` begins a new one"),
        ("remove", "missing-field", "write `remove` and an id"),
        ("remove ,", "missing-field", "write `remove` and an id"),
        ("tighten bolts stage two", "out-of-range", "stages count from 1"),
        ("tighten bolts stage 0", "out-of-range", "stages count from 1"),
        ("adjust drive-belt to 10", "no-unit", "10"),
    ],
)
def test_a_bad_action(line: str, check: str, hint: str) -> None:
    content = content_from(
        HEAD + f":::{{step}} S\n---\ndo:\n  - lower vehicle\n  - {line}\n---\n:::\n"
    )
    (found,) = content.findings
    assert (found.check, found.place.line) == (check, 8)
    assert hint in found.hint
    (step,) = content.steps_of("c")
    assert str(step.actions[0]) == "lower vehicle"
    assert step.unread == (() if len(step.actions) == 2 else (line,))


def test_common_steps() -> None:
    step = only_step(":::{common-steps} isolate-battery\n:when: transmission=manual\n:::\n")
    assert (step.common, str(step.when)) == ("isolate-battery", "transmission=manual")


def test_signal_words_in_a_step_and_on_the_page() -> None:
    text = HEAD + (
        ":::{danger} Live\n:::\n\n"
        "::::{step} S\n:::{warning} Hot pipe\n:hazard: exhaust-heat\nHot.\n:::\n::::\n"
        ":::{caution}\n:::\n:::{notice} Paint\n:::\n"
    )
    content = content_from(text)
    assert [(s.word, s.title, s.place.line) for s in content.signals] == [
        ("DANGER", "Live", 4),
        ("CAUTION", "", 13),
        ("NOTICE", "Paint", 15),
    ]
    (step,) = content.steps_of("c")
    assert [(s.word, s.title, s.hazard) for s in step.signals] == [
        ("WARNING", "Hot pipe", "exhaust-heat")
    ]
    assert slips_of(text) == []


def test_a_step_nested_in_a_container_is_a_step() -> None:
    text = HEAD + "::::{note}\n:::{step} Inside\n:do: lower vehicle\n:::\n::::\n"
    (step,) = content_from(text).steps_of("c")
    assert (step.title, step.place.line) == ("Inside", 5)


def test_a_data_block_inside_a_step_is_found_and_read_all_the_same() -> None:
    text = HEAD + ":::{step} S\n:do: inspect a\n```{parts}\na: {name: A}\n```\n:::\n"
    content = content_from(text)
    assert read_findings(content) == [(6, "unreadable-block")]
    assert [entity.id for entity in content.entities] == ["c", "a"]


def test_derived_blocks_on_the_page_and_in_a_step() -> None:
    text = HEAD + (
        "```{torque-table}\n:when: transmission=manual\n```\n\n"
        "::::{step} S\n:id: here\n```{open-items}\n:after: here\n```\n::::\n"
    )
    content = content_from(text)
    assert [(d.block.name, str(d.options.when), d.options.after) for d in content.derived] == [
        ("torque-table", "transmission=manual", None),
        ("open-items", "", "here"),
    ]


@pytest.mark.parametrize(
    "name",
    [
        "preparation",
        "torque-table",
        "parts-list",
        "tool-list",
        "open-items",
        "close-up",
        "handover",
        "find-procedure",
    ],
)
def test_derived_blocks_need_no_argument(name: str) -> None:
    assert read_findings(content_from(f"{HEAD}```{{{name}}}\n```\n")) == []


@pytest.mark.parametrize("name", ["order-drawing", "gain-report"])
def test_derived_blocks_that_need_an_id(name: str) -> None:
    assert read_findings(content_from(f"{HEAD}```{{{name}}}\n```\n")) == [(4, "missing-field")]
    assert read_findings(content_from(f"{HEAD}```{{{name}}} some-id\n```\n")) == []


def test_steps_belong_to_the_head_above_them() -> None:
    one = "```{common} one\n```\n:::{step} A\n:::\n:::{step} B\n:::\n"
    text = one + "```{common} two\n```\n:::{step} C\n:::\n"
    content = content_from(text)
    assert [s.title for s in content.steps_of("one")] == ["A", "B"]
    assert [s.title for s in content.steps_of("two")] == ["C"]


def test_steps_above_the_first_head_belong_to_it() -> None:
    content = content_from(":::{step} A\n:::\n```{common} one\n```\n:::{step} B\n:::\n")
    assert [s.title for s in content.steps_of("one")] == ["A", "B"]


def test_a_step_without_head_is_one_finding() -> None:
    found = only_slip("# T\n\n:::{step} A\n:::\n\n:::{step} B\n:::\n")
    assert (found.check, found.place.line) == ("step-without-head", 3)
    assert found.hint == "put a `{procedure}` or `{common}` block above the first step"


def test_double_entry_rows() -> None:
    text = """
        ```{expect} Kit maker's sheet TF-220, revision C, page 7
        cooler-220-bolts: 89 lbf·in
        clamp-hot:
          - 62 lbf·in
          - then +45°
        bracket-bolts: 18 lbf·ft, +45°, order lower left, upper right, lower right, upper left
        castle-nut: 50 N·m, next slot, at most 60 N·m
        coolant: 5.5 US qt
        ```
        """
    (expect,) = content_from(text).expects
    assert expect.source == "Kit maker's sheet TF-220, revision C, page 7"
    rows = {str(row.id): row for row in expect.rows}
    assert [row.place.line for row in expect.rows] == [2, 4, 6, 7, 8]
    assert [stage.written() for stage in rows["clamp-hot"].how_tight.stages] == [
        "62\u00a0lbf·in",
        "+45°",
    ]
    assert rows["bracket-bolts"].order == ("lower left", "upper right", "lower right", "upper left")
    assert (
        len(rows["bracket-bolts"].how_tight.stages) == len(rows["castle-nut"].how_tight.stages) == 2
    )
    (amount,) = rows["coolant"].printed
    assert (amount.name, amount.value.unit) == ("quantity", "US qt")


@pytest.mark.parametrize(
    ("row", "check"),
    [
        ("x: 89", "no-unit"),
        ("x: 35 lb", "ambiguous-unit"),
        ("x: 12–10 N·m", "bad-tolerance"),
        ("x:", "wrong-shape"),
        ("x: {a: b}", "unknown-field"),
        ("x: soon", "unknown-stage"),
    ],
)
def test_a_bad_row_does_not_lose_the_others(row: str, check: str) -> None:
    content = content_from(f"```{{expect}} Sheet\n{row}\ny: 10 N·m\n```\n")
    assert read_findings(content) == [(2, check)]
    assert [str(row.id) for row in content.expects[0].rows] == ["y"]


def test_an_expect_block_without_rows_or_source() -> None:
    assert read_findings(content_from("```{expect}\n```\n")) == [
        (1, "missing-field"),
        (1, "missing-field"),
    ]
