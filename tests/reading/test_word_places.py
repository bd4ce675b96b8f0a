"""Words of a page by line and column: what stands there is what the reader has found."""

from __future__ import annotations

from pathlib import Path

import pytest

from procedures_lib.language.reading.page import Scalar, Tree
from procedures_lib.language.reading.reader import read_page
from procedures_lib.language.reading.word_places import Word, words_of
from tests.helpers import raw_of

DOCS = Path(__file__).resolve().parents[2] / "docs"
PAGES = sorted(path.relative_to(DOCS).as_posix() for path in DOCS.rglob("*.md"))


def words_in(text: str) -> list[Word]:
    return list(words_of(text, read_page(text.encode(), "page.md")))


def there(text: str, word: Word) -> bool:
    """Whether a word stands where it is said to."""
    first = word.text.split("\n")[0]
    return text.split("\n")[word.line - 1][word.column :].startswith(first)


def scalars(tree: Tree | None) -> list[Scalar]:
    """All words of a tree, keys too, in the order of the page."""
    if isinstance(tree, Scalar):
        return [tree]
    if isinstance(tree, dict):
        return [each for key, value in tree.items() for each in (key, *scalars(value))]
    return [each for item in tree or () for each in scalars(item)]


@pytest.mark.parametrize("page", PAGES)
def test_on_all_pages_of_the_demo_words_stand_where_they_are_said_to(page: str) -> None:
    text = (DOCS / page).read_text(encoding="utf-8")
    read = read_page(text.encode(), page)
    words = list(words_of(text, read))
    assert [word for word in words if not there(text, word)] == []
    for block in read.walk():
        if not block.readable or any(block.place.line <= b.line <= block.end for b in read.blanks):
            continue
        found = [
            (word.text, word.line)
            for word in words
            if word.use in {"key", "value"}
            and block.place.line < word.line <= block.header_end
            and "\n" not in word.text
        ]
        known = {(str(each), each.line) for each in scalars(block.data)}
        assert known - set(found) == {each for each in known if "\\" in each[0]} - set(found)


def test_a_word_knows_the_keys_that_lead_to_it() -> None:
    text = "```{parts}\nlid: {name: Lid, held-by: [a-bolts, b-bolts]}\n```\n"
    assert [(word.text, word.path) for word in words_in(text)] == [
        ("lid", ("lid",)),
        ("name", ("lid", "name")),
        ("Lid", ("lid", "name")),
        ("held-by", ("lid", "held-by")),
        ("a-bolts", ("lid", "held-by", "-")),
        ("b-bolts", ("lid", "held-by", "-")),
    ]


def test_options_with_colons_keep_their_columns() -> None:
    text = ":::{step} Off\n:do: remove lid\n:time:   5 min\nLift {part}`lid`.\n:::\n"
    assert [(word.use, word.text, word.line, word.column) for word in words_in(text)] == [
        ("argument", "Off", 1, 10),
        ("key", "do", 2, 1),
        ("value", "remove lid", 2, 5),
        ("key", "time", 3, 1),
        ("value", "5 min", 3, 9),
        ("role", "lid", 4, 12),
    ]


def test_of_a_broken_block_the_whole_entries_and_the_begun_ones_are_told() -> None:
    text = "```{parts}\nlid: {name: Lid, held-by: [\nbox: {name: Box}\n```\n"
    words = words_in(text)
    assert ("box", ("box",)) in [(word.text, word.path) for word in words]
    assert ("held-by", ("lid", "held-by")) in [(word.text, word.path) for word in words]
    assert all(there(text, word) for word in words)


def test_a_value_over_several_lines_tells_the_place_of_each_piece() -> None:
    text = ":::{step} Off\n---\ndo:\n  - remove lid,\n    box\n---\n:::\n"
    word = words_in(text)[-1]
    start = word.text.index("box")
    assert word.within(start, start + 3) == (5, 4, 7)
    assert word.offset(5, 4) == start
    assert word.offset(6, 0) is None


def test_a_role_that_stands_twice_on_a_line_is_told_twice() -> None:
    text = "Both {part}`lid` and {part}` lid `.\n"
    assert [(word.text, word.column) for word in words_in(text)] == [("lid", 12), ("lid", 29)]


def test_quotes_are_no_part_of_a_word() -> None:
    text = raw_of("""
        ```{fasteners}
        bolts: {kind: bolt, class: "8.8"}
        ```
        """).decode()
    word = words_in(text)[-1]
    assert (word.text, there(text, word)) == ("8.8", True)
