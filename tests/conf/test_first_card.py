"""The guide's page "From an empty folder to the first printed card", from a built wheel."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from pypdf import PdfReader

from tests.conf.first_card import Way, walk

if TYPE_CHECKING:
    pass


@pytest.fixture(scope="module")
def way(tmp_path_factory: pytest.TempPathFactory) -> Way:
    return walk(tmp_path_factory.mktemp("empty"))


def test_every_command_does_what_the_page_says(way: Way) -> None:
    checks = way.code_of("procedures check")
    assert checks == [1, 0]
    others = [row for row in way.commands if row[0] != "procedures check" and row[1] != 0]
    assert others == []
    assert len(way.commands) == 11


def test_the_program_is_that_of_the_wheel(way: Way) -> None:
    (place,) = way.folder.glob(".venv/lib/python*/site-packages/procedures_lib/__init__.py")
    assert place.is_file()


def test_blanks_are_told_first_and_nothing_is_left_in_the_end(way: Way) -> None:
    first, last = (said for words, _, said, _ in way.commands if words == "procedures check")
    assert "blank-left" in first
    assert "error" not in last
    assert "warning" not in last


def test_the_page_is_served_and_the_card_is_printed(way: Way) -> None:
    assert "Fit the washable air filter" in way.served
    assert "2.5 N·m" in way.served
    folder = way.folder / "quay-tuning"
    card = PdfReader(folder / "fit-tl-10.pdf")
    text = "".join(page.extract_text() for page in card.pages)
    assert "Close the lid" in text
    assert "2.5 N·m" in text
    assert (folder / ".build" / "html" / "procedures" / "fit-tl-10.html").is_file()
