"""Whatever is written, reading and checking end with findings on lines that the page has."""

from __future__ import annotations

from hypothesis import example, given, settings
from hypothesis import strategies as st

from tests.helpers import findings_of, manual_from

HEADS = """\
```{vehicle} v
name: V
options: {a: [x, y]}
```
```{procedure} p
vehicle: v
kit: k
revision: A
```
"""
FRAGMENTS = [
    "```{parts}",
    "```{connections}",
    "```{fasteners}",
    "```{openings}",
    "```{fluids}",
    "```{kit} k",
    "```{vehicle} w",
    "```{procedure}",
    "```{expect} Sheet",
    "```{torque-table}",
    "```{order-drawing} one",
    "```{dyno-session} d",
    "```",
    "````",
    ":::{step} Title {part}`one`",
    "::::{step} Title",
    ":::{warning} Hot",
    ":::{common-steps} c",
    ":::{note}",
    ":::",
    "::::",
    "---",
    ":do: remove one, two",
    ":when: a=x",
    "do: [remove one, fit two on one]",
    "  - tighten two stage 1",
    "one: {name: One, held-by: two, on: one, behind: [one, three]}",
    "two: {kind: bolt, tighten: [10 N·m, +45°], replaces: two}",
    "three: {kind: plug, between: [one, two], carries: fuel}",
    "two: 89 lbf·in, order a, b",
    "name: [",
    "name: 'x",
    "fits: {vehicle: v}",
    "contents: [{part: one, replaces: two}, {fastener: two, replaces: one}, {}]",
    "contents:",
    "- {part: one, replaces: one}",
    "  when: a=x and not a=y",
    "&x *x",
    "\tx: y",
    "> quoted {torque}`two` 12 N·m",
    "- item",
    "  indented {q}`35 lb`",
    "<!--",
    "-->",
    "# Title",
    "% comment",
    "",
    "\x00",
    "\u2028",
    "{{ x }} {step}`s` `",
]
pages = st.lists(st.sampled_from(FRAGMENTS), max_size=30).map("\n".join)


@settings(max_examples=150, deadline=None)
@given(pages, pages)
@example("```{kit} k\nfits: {vehicle: v}\ncontents: [{part: one, replaces: one}]\n```", "")
@example("```{parts}\none: {on: one, replaces: one}\n```\n:::{step}\n:do: remove one\n:::", "")
def test_no_page_makes_the_checks_fail(first: str, second: str) -> None:
    texts = {"first.md": HEADS + first, "second.md": second}
    for found in findings_of(texts):
        assert 1 <= found.place.line <= texts[found.place.page].count("\n") + 1
        assert found.message


@settings(max_examples=150, deadline=None)
@given(st.binary(max_size=200))
def test_no_bytes_make_the_reader_fail(raw: bytes) -> None:
    manual = manual_from({"page.md": raw})
    assert list(manual.contents) == ["page.md"]
