"""The demo written another way, and put right: the same bytes, and nothing found."""

from __future__ import annotations

import re
from collections import Counter
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from procedures_lib.engineering.quantities.units import units_of
from procedures_lib.judging.checks import check_page
from procedures_lib.judging.checks.catalogue import CATALOGUE
from procedures_lib.judging.fixing import fix_page
from procedures_lib.language.entities.builder import build
from procedures_lib.language.reading.reader import read_page
from procedures_lib.manual import Manual
from procedures_lib.manual.folder import page_names
from procedures_lib.manual.shop import read_shop

if TYPE_CHECKING:
    from collections.abc import Callable

PROJECT = Path(__file__).resolve().parents[2]
DOCS = PROJECT / "docs"
PAGES = sorted(
    name for name in page_names(DOCS)
    if name.startswith(("vehicles/", "kits/", "procedures/", "common/")) and "index" not in name
)  # fmt: skip
TORQUES = {u.symbol: [w for w in u.spellings if w != u.symbol] for u in units_of("torque")}
_FIELD = re.compile(
    r"(?m)^( *(?:tighten|time|recheck):(?: \[)?[^#\n]*?\d) ?(N·m|lbf·ft|lbf·in|min)\b"
)
_EXPECT = re.compile(r"(?ms)(^```\{expect\}.*?^```)")
_ROLE = re.compile(r"(?m)^(?!#|:::)(.*?)\{q\}`([^`\n]+)`")
_DO = re.compile(r"(?m)^do:\n((?:  - [a-z][\w ,.–-]*\n)+)")


@cache
def demo() -> Manual:
    return Manual.read(DOCS, read_shop(PROJECT / "conf" / "shop.toml")[0])


def other_units(text: str, pick: Callable[[list[str]], str]) -> str:
    """Some fields with another spelling of their unit."""

    def change(match: re.Match[str]) -> str:
        return f"{match[1]} {pick(TORQUES.get(match[2], ['minutes']))}"

    parts = _EXPECT.split(text)  # double entry stays as its source prints it
    return "".join(part if n % 2 else _FIELD.sub(change, part) for n, part in enumerate(parts))


def typed(text: str) -> str:
    """The first quantity of each line that stands in ``{q}``, typed by hand."""
    return _ROLE.sub(r"\1\2", text)


def in_brackets(text: str) -> str:
    """Every ``do`` list between brackets, where a comma parts the objects."""

    def change(match: re.Match[str]) -> str:
        return f"do: [{', '.join(line[4:] for line in match[1].splitlines())}]\n"

    return _DO.sub(change, text)


def fixed(page: str, text: str) -> str:
    raw = text.encode()
    manual = demo().with_pages([build(read_page(raw, page))])
    new = fix_page(manual, page, raw)
    after = manual.with_pages([build(read_page(new, page))])
    assert fix_page(after, page, new) == new, "a second time changes nothing"
    return new.decode()


def found(page: str, text: str) -> list[str]:
    manual = demo().with_pages([build(read_page(text.encode(), page))])
    return [finding.text() for finding in check_page(manual, page)]


@pytest.mark.parametrize("page", page_names(DOCS))
def test_nothing_in_the_manual_is_to_be_fixed(page: str) -> None:
    raw = DOCS.joinpath(page).read_bytes()
    assert fix_page(demo(), page, raw) == raw


@settings(max_examples=20, deadline=None)
@given(data=st.data())
def test_what_was_written_another_way_is_put_right(data: st.DataObject) -> None:
    page = data.draw(st.sampled_from(PAGES))
    right = DOCS.joinpath(page).read_text("utf-8")
    text = other_units(right, lambda words: data.draw(st.sampled_from(words)))
    text = in_brackets(text) if data.draw(st.booleans()) else text
    text = typed(text) if data.draw(st.booleans()) else text
    new = fixed(page, text)
    assert found(page, new) == []
    assert len(new.splitlines()) >= len(text.splitlines())


def test_the_ways_of_writing_are_other_ways() -> None:
    """The seeds do something on the demo, and what they do is undone to the byte."""
    changed = {"units": 0, "do": 0, "typed": 0}
    for page in PAGES:
        right = DOCS.joinpath(page).read_text("utf-8")
        for name, seed in (
            ("units", lambda text: other_units(text, lambda words: words[0])),
            ("do", in_brackets),
            ("typed", typed),
        ):
            text = seed(right)
            if text != right:
                changed[name] += 1
                assert fixed(page, text) == right, (page, name)
    assert min(changed.values()) >= 5, changed


@settings(max_examples=40, deadline=None)
@given(data=st.data())
def test_a_damaged_page_is_not_damaged_more(data: st.DataObject) -> None:
    """Lines gone, doubled, cut off: what is said of the writing is never more than before."""
    page = data.draw(st.sampled_from(PAGES))
    lines = other_units(DOCS.joinpath(page).read_text("utf-8"), lambda words: words[-1]).split("\n")
    for _ in range(data.draw(st.integers(1, 3))):
        at = data.draw(st.integers(0, len(lines) - 1))
        kind = data.draw(st.sampled_from(["gone", "twice", "cut"]))
        lines[at : at + 1] = {"gone": [], "twice": [lines[at]] * 2, "cut": [lines[at][:7]]}[kind]
    text = "\n".join(lines)
    assert writing(page, fixed(page, text)) <= writing(page, text)


def writing(page: str, text: str) -> Counter[str]:
    """How often each check of what is written finds something on a page."""
    manual = demo().with_pages([build(read_page(text.encode(), page))])
    checks = [finding.check for finding in check_page(manual, page)]
    return Counter(c for c in checks if CATALOGUE[c].family in {"reading", "quantities", "drift"})


@given(st.binary(max_size=300))
def test_any_bytes_come_back(raw: bytes) -> None:
    manual = Manual([build(read_page(raw, "page.md"))])
    assert isinstance(fix_page(manual, "page.md", raw), bytes)
