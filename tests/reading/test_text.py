"""Bytes of a page: encoding, line ends, size."""

from __future__ import annotations

import pytest

from procedures_lib.language.reading.page import Blank
from procedures_lib.language.reading.page_text import LARGEST, filled
from tests.helpers import content_from, only_slip, page_from, slips_of, summary


def test_a_blank_is_read_as_its_example() -> None:
    text, blanks = filled("# ‹title, such as A›\n\n‹id, such as b›: {part}`‹c, such as d: e›`\n")
    assert text == "# A\n\nb: {part}`d: e`\n"
    found = (Blank(1, "title", "A"), Blank(3, "id", "b", names=True), Blank(3, "c", "d: e"))
    assert blanks == found


@pytest.mark.parametrize(
    "text",
    [
        "```text\n‹a, such as b›\n```\n",
        "`````{page-example} X\n```{parts}\n‹a, such as b›: {}\n```\n`````\n",
        "‹a quotation›\n",
        "Write `‹a, such as b›` there.\n",
    ],
)
def test_what_is_shown_is_no_blank(text: str) -> None:
    assert filled(text) == (text, ())


def test_a_block_behind_code_has_blanks_again() -> None:
    text = "```text\n‹a, such as b›\n```\n\n```{parts}\n‹a, such as b›: {}\n```\n"
    assert [blank.line for blank in filled(text)[1]] == [6]


def test_a_page_that_is_not_utf8_is_one_finding_on_the_line_of_the_byte() -> None:
    found = only_slip("# Title\n\ncaf\u00e9\n".encode("latin-1"))
    assert (found.check, str(found.place)) == ("unreadable-page", "page.md:3")
    assert "0xe9" in found.message
    assert found.hint == "save the page as UTF-8"


def test_utf16_is_not_utf8() -> None:
    assert only_slip("# Title\n".encode("utf-16")).check == "unreadable-page"


def test_a_ten_megabyte_page_is_refused_and_not_read() -> None:
    found = only_slip(b"# Title\n\n" + b"word " * 2_000_000)
    assert (found.check, found.place.line) == ("unreadable-page", 1)
    assert f"{LARGEST:,}" in found.message
    assert "split it" in found.hint


def test_a_page_just_within_the_limit_is_read() -> None:
    page = page_from(b"# Title\n" + b"\n" * (LARGEST - 8))
    assert (page.title, page.findings) == ("Title", ())


def test_a_nul_character_is_found_on_its_line() -> None:
    found = only_slip(b"# Title\n\none\x00two\n")
    assert (found.check, found.place.line) == ("unreadable-page", 3)
    assert "NUL" in found.message


def test_byte_order_mark_and_windows_line_ends_leave_the_lines_right() -> None:
    text = "# Title\n\n```{parts}\na: {name: A}\nb: {nmae: B}\n```\n"
    raw = b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode()
    assert page_from(raw).title == "Title"
    assert summary(slips_of(raw)) == summary(slips_of(text)) == [(5, "unknown-field")]


def test_old_mac_line_ends_leave_the_lines_right() -> None:
    raw = b"# Title\r\r```{parts}\ra: {nmae: A}\r```\r"
    assert summary(slips_of(raw)) == [(4, "unknown-field")]


def test_rare_line_separators_do_not_shift_the_lines() -> None:
    text = "```{parts}\na: {name: one\u2028two}\nb: {name: x\u0085y}\nc: {nmae: C}\n```\n"
    assert summary(slips_of(text)) == [(4, "unknown-field")]


def test_an_empty_page_and_a_page_of_prose_have_no_findings() -> None:
    assert slips_of(b"") == []
    assert slips_of("# Title\n\nNothing but prose, 12 mm thick.\n") == []
    assert content_from(b"").entities == ()


def test_a_paragraph_too_long_to_read_is_found_and_the_rest_is_read() -> None:
    text = "# Title\n\n" + "`x` " * 10_000 + "\n\n```{parts}\na: {name: A}\n```\n"
    assert summary(slips_of(text)) == [(3, "unreadable-page")]
    assert [entity.id for entity in content_from(text).entities] == ["a"]
