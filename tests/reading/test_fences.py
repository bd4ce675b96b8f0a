"""Fences left open: each is found on its own line, and what follows is read all the same."""

from __future__ import annotations

from procedures_lib.findings import Finding
from tests.helpers import content_from, page_from, slips_of, summary

HEAD = "```{common} raise-car\n```\n\n"  # lines 1 to 3


def read_findings(text: str) -> list[Finding]:
    return list(page_from(text).findings)


def test_a_data_block_left_open_does_not_hide_the_next() -> None:
    text = """
        ```{parts}
        a: {name: A}

        ```{connections}
        c: {name: C, kind: plug, between: [a, b]}
        ```

        ```{openings}
        o: {name: O, exposed-by: c}
        ```
        """
    found = read_findings(text)
    assert summary(found) == [(1, "unreadable-block")]
    assert (
        found[0].message
        == "the `{parts}` block is not closed when `{connections}` begins on line 4"
    )
    assert found[0].hint == "end it with a line ``` before that"
    assert [entity.id for entity in content_from(text).entities] == ["a", "c", "o"]


def test_a_step_left_open_does_not_hide_the_next() -> None:
    text = (
        HEAD
        + ":::{step} One\n:do: raise vehicle\nGo.\n\n:::{step} Two\nStop.\n:::\n\n"
        + ":::{step} Three\n:::\n"
    )
    found = read_findings(text)
    assert summary(found) == [(4, "unreadable-block")]
    assert "begins on line 8" in found[0].message
    steps = content_from(text).steps_of("raise-car")
    assert [(step.title, step.place.line) for step in steps] == [
        ("One", 4),
        ("Two", 8),
        ("Three", 12),
    ]
    assert str(steps[0].actions[0]) == "raise vehicle"


def test_a_block_inside_another_needs_a_longer_fence_outside() -> None:
    text = HEAD + ":::{step} One\n:::{warning} Hot\nHot.\n:::\nMore.\n:::\n\n:::{step} Two\n:::\n"
    found = read_findings(text)
    assert summary(found) == [(4, "unreadable-block")]  # the last ::: of step One is not a second
    assert "open it with a longer ::::{step}" in found[0].hint
    steps = content_from(text).steps_of("raise-car")
    assert [(step.title, step.place.line) for step in steps] == [("One", 4), ("Two", 11)]


def test_many_blocks_left_open_are_each_found_up_to_a_bound() -> None:
    text = HEAD + ":::{step} One\n" * 2_000
    found = read_findings(text)
    assert [f.place.line for f in found[:20]] == list(range(4, 24))
    assert {f.check for f in found} == {"unreadable-block"}


def test_a_block_left_open_to_the_end_of_the_page() -> None:
    for text in (
        "# T\n\n```{parts}\na: {name: A}\n",
        "# T\n\n- x\n\n  ```{parts}\n  a: {name: A}\n\ny\n",
    ):
        found = read_findings(text)
        assert [f.check for f in found] == ["unreadable-block"]
        assert "never closed" in found[0].message
        assert [entity.id for entity in content_from(text).entities] == ["a"]


def test_a_block_left_open_in_a_quotation_ends_with_it() -> None:
    text = "> ```{parts}\n> a: {name: A}\n\nProse.\n\n> > ```{parts}\n> > b: {name: B}\n> > ```\n"
    assert summary(read_findings(text)) == [(1, "unreadable-block")]
    assert [entity.id for entity in content_from(text).entities] == ["a", "b"]


def test_a_container_left_open_is_found_and_read() -> None:
    text = "::::{note}\n\n```{parts}\na: {name: A}\n```\n"
    found = read_findings(text)
    assert summary(found) == [(1, "unreadable-block")]
    assert found[0].hint == "end it with a line ::::"
    assert [entity.id for entity in content_from(text).entities] == ["a"]


def test_colons_that_close_nothing_do_not_hide_what_follows() -> None:
    text = HEAD + ":::{step} One\n:::\n:::\n\n:::{step} Two\n:::\n\n:::{step} Three\n:::\n"
    found = read_findings(text)
    assert summary(found) == [(6, "unreadable-block")]
    assert found[0].message == "this ::: closes nothing"
    titles = [step.title for step in content_from(text).steps_of("raise-car")]
    assert titles == ["One", "Two", "Three"]


def test_a_code_example_left_open_is_found() -> None:
    found = read_findings("# T\n\n```python\nprint(1)\n")
    assert summary(found) == [(3, "unreadable-block")]
    assert "code example" in found[0].message


def test_a_code_example_inside_a_step_may_show_a_block() -> None:
    text = HEAD + ":::{step} One\n```md\n:::{step} shown\n```\n:::\n"
    assert read_findings(text) == []
    assert [step.title for step in content_from(text).steps_of("raise-car")] == ["One"]


def test_blocks_nested_too_deep_are_found() -> None:
    text = ""
    for depth in range(12):
        fence = ":" * (14 - depth)
        text = f"{text}{fence}{{note}}\n"
    text += "```{parts}\na: {name: A}\n```\n"
    for depth in reversed(range(12)):
        text += ":" * (14 - depth) + "\n"
    found = read_findings(text)
    assert summary(found) == [(9, "unreadable-block")]
    assert "too deep" in found[0].message


def test_blocks_nested_within_reason_are_read_with_their_lines() -> None:
    text = """
        ::::::{grid} 2

        :::::{grid-item-card} Front
        ::::{dropdown} Parts
        :::{note}
        ```{parts}
        a:
          name: A
          wrong: x
        ```
        :::
        ::::
        :::::
        ::::::
        """
    assert summary(slips_of(text)) == [(9, "unknown-field")]
