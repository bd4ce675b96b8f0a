"""``procedures card``: where the file goes, what is told besides, and what it refuses."""

from __future__ import annotations

import io
import sys
from typing import TYPE_CHECKING

import pypdf
import pytest

from tests.cli.world import UNREADABLE, run, write
from tests.paper.pdf_text import pages_of

if TYPE_CHECKING:
    from pathlib import Path

SHOP = """
    [shop]
    name = "Bench"
    address = "https://manual.example/fitting/"
    """


def test_the_file_is_called_after_the_procedure(manual: Path) -> None:
    result = run("card", "renew-cover")
    assert (result.exit_code, result.stdout) == (0, "renew-cover.pdf\n")
    assert "Renew the cover" in pages_of(manual.joinpath("renew-cover.pdf").read_bytes())[0]
    assert [path.name for path in manual.glob("*.pdf*")] == ["renew-cover.pdf"]


def test_without_an_address_it_says_that_there_is_no_code(manual: Path) -> None:
    result = run("card", "renew-cover")
    assert result.stderr == "Note: no QR code: conf/shop.toml has no `address` under [shop].\n"


def test_with_an_address_the_page_is_named(manual: Path) -> None:
    write(manual, {"conf/shop.toml": SHOP})
    result = run("card", "renew-cover", "-o", "card.pdf")
    assert (result.exit_code, result.stdout, result.stderr) == (0, "card.pdf\n", "")
    first = pages_of(manual.joinpath("card.pdf").read_bytes())[0]
    assert "https://manual.example/fitting/procedures/renew-cover.html" in first


def test_to_the_standard_output(manual: Path) -> None:
    result = run("card", "renew-cover", "-o", "-")
    assert result.exit_code == 0
    assert pages_of(result.stdout_bytes)
    assert list(manual.glob("*.pdf")) == []


@pytest.mark.parametrize(("size", "sides"), [("a4", (595, 842)), ("letter", (612, 792))])
def test_the_sheets(manual: Path, size: str, sides: tuple[int, int]) -> None:
    result = run("card", "renew-cover", "--size", size, "-o", "-")
    box = pypdf.PdfReader(io.BytesIO(result.stdout_bytes)).pages[0].mediabox
    assert (round(box.width), round(box.height)) == sides


def test_only_some_cars(manual: Path) -> None:
    every = run("card", "renew-cover", "-o", "-").stdout_bytes
    some = run("card", "renew-cover", "--when", "transmission=automatic", "-o", "-").stdout_bytes
    assert "Side bolt" in " ".join(pages_of(every))
    assert "Side bolt" not in " ".join(pages_of(some))


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("renew-covr",), "did you mean `renew-cover`?"),
        (("renew-cover", "--when", "transmission=manul"), "did you mean `manual`?"),
        (("renew-cover", "--size", "a5"), "'a5'"),
        (("renew-cover", "-o", "no/such/folder/card.pdf"), "no/such/folder"),
    ],
)
def test_what_it_refuses(manual: Path, words: tuple[str, ...], told: str) -> None:
    result = run("card", *words)
    assert result.exit_code == 2
    assert told in result.stderr
    assert list(manual.glob("*.pdf")) == []


def test_pages_with_errors_give_a_card_that_says_so(manual: Path) -> None:
    page = manual / "docs" / "procedures" / "renew-cover.md"
    page.write_text(
        page.read_text("utf-8").replace("tighten side-bolt", "tighten syde-bolt"), "utf-8"
    )
    result = run("card", "renew-cover")
    assert result.exit_code == 1
    assert "that this card is drawn from" in result.stderr
    first = pages_of(manual.joinpath("renew-cover.pdf").read_bytes())[0]
    assert "The pages behind this card have errors" in first


def test_errors_on_other_pages_do_not_matter(manual: Path) -> None:
    write(manual, {"docs/other.md": UNREADABLE})
    assert run("card", "renew-cover").exit_code == 0


def test_signs_that_the_font_lacks_are_told(manual: Path) -> None:
    page = manual / "docs" / "procedures" / "renew-cover.md"
    page.write_text(page.read_text("utf-8").replace("Lift it off.", "Lift it off 車."), "utf-8")
    assert (
        "the font of the card lacks 1 signs, printed as ■: 車" in run("card", "renew-cover").stderr
    )


@pytest.mark.parametrize(
    "address",
    [
        "manual.example",
        "ftp://manual.example/",
        "https://",
        "https://a b/",
        "https://x/?q=1",
        "https://[/",
    ],
)
def test_an_address_that_is_none_is_found(manual: Path, address: str) -> None:
    write(manual, {"conf/shop.toml": f'[shop]\naddress = "{address}"\n'})
    result = run("check")
    assert result.exit_code == 1
    assert "conf/shop.toml:2: error: unknown-word" in result.stdout
    assert "is no address of a site" in result.stdout


@pytest.mark.skipif(sys.platform == "win32", reason="rights are others there")
def test_a_card_has_the_rights_of_a_new_file_or_of_the_one_before(manual: Path) -> None:
    (manual / "usual").touch()
    card = manual / "renew-cover.pdf"
    run("card", "renew-cover")
    assert card.stat().st_mode == (manual / "usual").stat().st_mode
    card.chmod(0o600)
    run("card", "renew-cover")
    assert card.stat().st_mode & 0o777 == 0o600
    assert card.read_bytes().startswith(b"%PDF")
