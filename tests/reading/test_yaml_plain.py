"""The plainest YAML reads without a parser as it does with one (PyYAML, libyaml)."""

from __future__ import annotations

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from procedures_lib.language.reading.block_yaml import Composer
from procedures_lib.language.reading.shortcuts import plain_mapping
from tests.reading.test_yaml import lines_of

_SIGNS = st.text(alphabet="ab1- .:#,[]{}&*!|>'\"%@`?~=°·/()+_\t\n\\é\x85\u2028", max_size=12)
_WORDS = st.text(alphabet="ab1- ./()=+°·_", min_size=1, max_size=8)
_ITEMS = st.lists(_WORDS, min_size=1, max_size=3).map(lambda items: f"[{', '.join(items)}]")
_BELOW = st.lists(
    st.builds(
        "{}{}{}".format,
        st.sampled_from(["  - ", "  -  ", "  - ", " - ", "- ", "  -", "    "]),
        _WORDS | _WORDS.map(lambda word: f"{word}, a") | _SIGNS,
        st.sampled_from(["", " ", " #a"]),
    ),
    min_size=1,
    max_size=3,
).map(lambda lines: "\n" + "\n".join(lines))
_LINE = st.builds(
    "{}:{}{}{}".format,
    st.sampled_from(["do", "time", "held-by", "a", "-a", "a-", "A", "1"]),
    st.sampled_from([" ", "  ", ""]),
    _WORDS | _ITEMS | _SIGNS | _BELOW,
    st.sampled_from(["", " ", " #a"]),
)
_TEXT = st.lists(_LINE, max_size=4).map("\n".join)


@given(_TEXT)
def test_what_is_read_without_a_parser_reads_the_same_with_one(text: str) -> None:
    found = plain_mapping(text, 7)
    if found is not None:
        composer = Composer(text, "page.md", 7)
        tree = composer.compose()
        assert tree is not None
        assert lines_of(found) == lines_of(tree)
        assert list(found) == list(tree)
        assert composer.findings == []
        assert found == yaml.load(text, Loader=yaml.BaseLoader)  # noqa: S506


@pytest.mark.parametrize(
    ("text", "tree"),
    [
        ("time: 5 min", {"time": "5 min"}),
        ("do: [remove cover,  fit a on b ]\n", {"do": ["remove cover", "fit a on b"]}),
        ("held-by: a-b\nwhen: side=left", {"held-by": "a-b", "when": "side=left"}),
        ("kind: 8.8  \nno: yes", {"kind": "8.8", "no": "yes"}),
        ("note: one, two", {"note": "one, two"}),
        ("do:\n  - remove a, b \n  - fit c\nid: d", {"do": ["remove a, b", "fit c"], "id": "d"}),
    ],
)  # fmt: skip
def test_plain_options_need_no_parser(text: str, tree: object) -> None:
    assert plain_mapping(text, 1) == tree


@pytest.mark.parametrize(
    "text",
    [
        "",
        "time:",
        "time: ",
        "time:5 min",
        "a: b\na: c",
        "a: b: c",
        "a: b # c",
        "a: 'b'",
        "a: &b c",
        "a: *b",
        "a: !b c",
        "a: |\n  b",
        "a: [b, [c]]",
        "a: [b,]",
        "a: []",
        "a: {b: c}",
        "a: b\n  c",
        " a: b",
        "a:\n  b: c",
        "- a",
        "a:\n- b",
        "a:\n  - b\n    c",
        "a:\n  - b: c",
        "a:\n  - - b",
        "a:\n  - b\n   - c",
        "a:\n  -\n  - b",
        "a: b\n\nc: d",
        f"{'a' * 2000}: b",
    ],
)
def test_all_else_is_left_to_the_parser(text: str) -> None:
    assert plain_mapping(text, 1) is None
